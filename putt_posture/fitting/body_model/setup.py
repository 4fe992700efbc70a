"""The body model in a wanted setup: the tilt that makes it possible, and where hands and ball then are."""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import asdict, frozen

from putt_posture.figures import format_given, format_value
from putt_posture.fitting.body_model.arms import Arm, find_arm
from putt_posture.fitting.body_model.pose import Pose, place_body
from putt_posture.values import SOFT_ELBOW_BEND_DEG, Floats, Sex, WantedSetup

__all__ = ["BodySetup", "find_setup", "say_obstacle"]

TILT_RANGE_DEG: Final = (0.0, 60.0)
"""Tilts that are suggested. ISO 11226:2000 does not recommend holding the trunk beyond 60° (from memory)."""

HEAD_DROP_RANGE_DEG: Final = (-30.0, 60.0)
"""How far a head can comfortably be lowered or raised from the line of the spine, and a little more, deg (judged)."""

LIE_RANGE_DEG: Final = (50.0, 88.0)
"""No putter has a lie outside of these, deg; a suggested lie also keeps to the Rules' 80°."""


MISSED_CM: Final = 0.5
"""Elbows farther than this behind their place at the ribs are not as wanted, cm."""


@frozen(kw_only=True, eq=False)
class BodySetup:
    """A body at address over a ball; NaN where it cannot stand like that.

    Attributes
    ----------
    pose : Pose
    tilt, elbow_bend, head_drop, knee_flex, back_rounding, lie : (…)
        As the measures define them, deg.
    hand_offset, elbow_depth, eye_offset : (…)
        As the measures define them, cm.
    hand_height, ball_distance : (…)
        Hand centre above the ground, and ball ahead of the toes of the shoes, cm.
    """

    pose: Pose
    tilt: Floats
    elbow_bend: Floats
    head_drop: Floats
    knee_flex: Floats
    back_rounding: Floats
    lie: Floats
    hand_offset: Floats
    elbow_depth: Floats
    eye_offset: Floats
    hand_height: Floats
    ball_distance: Floats


@frozen(kw_only=True, eq=False)
class _Hang:
    """Trunk and arms: tilt, elbow bend as seen from the side, upper arm behind the plumb line, deg."""

    tilt: Floats
    seen: Floats
    back: Floats


def find_setup(body: Mapping[str, Floats], wanted: WantedSetup, *, sex: Sex | None) -> BodySetup:
    """Put a body into a wanted setup.

    Parameters
    ----------
    body : mapping of str to (…)
        Lengths as `find_lengths` names them, with ``sole``, what shoes add, and ``slack``, how much higher the hands
        are than with stiff links, cm. An entry with the name of an attribute of `wanted` is added to that attribute:
        this body departs from it by so much.
    wanted : WantedSetup
    sex : {"female", "male"}, optional
        Which table of masses.

    Notes
    -----
    Shoulder, elbow and hands are a triangle in the plane: the elbow bend and the hands' place under the shoulders
    determine how far the upper arm leans back. The elbow touches the front of the ribs where upper arm · sin(tilt −
    back) is how far the ribs stand out from the line of the spine, which gives the tilt. The legs lean until the weight
    is where it is wanted; the ball is put under the eyes, and the line from it to the hands is the shaft.
    """
    asked = _spell_out(wanted, body)
    arm = find_arm(body)
    hang = _hang_arms(arm, body["ribs"], asked, from_tilt=wanted.tilt_deg is not None)
    pitch = 90 - asked["eyes_lowered_deg"]

    def place(head_drop: Floats) -> Pose:
        return place_body(
            body,
            sole=body["sole"],
            knee_flex=asked["knee_flex_deg"],
            tilt=hang.tilt,
            back_rounding=asked["back_rounding_deg"],
            head_drop=head_drop,
            head_pitch=pitch,
            upper_arm_back=hang.back,
            elbow_bend_seen=hang.seen,
            balance=asked["balance_percent"],
            sex=sex,
        )

    drop = asked["head_drop_deg"]
    pose = place(drop)
    height = pose.z("hands") + body["slack"]
    if "lie_deg" in asked:
        # The ball lies where the shaft meets the ground, and the head is lowered until the eyes are over it.
        lie = asked["lie_deg"]
        shaft = height / np.tan(np.radians(lie))
        ahead = shaft + asked["hand_offset_cm"] + asked["eye_offset_cm"]
        with np.errstate(invalid="ignore"):
            sine = (ahead - body["ear_to_eye"] * np.cos(np.radians(pitch))) / body["neck"]
            drop = np.degrees(np.arcsin(sine)) - hang.tilt
        pose = place(drop)
        ball = pose.y("hands") + shaft
    else:
        ball = pose.y("eye") - asked["eye_offset_cm"]
        lie = np.degrees(np.arctan2(height, ball - pose.y("hands")))
    return BodySetup(
        pose=pose,
        tilt=hang.tilt,
        elbow_bend=arm.bend_in_space(hang.seen),
        head_drop=drop,
        knee_flex=asked["knee_flex_deg"],
        back_rounding=asked["back_rounding_deg"],
        lie=lie,
        hand_offset=asked["hand_offset_cm"],
        elbow_depth=arm.upper * np.sin(np.radians(hang.tilt - hang.back)) - body["ribs"],
        eye_offset=asked["eye_offset_cm"],
        hand_height=height,
        ball_distance=ball - pose.y("toe"),
    )


