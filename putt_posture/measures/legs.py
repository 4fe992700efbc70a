"""The measures of legs and stance.

Formulas take a plane and return (T,) degrees or cm; NaN where a joint is unseen.

Axes and signs are those of ``measures.md`` beside this file.
"""

from functools import partial
from typing import Final

import numpy as np

from putt_posture.measures.record import DOWN_THE_LINE, FACE_ON, Measure, Reading, Said, Shift, Words, read_plane
from putt_posture.measures.sketch import Between, Bracket, Dot, Mark, Plumb, Sketch, Trace
from putt_posture.posture.angles import bend_at
from putt_posture.posture.plane import Plane, near_side
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.values import Floats, Side

__all__ = ["KNEE_FLEX", "STANCE_WIDTH", "knee_flex", "stance_width"]

_TRAIL_ANKLE: Final = Mark("ankles", 0)
_LEAD_ANKLE: Final = Mark("ankles", 1)
_ACROSS: Final = Plumb(_LEAD_ANKLE, level_with=_TRAIL_ANKLE)


def knee_flex(plane: Plane, *, near: Side) -> Floats:
    """Return 180° minus the angle hip–knee–ankle of the near leg, (T,) deg; 0 = straight. Down the line.

    Parameters
    ----------
    plane : Plane
    near : Side
        The leg nearer the camera.
    """
    return bend_at(plane.at(f"{near}_hip"), plane.at(f"{near}_knee"), plane.at(f"{near}_ankle"))


def stance_width(plane: Plane) -> Floats:
    """Return the distance between the ankle joints along the target line, (T,) cm. Face on.

    Parameters
    ----------
    plane : Plane
    """
    return np.asarray(np.abs(plane.at("left_ankle")[:, 0] - plane.at("right_ankle")[:, 0]))


def _read_knee(seen: SeenSetup) -> Reading:
    return Reading(
        of=partial(knee_flex, near=near_side(seen.scene("down_the_line"))),
        view="down_the_line",
        method="hip, knee and ankle landmarks of the near leg",
        unseen="The near leg is hidden or outside the picture.",
    )


KNEE_FLEX: Final = Measure(
    name="knee_flex",
    order=40,
    part="legs",
    unit="deg",
    views=DOWN_THE_LINE,
    axes="y–z",
    title="Knee flex",
    definition=(
        "180° less the angle at the knee joint between hip joint and ankle joint, of the leg nearer the camera."
    ),
    words=Words(
        what="How far the knee nearest the camera is bent.",
        direction="0° is a straight leg; more is a deeper bend.",
        stroke="A deeper bend lowers the hips and the hands and so asks for a shorter putter or a flatter shaft; a "
        "bend that changes between putts tends to change the height of the hands.",
        said=Said(plus="from straight"),
    ),
    shift=Shift(
        more="The knees bend deeper: hips and hands come lower, which asks for a shorter putter or a flatter shaft.",
        less="The legs are straighter: hips and hands come higher, which asks for a longer putter or a more upright "
        "shaft.",
    ),
    reading=_read_knee,
    model_sd=0.3,
    scatter_sd=2.0,
    sketches={
        "down_the_line": Sketch(
            rank=7,
            strokes=(
                Trace("near_leg", width=0.13),
                Dot(Mark("near_leg", 1), radius=0.18),
                Dot(Mark("near_leg", 2), radius=0.18),
            ),
            anchor=Mark("near_leg", 1),
            wanted=(-1.0, 0.0),
        )
    },
)


STANCE_WIDTH: Final = Measure(
    name="stance_width",
    order=170,
    part="legs",
    unit="cm",
    views=FACE_ON,
    axes="x",
    title="Stance width",
    definition="Distance between the two ankle joints along the target line.",
    words=Words(
        what="The distance between the two ankle joints along the line to the target.",
        direction="More is wider.",
        stroke="A wider stance tends to keep the hips stiller and lowers the body; a narrower one lets the golfer "
        "stand taller.",
        said=Said(plus="between the ankles"),
    ),
    shift=Shift(
        more="The stance is wider: it tends to keep the hips stiller, and lowers the body.",
        less="The stance is narrower: the golfer can stand taller, and the hips tend to be less still.",
    ),
    reading=read_plane(
        stance_width,
        view="face_on",
        method="ankle landmarks",
        unseen="The ankles are hidden or outside the picture.",
    ),
    model_sd=0.2,
    scatter_sd=1.5,
    sketches={
        "face_on": Sketch(
            rank=4,
            strokes=(Dot(_TRAIL_ANKLE, radius=0.16), Dot(_LEAD_ANKLE, radius=0.16), Bracket(_TRAIL_ANKLE, _ACROSS)),
            anchor=Between(_TRAIL_ANKLE, _ACROSS, share=0.25),
            wanted=(-1.0, 0.0),
        )
    },
)
