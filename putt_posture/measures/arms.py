"""The measures of arms, elbows and hands.

Formulas take one or two planes and return (T,) degrees or cm; NaN where a joint is unseen. Those of elbow gap and
depth, which need the trunk, are in `putt_posture.posture.elbows`.

Axes and signs are those of ``measures.md`` beside this file.
"""

import math
from functools import partial
from typing import Final

import numpy as np

from putt_posture.measures.record import (
    BOTH_VIEWS,
    DOWN_THE_LINE,
    Measure,
    NotSeen,
    Reading,
    Said,
    Shift,
    Words,
    read_plane,
)
from putt_posture.measures.sketch import Between, Bracket, Dot, Mark, Plumb, Polyline, Shifted, Sketch, Trace
from putt_posture.posture.angles import bend_at
from putt_posture.posture.budget import joint_effect
from putt_posture.posture.elbows import NOMINAL_ARM, elbow_depth, elbow_depth_sd, elbow_gap, gap_sd, visible_window_px
from putt_posture.posture.marks import Marks
from putt_posture.posture.plane import Plane, near_side
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.values import Floats, Side, View, Whose

__all__ = [
    "ELBOW_BEND_LEAD",
    "ELBOW_BEND_TRAIL",
    "ELBOW_DEPTH",
    "ELBOW_GAP_LEAD",
    "ELBOW_GAP_TRAIL",
    "HAND_HEIGHT",
    "HAND_OFFSET",
    "elbow_bend",
    "elbow_bend_in_space",
    "hand_height",
    "hand_offset",
]

MEASURED_AHEAD_SD_CM: Final = 2.5
"""Uncertainty of an elbow's depth along the trunk by the landmarks, one sigma, cm (accuracy study)."""
NOMINAL_AHEAD_SD_CM: Final = 5.0
"""Uncertainty of an elbow's depth without a side view, one sigma, cm."""
FAR_ARM_EXTRA_SD_CM: Final = 1.5
"""Down the line the far arm is half hidden."""

_SHOULDERS: Final = Mark("spine", 1)
_HANDS: Final = Mark("hands")
_UNDER: Final = Plumb(_SHOULDERS, level_with=_HANDS)
_GAP_LEAD: Final = (Mark("elbow_gap_lead", 0), Mark("elbow_gap_lead", 1))
_GAP_TRAIL: Final = (Mark("elbow_gap_trail", 0), Mark("elbow_gap_trail", 1))
_DEPTH: Final = (Mark("elbow_depth", 0), Mark("elbow_depth", 1))
_FRONT_LINE_CM: Final = 9.0
"""Half of the line that shows the front of the ribs."""
_LEAST_BRACKET: Final = 0.35
"""A gap that looks shorter than this is not drawn, cm: the skin touches, or the elbow is in front of the trunk."""


def elbow_bend(plane: Plane, *, side: Side) -> Floats:
    """Return 180° minus the angle shoulder–elbow–wrist as one view shows it, (T,) deg; 0 = straight.

    Parameters
    ----------
    plane : Plane
    side : Side
    """
    return bend_at(plane.at(f"{side}_shoulder"), plane.at(f"{side}_elbow"), plane.at(f"{side}_wrist"))


def elbow_bend_in_space(front: Plane, *, side_view: Plane, side: Side) -> Floats:
    """Return the elbow bend from two views joined, (T,) deg; 0 = straight.

    Along the target line and height come from the face-on view, the depth toward the ball from the down-the-line view
    (mean of both arms: down the line the far one is not reliable).

    Parameters
    ----------
    front : Plane
        Face on.
    side_view : Plane
        Down the line, in the frames that belong to those of `front`; one of the two may hold its frames repeated.
    side : Side
    """
    frames = max(len(front.points_px), len(side_view.points_px))
    joints = []
    for joint in ("shoulder", "elbow", "wrist"):
        seen = np.resize(front.at(f"{side}_{joint}"), (frames, 2))
        joints.append(np.column_stack([seen, np.resize(side_view.middle(joint)[:, 0], frames)]))
    return bend_at(*joints)


def hand_offset(plane: Plane) -> Floats:
    """Return how far the hand centre is outside the shoulders, (T,) cm.

    + = toward the ball, 0 = the hands hang straight under the shoulder joints. Down the line.

    Parameters
    ----------
    plane : Plane
    """
    return np.asarray(plane.hands()[:, 0] - plane.middle("shoulder")[:, 0])


def hand_height(plane: Plane) -> Floats:
    """Return the height of the hand centre above the ground, (T,) cm. Down the line.

    Parameters
    ----------
    plane : Plane
    """
    return plane.hands()[:, 1]


