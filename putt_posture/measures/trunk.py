"""The measures of the trunk.

The two ends of the spine line are the mid-points of the hip and of the shoulder joints. Formulas take a plane and
return (T,) degrees; NaN where a joint is unseen.

Axes and signs are those of ``measures.md`` beside this file.
"""

from functools import partial
from typing import Final

import numpy as np

from putt_posture.measures.record import DOWN_THE_LINE, FACE_ON, Measure, Reading, Said, Shift, Words, read_plane
from putt_posture.measures.sketch import (
    AngleArc,
    Between,
    Dot,
    Mark,
    Middle,
    Plumb,
    Polyline,
    Shifted,
    Sketch,
    Trace,
    Way,
)
from putt_posture.posture.angles import inclination, slope
from putt_posture.posture.back import back_rounding
from putt_posture.posture.plane import Plane
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.values import Floats, Side, median_seen

__all__ = ["BACK_ROUNDING", "SHOULDER_LEVEL", "SIDE_BEND", "SPINE_TILT", "shoulder_level", "side_bend", "spine_tilt"]

_HIPS: Final = Mark("spine", 0)
_SHOULDERS: Final = Mark("spine", 1)
_TILT: Final = AngleArc(_HIPS, "up", Way(_HIPS, _SHOULDERS), share=0.72, of=(_HIPS, _SHOULDERS))
_ACROSS: Final = (Mark("shoulders", 0), Mark("shoulders", 1))
_CHEST: Final = Between(*_ACROSS)


def spine_tilt(plane: Plane) -> Floats:
    """Return the lean of the spine line toward the ball, (T,) deg; + = toward the ball. Down the line.

    Parameters
    ----------
    plane : Plane
    """
    return inclination(plane.middle("hip"), plane.middle("shoulder"))


def side_bend(plane: Plane) -> Floats:
    """Return the lean of the spine line away from the target, (T,) deg; + = away. Face on.

    Parameters
    ----------
    plane : Plane
    """
    return -inclination(plane.middle("hip"), plane.middle("shoulder"))


def shoulder_level(plane: Plane, *, lead: Side, trail: Side) -> Floats:
    """Return the slope of the shoulder line, (T,) deg; + = lead shoulder higher. Face on.

    Parameters
    ----------
    plane : Plane
    lead : Side
    trail : Side
    """
    return slope(plane.at(f"{trail}_shoulder"), plane.at(f"{lead}_shoulder"))


def _read_rounding(seen: SeenSetup) -> Reading:
    backs = [outline.back for outline in seen.outlines]
    folds = np.array([back.rounding_sd_deg() for back in backs])
    return Reading(
        of=partial(back_rounding, outlines=backs),
        view="down_the_line",
        method="outline of the back about the mid-hip to mid-shoulder line",
        unseen="The outline of the back could not be followed from the pelvis to the neck.",
        other={"outline of the back": float(np.nan_to_num(median_seen(folds)))},
    )


def _read_shoulders(seen: SeenSetup) -> Reading:
    return Reading(
        of=partial(shoulder_level, lead=seen.side("lead"), trail=seen.side("trail")),
        view="face_on",
        method="shoulder landmarks",
        unseen="The shoulders are hidden or outside the picture.",
    )


SPINE_TILT: Final = Measure(
    name="spine_tilt",
    order=10,
    part="trunk",
    unit="deg",
    views=DOWN_THE_LINE,
    axes="y–z",
    title="Spine tilt",
    definition=(
        "Angle from the vertical to the spine line, which runs from midway between the hip joints to midway between "
        "the shoulder joints."
    ),
    words=Words(
        what="How far the line from the hips to the shoulders leans from the vertical.",
        direction="0° is upright; more leans further toward the ball.",
        stroke="With more tilt the shoulders rock more up and down, and the putter head tends to run straighter; "
        "with less tilt they turn more around, and it tends to swing on more of an arc.",
        said=Said(plus="from upright"),
    ),
    shift=Shift(
        more="The trunk leans further toward the ball: the shoulders tend to rock more up and down, and the putter "
        "head to run straighter.",
        less="The trunk stands more upright: the shoulders tend to turn more around, and the putter head to swing on "
        "more of an arc.",
    ),
    reading=read_plane(
        spine_tilt,
        view="down_the_line",
        method="mid-hip to mid-shoulder landmarks",
        unseen="The hips or the shoulders are hidden or outside the picture.",
    ),
    model_sd=0.3,
    scatter_sd=1.5,
    sketches={
        "down_the_line": Sketch(
            rank=1,
            strokes=(
                Polyline(
                    (_HIPS, Shifted(_HIPS, up=1.05, of=(_HIPS, _SHOULDERS))), width=0.11, dashed=True, reference=True
                ),
                Polyline((_HIPS, _SHOULDERS), width=0.22),
                _TILT,
                Dot(_HIPS),
                Dot(_SHOULDERS),
            ),
            anchor=_TILT,
            wanted=(-0.6, 1.0),
        )
    },
)


