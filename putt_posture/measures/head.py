"""The measures of the head and the eyes.

Formulas take a plane and return (T,) degrees or cm; NaN where a joint is unseen.

Axes and signs are those of ``measures.md`` beside this file.
"""

from functools import partial
from typing import Any, Final

import numpy as np

from putt_posture.measures.record import DOWN_THE_LINE, FACE_ON, Measure, Reading, Said, Shift, Words, read_plane
from putt_posture.measures.sketch import (
    AngleArc,
    Between,
    Beyond,
    Bracket,
    Dot,
    Mark,
    Plumb,
    Polyline,
    Ring,
    Shifted,
    Sketch,
    Way,
)
from putt_posture.posture.angles import inclination
from putt_posture.posture.budget import FrameMeasure
from putt_posture.posture.plane import Plane
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.posture.shaft_and_ball import SeenBall, ball_as
from putt_posture.values import Floats, View

__all__ = ["EYE_OFFSET", "HEAD_DROP", "HEAD_POSITION", "eye_offset", "head_drop", "head_position"]

_HIPS: Final = Mark("spine", 0)
_SHOULDERS: Final = Mark("head", 0)
_EARS: Final = Mark("head", 1)
_DROP: Final = AngleArc(_SHOULDERS, Way(_HIPS, _SHOULDERS), Way(_SHOULDERS, _EARS), share=0.75, of=(_SHOULDERS, _EARS))
_ABOVE_BALL: Final = Shifted(Mark("ball"), up=1.2)
_UNDER_EYES: Final = Plumb(Mark("eyes"), level_with=_ABOVE_BALL)
_EYES_TO_BALL: Final[dict[str, Any]] = {
    "strokes": (
        Polyline((Mark("eyes"), _UNDER_EYES), width=0.07, dashed=True),
        Bracket(_ABOVE_BALL, _UNDER_EYES, tick=0.35),
        Ring(Mark("ball")),
    ),
    "anchor": Between(_ABOVE_BALL, _UNDER_EYES),
}


def head_drop(plane: Plane) -> Floats:
    """Return how far the line mid-shoulder to mid-ear leans beyond the spine line, (T,) deg.

    + = chin toward the chest. Down the line.

    Parameters
    ----------
    plane : Plane
    """
    spine = inclination(plane.middle("hip"), plane.middle("shoulder"))
    return inclination(plane.middle("shoulder"), plane.middle("ear")) - spine


def eye_offset(plane: Plane, *, ball: SeenBall) -> Floats:
    """Return how far the eyes are beyond the ball's centre, (T,) cm; − = inside it. Down the line.

    Parameters
    ----------
    plane : Plane
    ball : SeenBall
    """
    return np.asarray(plane.middle("eye")[:, 0] - ball.along(plane))


def head_position(plane: Plane, *, ball: SeenBall) -> Floats:
    """Return how far the mid-point of the eyes is toward the target from the ball, (T,) cm. Face on.

    Parameters
    ----------
    plane : Plane
    ball : SeenBall
    """
    return np.asarray(plane.middle("eye")[:, 0] - ball.along(plane))


def _read_eyes_beyond_ball(seen: SeenSetup) -> Reading:
    return _read_eyes(seen, "down_the_line", partial(eye_offset, ball=seen.ball("down_the_line")))


def _read_eyes_along_line(seen: SeenSetup) -> Reading:
    return _read_eyes(seen, "face_on", partial(head_position, ball=seen.ball("face_on")))


def _read_eyes(seen: SeenSetup, view: View, of: FrameMeasure) -> Reading:
    return Reading(
        of=of,
        view=view,
        method=f"eye landmarks against {ball_as(seen.scene(view))}",
        unseen="The eyes are hidden or outside the picture.",
    )