def say_obstacle(setup: BodySetup, wanted: WantedSetup) -> str | None:
    """Say in one sentence why a body cannot stand in a wanted setup; None where it can.

    Parameters
    ----------
    setup : BodySetup
        Of one body.
    wanted : WantedSetup
    """
    tilt, lie, drop = float(setup.tilt), float(setup.lie), float(setup.head_drop)
    hands = "straight under the shoulders"
    if wanted.hand_offset_cm:
        hands = f"{format_given(abs(wanted.hand_offset_cm), 'cm')} from under the shoulders"
    off_ribs = float(setup.elbow_depth) - wanted.elbow_depth_cm
    follows = wanted.tilt_deg is None or wanted.elbow_bend_deg is None
    if not math.isfinite(tilt) or not math.isfinite(off_ribs) or (follows and off_ribs < -MISSED_CM):
        tilted = "" if wanted.tilt_deg is None else f" at a tilt of {format_given(wanted.tilt_deg, 'deg')}"
        return (
            f"This body cannot have its hands {hands} and its elbows at the ribs{tilted}; let the elbows be farther "
            "back or ask for another tilt."
        )
    low, high = TILT_RANGE_DEG
    if not low <= tilt <= high:
        return (
            f"With hands {hands} and elbows at the ribs the trunk would have to tilt by {format_value(tilt, 'deg')}, "
            "outside the "
            f"{low:g}° to {high:g}° that may be suggested; let the elbows bend less or the hands come in."
        )
    low, high = HEAD_DROP_RANGE_DEG
    if wanted.lie_deg is not None and not low <= drop <= high:
        return (
            f"At a lie of {format_given(lie, 'deg')} no position of the head brings the eyes over the ball; ask for "
            "another lie, or let the eyes be farther inside."
        )
    if not math.isfinite(float(setup.pose.balance)):
        place = format_given(wanted.balance_percent, "%")
        return f"No stance puts the weight at {place} of the foot; ask for a place nearer 50 %."
    if not LIE_RANGE_DEG[0] <= lie <= LIE_RANGE_DEG[1]:
        side = "inside" if wanted.eye_offset_cm < 0 else "beyond"
        return (
            f"With the eyes {format_given(abs(wanted.eye_offset_cm), 'cm')} {side} the ball the shaft would lie at "
            f"{format_value(lie, 'deg')}, which no putter does; ask for another place of the eyes or the head."
        )
    return None


def _spell_out(wanted: WantedSetup, body: Mapping[str, Floats]) -> dict[str, Floats]:
    """Return every wanted value, with the body's own departure added."""
    wanted_values: dict[str, float | None] = asdict(wanted)
    if wanted.tilt_deg is None and wanted.elbow_bend_deg is None:
        wanted_values["elbow_bend_deg"] = SOFT_ELBOW_BEND_DEG
    return {
        name: np.asarray(value + body.get(name, np.zeros(())), dtype=np.float64)
        for name, value in wanted_values.items()
        if value is not None
    }


def _hang_arms(arm: Arm, ribs: Floats, asked: Mapping[str, Floats], *, from_tilt: bool) -> _Hang:
    offset = asked["hand_offset_cm"]
    with np.errstate(invalid="ignore"):
        to_ribs = np.degrees(np.arcsin((ribs + asked["elbow_depth_cm"]) / arm.upper))
    if "elbow_bend_deg" not in asked:
        # Where even straight arms do not reach the front of the ribs, they hang straight, farther back.
        tilt = asked["tilt_deg"]
        seen = np.maximum(arm.bend_to_reach(tilt - to_ribs, offset), 0.0)
        return _Hang(tilt=tilt, seen=seen, back=arm.upper_arm_back(seen, offset))
    seen = arm.bend_from_the_side(asked["elbow_bend_deg"])
    back = arm.upper_arm_back(seen, offset)
    return _Hang(tilt=asked["tilt_deg"] if from_tilt else back + to_ribs, seen=seen, back=back)