BACK_ROUNDING: Final = Measure(
    name="back_rounding",
    order=20,
    part="trunk",
    unit="deg",
    views=DOWN_THE_LINE,
    axes="y–z",
    title="Back rounding",
    definition=(
        "Angle between two tangents of the outline of the back: one just above the pelvis, one where the neck begins."
    ),
    words=Words(
        what="How much the outline of the back bends between the pelvis and the base of the neck.",
        direction="0° is a flat back; more is rounder. It is the outline of clothes and skin, not a clinical angle.",
        stroke="With more rounding the shoulders tend to sit further forward and lower, so that the arms hang "
        "nearer the knees and the shoulders have less of a straight line to turn about.",
        plus="rounded",
        minus="hollow",
        zero="flat, within the margin",
        said=Said(minus="hollow", short_minus="hollow"),
    ),
    shift=Shift(
        more="The back is rounder: the shoulders tend to sit further forward and lower, with less of a straight line "
        "to turn about.",
        less="The back is flatter: the shoulders have more of a straight line to turn about, and the arms tend to hang "
        "further from the knees.",
    ),
    reading=_read_rounding,
    model_sd=2.7,  # 4.2° when it did not respond to its joints: 2.3° of that is theirs, 2.3° folds and soft edges
    scatter_sd=2.0,
    sketches={
        "down_the_line": Sketch(
            rank=5,
            strokes=(Trace("back", width=0.13),),
            more=(
                Polyline((Mark("back_tangents", 0), Mark("back_tangents", 1)), width=0.08, dashed=True, reference=True),
                Polyline((Mark("back_tangents", 2), Mark("back_tangents", 3)), width=0.08, dashed=True, reference=True),
            ),
            anchor=Middle("back"),
            wanted=(-1.0, 0.0),
        )
    },
)


SHOULDER_LEVEL: Final = Measure(
    name="shoulder_level",
    order=190,
    part="trunk",
    unit="deg",
    views=FACE_ON,
    axes="x–z",
    title="Shoulder level",
    definition="Angle by which the line through the two shoulder joints rises from the level, to the lead side.",
    words=Words(
        what="The slope of the line through the two shoulders, seen face on.",
        direction="0° is level; + is the lead shoulder higher, − is the trail shoulder higher.",
        stroke="A higher lead shoulder tends to send the putter head upward through the ball, a lower one downward.",
        plus="lead shoulder higher",
        minus="trail shoulder higher",
        zero="level, within the margin",
        said=Said(
            plus="with the lead shoulder higher",
            minus="with the trail shoulder higher",
            short_plus="lead higher",
            short_minus="trail higher",
        ),
    ),
    shift=Shift(
        more="The lead shoulder came up against the trail one: it tends to send the putter head more upward through "
        "the ball.",
        less="The lead shoulder came down against the trail one: it tends to send the putter head more downward "
        "through the ball.",
    ),
    reading=_read_shoulders,
    model_sd=0.2,
    scatter_sd=1.5,
    sketches={
        "face_on": Sketch(
            rank=3,
            strokes=(
                Polyline(
                    (Shifted(_CHEST, ahead=-0.62, of=_ACROSS), Shifted(_CHEST, ahead=0.62, of=_ACROSS)),
                    width=0.11,
                    dashed=True,
                    reference=True,
                ),
                Polyline(_ACROSS, width=0.22),
                Dot(_ACROSS[0]),
                Dot(_ACROSS[1]),
            ),
            anchor=_ACROSS[1],
            wanted=(0.8, 1.0),
        )
    },
)


SIDE_BEND: Final = Measure(
    name="side_bend",
    order=200,
    part="trunk",
    unit="deg",
    views=FACE_ON,
    axes="x–z",
    title="Side bend",
    definition=(
        "Angle from the vertical to the spine line, which runs from midway between the hip joints to midway between "
        "the shoulder joints."
    ),
    words=Words(
        what="How far the line from the hips to the shoulders leans sideways, seen face on.",
        direction="0° is upright; + is away from the target, − is toward it.",
        stroke="A lean away from the target tends to move the low point of the swing back, a lean toward it tends "
        "to move it forward.",
        plus="away from the target",
        minus="toward the target",
        zero="upright, within the margin",
        said=Said(
            plus="away from the target",
            minus="toward the target",
            short_plus="away from target",
            short_minus="toward target",
        ),
    ),
    shift=Shift(
        more="The trunk leans further from the target: the low point of the swing tends to move back.",
        less="The trunk leans further toward the target: the low point of the swing tends to move forward.",
    ),
    reading=read_plane(
        side_bend,
        view="face_on",
        method="mid-hip to mid-shoulder landmarks",
        unseen="The hips or the shoulders are hidden or outside the picture.",
    ),
    model_sd=0.2,
    scatter_sd=1.0,
    sketches={
        "face_on": Sketch(
            rank=7,
            strokes=(
                Polyline((_HIPS, Plumb(_HIPS, level_with=_SHOULDERS)), width=0.08, dashed=True, reference=True),
                Polyline((_HIPS, _SHOULDERS), width=0.16),
                Dot(_HIPS, radius=0.16),
            ),
            anchor=Between(_HIPS, _SHOULDERS),
            wanted=(-1.0, 0.0),
        )
    },
)