def _read_bend(seen: SeenSetup, *, whose: Whose) -> Reading | NotSeen:
    side = seen.side(whose)
    unseen = "The arm is hidden or outside the picture."
    if seen.has("face_on") and seen.has("down_the_line"):
        front = seen.planes["face_on"]
        beside = seen.planes["down_the_line"].beside(front)
        other = joint_effect(lambda plane: elbow_bend_in_space(front, side_view=plane, side=side), beside, "both")
        return Reading(
            of=partial(elbow_bend_in_space, side_view=beside, side=side),
            view="face_on",
            method="shoulder, elbow and wrist landmarks of both views joined",
            unseen=unseen,
            other={"joints in the other view": other},
        )
    if seen.has("face_on"):
        return NotSeen(reason="Face on the arm bends toward the camera; film down the line as well.", view="face_on")
    if side != near_side(seen.scene("down_the_line")):
        return NotSeen(
            reason="Down the line the far arm is hidden behind the near one; film face on as well.",
            view="down_the_line",
        )
    return Reading(
        of=partial(elbow_bend, side=side),
        view="down_the_line",
        method="shoulder, elbow and wrist landmarks of the near arm",
        unseen=unseen,
    )


def _read_gap(seen: SeenSetup, *, whose: Whose) -> Reading | NotSeen:
    if not seen.has("face_on"):
        return NotSeen(reason="Only the face-on view shows how far the elbow is beside the ribs.", view="face_on")
    side, plane = seen.side(whose), seen.planes["face_on"]
    arm = seen.arms.get(side, NOMINAL_ARM)
    if side not in seen.arms:
        ahead_sd = NOMINAL_AHEAD_SD_CM
        method = "elbow against an elliptical trunk from the body tables, face on alone"
    else:
        ahead_sd = math.hypot(MEASURED_AHEAD_SD_CM, 0.0 if side == seen.near else FAR_ARM_EXTRA_SD_CM)
        method = "elbow in both views against an elliptical trunk from the body tables and the outline"
    gap, shape = partial(elbow_gap, side=side), seen.trunk.beside(len(plane.points_px))
    return Reading(
        of=partial(gap, shape=shape, arm=arm),
        view="face_on",
        method=method,
        unseen="The elbow, the hips or the shoulders are hidden or outside the face-on picture.",
        other={"trunk and depth of the arm": gap_sd(partial(gap, plane), shape=shape, arm=arm, ahead_sd=ahead_sd)},
    )


def _mark_gap(seen: SeenSetup, view: View, *, whose: Whose) -> Marks:
    """Mark the skin of the elbow and of the ribs where background shows between them; otherwise mark the elbow twice.

    A gap toward the camera, in front of the ribs, cannot be drawn face on.
    """
    if view != "face_on":
        return {}
    result = seen.results[view]
    arm_u, trunk_u, row = visible_window_px(result.joints, result.still_index, side=seen.side(whose))
    return {f"elbow_gap_{whose}": ((arm_u, row), (trunk_u, row))}


def _read_depth(seen: SeenSetup) -> Reading:
    plane, near = seen.planes["down_the_line"], near_side(seen.scene("down_the_line"))
    return Reading(
        of=partial(elbow_depth, side=near, shape=seen.trunk),
        view="down_the_line",
        method="near elbow landmark against the outline of chest and belly",
        unseen="The near elbow, the hips or the shoulders are hidden or outside the picture.",
        other={"depth of the trunk": elbow_depth_sd(plane, side=near, shape=seen.trunk)},
    )


def _mark_depth(seen: SeenSetup, view: View) -> Marks:
    """Mark the near elbow, the point level with the front of the ribs, and two points on the line of that front."""
    result, plane = seen.results[view], seen.planes[view]
    near, row = near_side(seen.scene(view)), result.still_index
    depth = float(elbow_depth(plane, side=near, shape=seen.trunk)[row])
    elbow = plane.at(f"{near}_elbow")[row]
    spine = (plane.middle("shoulder") - plane.middle("hip"))[row]
    along = spine / np.linalg.norm(spine)
    front = elbow - depth * np.array([along[1], -along[0]])
    ends = (front + way * _FRONT_LINE_CM * along for way in (-1, 1))
    return {"elbow_depth": tuple(plane.to_px(point) for point in (elbow, front, *ends))}


def _read_height(seen: SeenSetup) -> Reading | NotSeen:
    if seen.scene("down_the_line").ground_v_px.frames == 0:
        return NotSeen(
            reason="The feet are hidden or outside the picture, so the ground is not known.", view="down_the_line"
        )
    return Reading(
        of=hand_height,
        view="down_the_line",
        method="wrist and knuckle landmarks above the ground",
        unseen="The hands are hidden or outside the picture.",
    )