HEAD_DROP: Final = Measure(
    name="head_drop",
    order=30,
    part="head",
    unit="deg",
    views=DOWN_THE_LINE,
    axes="y–z",
    title="Head drop",
    definition=(
        "Angle between the spine line carried on beyond the shoulders and the line from midway between the shoulder "
        "joints to midway between the ears."
    ),
    words=Words(
        what="How far the line from the shoulders to the ears hangs beyond the line of the spine.",
        direction="0° carries the spine's line on; + brings the chin toward the chest, − lifts it.",
        stroke="It sets the line of sight: with the chin down the eyes look straight at the ball, with the chin up "
        "they look down along the cheeks, and the line to the hole can seem to run differently.",
        plus="chin toward the chest",
        minus="chin lifted",
        zero="in line with the spine, within the margin",
        said=Said(
            plus="with the chin toward the chest",
            minus="with the chin lifted",
            short_plus="chin down",
            short_minus="chin up",
        ),
    ),
    shift=Shift(
        more="The chin is nearer the chest: the eyes tend to look more straight at the ball, and the line to the hole "
        "can seem to run differently, so check the aim.",
        less="The chin is higher: the eyes tend to look down along the cheeks, and the line to the hole can seem to "
        "run differently, so check the aim.",
    ),
    reading=read_plane(
        head_drop,
        view="down_the_line",
        method="mid-shoulder to mid-ear landmarks against the spine line",
        unseen="The ears, shoulders or hips are hidden or outside the picture.",
    ),
    model_sd=0.3,
    scatter_sd=3.0,
    sketches={
        "down_the_line": Sketch(
            rank=8,
            strokes=(
                Polyline(
                    (_SHOULDERS, Beyond(_HIPS, _SHOULDERS, by=(_SHOULDERS, _EARS))),
                    width=0.08,
                    dashed=True,
                    reference=True,
                ),
                Polyline((_SHOULDERS, _EARS), width=0.13),
                _DROP,
                Dot(_EARS, radius=0.16),
            ),
            anchor=_DROP,
            wanted=(0.6, 1.0),
        )
    },
)


EYE_OFFSET: Final = Measure(
    name="eye_offset",
    order=120,
    part="head",
    unit="cm",
    views=DOWN_THE_LINE,
    axes="y",
    title="Eyes over the ball",
    definition="Distance from the centre of the ball to midway between the eyes.",
    words=Words(
        what="How far the eyes are beyond or inside the ball, seen down the line.",
        direction="0 is straight above the ball; + is beyond it, − is inside it, toward the feet.",
        stroke="Where the eyes are can change how the line to the hole seems to run; which way differs from one "
        "golfer to the next, so it is best tried out with the student's own aim.",
        plus="beyond the ball",
        minus="inside the ball, toward the feet",
        zero="straight above the ball, within the margin",
        said=Said(
            plus="beyond the ball", minus="inside the ball", short_plus="beyond the ball", short_minus="inside the ball"
        ),
    ),
    shift=Shift(
        more="The eyes moved out, away from the feet: the line to the hole can seem to run differently, which way "
        "differs from one golfer to the next, so check the aim.",
        less="The eyes moved in, toward the feet: the line to the hole can seem to run differently, which way differs "
        "from one golfer to the next, so check the aim.",
    ),
    reading=_read_eyes_beyond_ball,
    needs="ball",
    model_sd=0.2,
    found_sd=0.3,
    scatter_sd=1.5,
    sketches={
        "down_the_line": Sketch(rank=3, wanted=(1.0, 0.4), **_EYES_TO_BALL),
    },
)


HEAD_POSITION: Final = Measure(
    name="head_position",
    order=210,
    part="head",
    unit="cm",
    views=FACE_ON,
    axes="x",
    title="Head along the line",
    definition="Distance from the centre of the ball to midway between the eyes.",
    words=Words(
        what="How far the eyes are ahead of or behind the ball, seen face on.",
        direction="0 is above the ball; + is ahead of it, toward the target; − is behind it.",
        stroke="Eyes behind the ball look along the line from behind it, eyes ahead of it look back at it; either "
        "can change how the line to the hole seems to run.",
        plus="ahead of the ball",
        minus="behind the ball",
        zero="above the ball, within the margin",
        said=Said(
            plus="ahead of the ball",
            minus="behind the ball",
            short_plus="ahead of the ball",
            short_minus="behind the ball",
        ),
    ),
    shift=Shift(
        more="The eyes moved toward the target: the line to the hole can seem to run differently, so check the aim.",
        less="The eyes moved away from the target: the line to the hole can seem to run differently, so check the aim.",
    ),
    reading=_read_eyes_along_line,
    needs="ball",
    model_sd=0.2,
    found_sd=0.3,
    scatter_sd=1.5,
    sketches={
        "face_on": Sketch(rank=9, wanted=(1.0, 0.4), **_EYES_TO_BALL),
    },
)