ELBOW_BEND_LEAD: Final = Measure(
    name="elbow_bend_lead",
    order=50,
    part="arms",
    unit="deg",
    views=BOTH_VIEWS,
    axes="space",
    title="Lead elbow bend",
    definition=(
        "180° less the angle at the lead elbow joint between shoulder joint and wrist joint, in space where both "
        "views are there."
    ),
    words=Words(
        what="How far the elbow of the lead arm (the one nearer the target) is bent.",
        direction="0° is a straight arm; more is a deeper bend.",
        stroke="A bent elbow shortens the arm and brings the forearm nearer the line of the shaft; a straighter "
        "arm tends to swing as one with the shoulder.",
        said=Said(plus="from straight"),
    ),
    shift=Shift(
        more="The lead elbow bends deeper: the arm is shorter, and its forearm tends to lie nearer the line of the "
        "shaft.",
        less="The lead arm is straighter: it tends to swing as one with the shoulder.",
    ),
    reading=partial(_read_bend, whose="lead"),
    model_sd=4.8,
    scatter_sd=3.0,
)


ELBOW_BEND_TRAIL: Final = Measure(
    name="elbow_bend_trail",
    order=60,
    part="arms",
    unit="deg",
    views=BOTH_VIEWS,
    axes="space",
    title="Trail elbow bend",
    definition=(
        "180° less the angle at the trail elbow joint between shoulder joint and wrist joint, in space where both "
        "views are there."
    ),
    words=Words(
        what="How far the elbow of the trail arm (the one farther from the target) is bent.",
        direction="0° is a straight arm; more is a deeper bend.",
        stroke="Where it differs from the lead elbow, one forearm lies above the other and the shoulders tend to "
        "open or close to the line.",
        said=Said(plus="from straight"),
    ),
    shift=Shift(
        more="The trail elbow bends deeper: its forearm tends to lie nearer the line of the shaft; where it differs "
        "from the lead one, the shoulders tend to open or close.",
        less="The trail arm is straighter: it tends to swing as one with the shoulder; where it differs from the lead "
        "one, the shoulders tend to open or close.",
    ),
    reading=partial(_read_bend, whose="trail"),
    model_sd=4.0,
    scatter_sd=3.0,
)


HAND_OFFSET: Final = Measure(
    name="hand_offset",
    order=70,
    part="arms",
    unit="cm",
    views=DOWN_THE_LINE,
    axes="y",
    title="Hands to shoulders",
    definition=(
        "Distance from midway between the shoulder joints to the hand centre. The hand centre is the mean, over both "
        "hands, of the wrist joint and the knuckles of index and little finger."
    ),
    words=Words(
        what="How far the hands are in front of or behind a plumb line through the shoulders.",
        direction="0 is straight under the shoulders; + is outside, toward the ball; − is inside, toward the feet.",
        stroke="Hands that hang under the shoulders need little holding; hands further out tend to be held there "
        "by the arms and to swing on more of an arc, hands further in tend to have less room past the legs.",
        plus="outside the shoulders, toward the ball",
        minus="inside the shoulders, toward the feet",
        zero="straight under the shoulders, within the margin",
        said=Said(
            plus="outside the shoulders", minus="inside the shoulders", short_plus="outside", short_minus="inside"
        ),
    ),
    shift=Shift(
        more="The hands moved out, toward the ball: the further out from under the shoulders, the more the arms tend "
        "to hold them there, and the more of an arc the putter head tends to swing on.",
        less="The hands moved in, toward the feet: straight under the shoulders they need little holding and the "
        "putter head tends to run straightest; further in they have less room past the legs.",
    ),
    reading=read_plane(
        hand_offset,
        view="down_the_line",
        method="wrist and knuckle landmarks of both hands against the mid-shoulder",
        unseen="The hands or the shoulders are hidden or outside the picture.",
    ),
    model_sd=0.2,
    scatter_sd=1.0,
    sketches={
        "down_the_line": Sketch(
            rank=2,
            strokes=(
                Polyline((_SHOULDERS, Shifted(_UNDER, up=-2.0)), width=0.13, dashed=True, reference=True),
                Bracket(_UNDER, _HANDS, width=0.17, tick=0.55),
            ),
            anchor=Between(_UNDER, _HANDS),
            wanted=(1.0, 0.0),
        )
    },
)


HAND_HEIGHT: Final = Measure(
    name="hand_height",
    order=80,
    part="arms",
    unit="cm",
    views=DOWN_THE_LINE,
    axes="z",
    title="Hand height",
    definition="Height of the hand centre above the ground.",
    words=Words(
        what="How high the middle of the two hands is above the ground.",
        direction="More is higher.",
        stroke="Together with the shaft's angle it decides the length of putter that reaches the ground; higher "
        "hands ask for a longer or a more upright putter.",
        said=Said(plus="above the ground"),
    ),
    shift=Shift(
        more="The hands are higher: they ask for a longer or a more upright putter.",
        less="The hands are lower: they ask for a shorter or a flatter putter.",
    ),
    reading=_read_height,
    model_sd=0.2,
    scatter_sd=1.0,
)


ELBOW_GAP_LEAD: Final = Measure(
    name="elbow_gap_lead",
    order=90,
    part="arms",
    unit="cm",
    views=BOTH_VIEWS,
    axes="x–y",
    title="Lead elbow to ribs",
    definition="The least distance from the skin of the lead elbow to the skin of the trunk.",
    words=Words(
        what="The shortest way from the skin of the lead elbow to the skin of the trunk.",
        direction="0 is touching; more is further away.",
        stroke="An elbow close to the ribs tends to move with the trunk; one further away moves more freely from it.",
        said=Said(plus="from the ribs"),
    ),
    shift=Shift(
        more="The lead elbow is further from the ribs: it tends to move more freely from the trunk.",
        less="The lead elbow is nearer the ribs: it tends to move with the trunk.",
    ),
    reading=partial(_read_gap, whose="lead"),
    marks=partial(_mark_gap, whose="lead"),
    floor=0.0,
    model_sd=1.2,
    scatter_sd=1.0,
    sketches={
        "face_on": Sketch(
            rank=1,
            strokes=(
                Trace("lead_arm", width=0.1),
                Bracket(_GAP_LEAD[0], _GAP_LEAD[1], width=0.17, least=_LEAST_BRACKET),
                Dot(Mark("lead_arm", 1), radius=0.18),
            ),
            anchor=Mark("lead_arm", 1),
            wanted=(1.0, 0.0),
        )
    },
)


ELBOW_GAP_TRAIL: Final = Measure(
    name="elbow_gap_trail",
    order=100,
    part="arms",
    unit="cm",
    views=BOTH_VIEWS,
    axes="x–y",
    title="Trail elbow to ribs",
    definition="The least distance from the skin of the trail elbow to the skin of the trunk.",
    words=Words(
        what="The shortest way from the skin of the trail elbow to the skin of the trunk.",
        direction="0 is touching; more is further away.",
        stroke="An elbow close to the ribs tends to move with the trunk; where the two gaps differ, the arms tend "
        "to follow the trunk unequally.",
        said=Said(plus="from the ribs"),
    ),
    shift=Shift(
        more="The trail elbow is further from the ribs: it tends to move more freely from the trunk.",
        less="The trail elbow is nearer the ribs: it tends to move with the trunk.",
    ),
    reading=partial(_read_gap, whose="trail"),
    marks=partial(_mark_gap, whose="trail"),
    floor=0.0,
    model_sd=1.2,
    scatter_sd=1.0,
    sketches={
        "face_on": Sketch(
            rank=2,
            strokes=(
                Trace("trail_arm", width=0.1),
                Bracket(_GAP_TRAIL[0], _GAP_TRAIL[1], width=0.17, least=_LEAST_BRACKET),
                Dot(Mark("trail_arm", 1), radius=0.18),
            ),
            anchor=Mark("trail_arm", 1),
            wanted=(-1.0, 0.0),
        )
    },
)


ELBOW_DEPTH: Final = Measure(
    name="elbow_depth",
    order=110,
    part="arms",
    unit="cm",
    views=DOWN_THE_LINE,
    axes="y–z",
    title="Elbow along the ribs",
    definition=(
        "Distance from the front of the ribs to the joint of the elbow nearer the camera, square to the spine line."
    ),
    words=Words(
        what="Where the elbow nearest the camera sits along the depth of the trunk.",
        direction="0 is level with the front of the ribs; + is in front of it, − is behind it.",
        stroke="An elbow in front of the ribs can swing past them; one behind the front tends to meet the side of "
        "the trunk on the way through.",
        plus="in front of the ribs",
        minus="behind the front of the ribs",
        zero="level with the front of the ribs, within the margin",
        said=Said(
            plus="in front of the ribs",
            minus="behind the front of the ribs",
            short_plus="in front",
            short_minus="behind",
        ),
    ),
    shift=Shift(
        more="The elbow sits further in front: it can swing more freely past the ribs.",
        less="The elbow sits further back: it tends to meet the side of the trunk on the way through.",
    ),
    reading=_read_depth,
    marks=_mark_depth,
    model_sd=0.6,
    scatter_sd=1.0,
    sketches={
        "down_the_line": Sketch(
            rank=4,
            strokes=(
                Trace("near_arm", width=0.1),
                Polyline((Mark("elbow_depth", 2), Mark("elbow_depth", 3)), width=0.07, dashed=True, reference=True),
                Bracket(*_DEPTH, width=0.15, tick=0.35, least=_LEAST_BRACKET),
                Dot(_DEPTH[0], radius=0.18),
            ),
            anchor=_DEPTH[0],
            wanted=(1.0, 0.3),
        )
    },
)
