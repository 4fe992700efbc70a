"""The measures of putter and ball, drawn by the coach or found in the picture.

Formulas take a plane and return (T,) degrees or cm; shaft and ball are picture points with their depth as far as known.

Axes and signs are those of ``measures.md`` beside this file.
"""

from functools import partial
from typing import Final

import numpy as np

from putt_posture.body import PUTTER_TAPE_SD_CM
from putt_posture.measures.record import DOWN_THE_LINE, FACE_ON, Measure, Reading, Said, Shift, Words
from putt_posture.measures.sketch import (
    AngleArc,
    Between,
    Bracket,
    Level,
    Mark,
    Plumb,
    Polyline,
    Ring,
    Shifted,
    Sketch,
    Way,
)
from putt_posture.posture.angles import inclination, slope
from putt_posture.posture.plane import Plane
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.posture.shaft_and_ball import SeenBall, SeenShaft, ball_as, no_shaft, putter_ends_as, shaft_as
from putt_posture.values import Estimate, Floats, absent

__all__ = [
    "BALL_DISTANCE",
    "BALL_POSITION",
    "LENGTH_CONVENTION",
    "PUTTER_LENGTH",
    "SHAFT_LEAN",
    "SHAFT_LIE",
    "ball_distance",
    "ball_position",
    "putter_length",
    "shaft_lean",
    "shaft_lie",
    "typed_length",
]

LENGTH_CONVENTION: Final = "from the top of the grip, along the shaft's axis, to the sole"
_NO_SHAFT: Final = "The shaft was not found."

_BUTT: Final = Mark("shaft", 0)
_SOLE: Final = Mark("shaft", 1)
_SHAFT: Final = Polyline((_BUTT, _SOLE), width=0.1)
_LIE: Final = AngleArc(_SOLE, Level(_SOLE, _BUTT), Way(_SOLE, _BUTT), share=0.18, of=(_SOLE, _BUTT))
_ANKLES: Final = Between(Mark("ankles", 0), Mark("ankles", 1))
_UNDER_BALL: Final = Shifted(Mark("ball"), up=-1.0)
_STANCE: Final = Plumb(_ANKLES, level_with=_UNDER_BALL)


def ball_distance(plane: Plane, *, ball: SeenBall) -> Floats:
    """Return how far the ball's centre is beyond the front of the toes, (T,) cm. Down the line.

    Parameters
    ----------
    plane : Plane
    ball : SeenBall
    """
    return np.asarray(ball.along(plane) - plane.middle("foot_index")[:, 0])


def shaft_lie(plane: Plane, *, shaft: SeenShaft) -> Floats:
    """Return the angle of the shaft above the horizontal, (T,) deg. Down the line.

    Parameters
    ----------
    plane : Plane
    shaft : SeenShaft
    """
    butt, sole = shaft.ends(plane)
    return _in_every_frame(plane, slope(sole, butt))


def putter_length(plane: Plane, *, shaft: SeenShaft) -> Floats:
    """Return the length from the butt end of the grip to the sole, (T,) cm. Down the line.

    Parameters
    ----------
    plane : Plane
    shaft : SeenShaft
    """
    butt, sole = shaft.ends(plane)
    toward = shaft.toward_cm[0] - shaft.toward_cm[1]
    return _in_every_frame(plane, np.hypot(np.linalg.norm(butt - sole), toward))


def ball_position(plane: Plane, *, ball: SeenBall) -> Floats:
    """Return how far the ball is toward the target from the mid-point of the ankles, (T,) cm. Face on.

    Parameters
    ----------
    plane : Plane
    ball : SeenBall
    """
    return np.asarray(ball.along(plane) - plane.middle("ankle")[:, 0])


def shaft_lean(plane: Plane, *, shaft: SeenShaft) -> Floats:
    """Return the angle of the shaft from the vertical, (T,) deg; + = hands toward the target. Face on.

    Parameters
    ----------
    plane : Plane
    shaft : SeenShaft
    """
    butt, sole = shaft.ends(plane)
    return _in_every_frame(plane, inclination(sole, butt))


def typed_length(length_cm: float) -> Estimate:
    """Return the putter's length as the coach typed it, cm.

    Parameters
    ----------
    length_cm : float
        Butt to sole along the shaft.
    """
    return Estimate(value=length_cm, standard_uncertainty=PUTTER_TAPE_SD_CM, unit="cm", method="typed by the coach")


def _in_every_frame(plane: Plane, value: float | np.floating | Floats) -> Floats:
    return np.full(len(plane.points_px), float(value))


def _read_ball_from_toes(seen: SeenSetup) -> Reading:
    return Reading(
        of=partial(ball_distance, ball=seen.ball("down_the_line")),
        view="down_the_line",
        method=f"toe landmarks against {ball_as(seen.scene('down_the_line'))}",
        unseen="The feet are hidden or outside the picture.",
    )


def _read_ball_along_stance(seen: SeenSetup) -> Reading:
    return Reading(
        of=partial(ball_position, ball=seen.ball("face_on")),
        view="face_on",
        method=f"ankle landmarks against {ball_as(seen.scene('face_on'))}",
        unseen="The ankles are hidden or outside the picture.",
    )


def _read_lie(seen: SeenSetup) -> Reading:
    return Reading(
        of=partial(shaft_lie, shaft=seen.shaft("down_the_line")),
        view="down_the_line",
        method=shaft_as(seen.scene("down_the_line")),
        unseen=_NO_SHAFT,
    )


def _read_lean(seen: SeenSetup) -> Reading:
    return Reading(
        of=partial(shaft_lean, shaft=seen.shaft("face_on")),
        view="face_on",
        method=shaft_as(seen.scene("face_on")),
        unseen=_NO_SHAFT,
    )


def _read_length(seen: SeenSetup) -> Reading:
    scene = seen.scene("down_the_line")
    return Reading(
        of=partial(putter_length, shaft=seen.shaft("down_the_line")),
        view="down_the_line",
        method=putter_ends_as(scene),
        unseen=_NO_SHAFT,
        other={"ends of the putter": scene.putter_sd_cm} if scene.shaft_source == "found" else {},
    )


def _take_typed_length(found: Estimate, seen: SeenSetup) -> Estimate:
    """Return the length that the coach typed where the picture gives no length, or where it is the picture's scale.

    Without a putter in the hands, what was typed is no putter as filmed.
    """
    typed = seen.student.putter_length_cm
    bare = next((result.scene for result in seen.results.values() if result.scene.without_putter), None)
    if bare is not None:
        return absent(no_shaft(bare), unit="cm", view=bare.view)
    gave_scale = seen.has("down_the_line") and seen.scene("down_the_line").scale_source == "putter"
    if typed is None or (found and not gave_scale):
        return found
    return typed_length(typed)


BALL_DISTANCE: Final = Measure(
    name="ball_distance",
    order=130,
    part="club",
    unit="cm",
    views=DOWN_THE_LINE,
    axes="y",
    title="Ball from the toes",
    definition="Distance from the front of the toes to the centre of the ball.",
    words=Words(
        what="How far the middle of the ball is in front of the toes.",
        direction="More is further away.",
        stroke="A ball further away tends to bring the hands out and the shaft down; a nearer one tends to bring "
        "the hands in and the shaft up.",
        said=Said(plus="in front of the toes"),
    ),
    shift=Shift(
        more="The ball is further from the toes: it tends to bring the hands out and the shaft down.",
        less="The ball is nearer the toes: it tends to bring the hands in and the shaft up.",
    ),
    reading=_read_ball_from_toes,
    needs="ball",
    model_sd=0.2,
    found_sd=0.3,
    scatter_sd=1.5,
)


SHAFT_LIE: Final = Measure(
    name="shaft_lie",
    order=150,
    part="club",
    unit="deg",
    views=DOWN_THE_LINE,
    axes="y–z",
    title="Lie of the shaft",
    definition="How steep the shaft stands: its angle from the level.",
    words=Words(
        what="The angle of the shaft above the ground, seen down the line.",
        direction="More is more upright.",
        stroke="A more upright shaft tends to swing on less of an arc; a putter whose own lie differs from it "
        "stands on its heel or its toe, and the face then points a little off line.",
        said=Said(plus="above the ground"),
    ),
    shift=Shift(
        more="The shaft is more upright: it tends to swing on less of an arc; compare it with the putter's own lie.",
        less="The shaft is flatter: it tends to swing on more of an arc; compare it with the putter's own lie.",
    ),
    reading=_read_lie,
    needs="shaft",
    model_sd=0.4,
    found_sd=0.35,
    scatter_sd=1.0,
    sketches={
        "down_the_line": Sketch(rank=9, strokes=(_SHAFT, _LIE), anchor=_LIE, wanted=(-1.0, 0.4)),
    },
)


PUTTER_LENGTH: Final = Measure(
    name="putter_length",
    order=160,
    part="club",
    unit="cm",
    views=DOWN_THE_LINE,
    axes="y–z",
    title="Putter as filmed",
    definition="Length along the axis of the shaft, from the butt end of the grip to the sole.",
    words=Words(
        what=f"The length of the putter in the picture, {LENGTH_CONVENTION}.",
        direction="More is longer.",
        stroke="A putter longer than the posture asks for tends to push the hands up or out; a shorter one tends "
        "to pull the golfer down.",
        said=Said(plus="from butt to sole"),
    ),
    shift=Shift(
        more="The putter is longer: it tends to bring the hands up or out, and the golfer taller.",
        less="The putter is shorter: it tends to bring the hands down or in, and the golfer lower.",
    ),
    reading=_read_length,
    needs="shaft",
    settle=_take_typed_length,
    model_sd=0.8,
    of_setup=False,
)


BALL_POSITION: Final = Measure(
    name="ball_position",
    order=180,
    part="club",
    unit="cm",
    views=FACE_ON,
    axes="x",
    title="Ball along the stance",
    definition="Distance from midway between the ankle joints to the centre of the ball.",
    words=Words(
        what="How far the ball is from the middle of the stance, along the line to the target.",
        direction="0 is the middle; + is toward the target, − is away from it.",
        stroke="A ball further forward tends to be met later, with the putter head more on its way up and further "
        "around; one further back tends to be met earlier.",
        plus="toward the target",
        minus="away from the target",
        zero="in the middle of the stance, within the margin",
        said=Said(
            plus="ahead of the middle of the stance",
            minus="behind the middle of the stance",
            short_plus="ahead of middle",
            short_minus="behind middle",
        ),
    ),
    shift=Shift(
        more="The ball is further toward the target: it tends to be met later, the putter head more on its way up "
        "and further around.",
        less="The ball is further from the target: it tends to be met earlier, the putter head less on its way up.",
    ),
    reading=_read_ball_along_stance,
    needs="ball",
    model_sd=0.2,
    found_sd=0.3,
    scatter_sd=1.5,
    sketches={
        "face_on": Sketch(
            rank=6,
            strokes=(
                Polyline((_ANKLES, _STANCE), width=0.07, dashed=True, reference=True),
                Bracket(_STANCE, _UNDER_BALL, tick=0.35),
                Ring(Mark("ball")),
            ),
            anchor=Between(_STANCE, _UNDER_BALL),
            wanted=(1.0, -0.5),
        )
    },
)


SHAFT_LEAN: Final = Measure(
    name="shaft_lean",
    order=220,
    part="club",
    unit="deg",
    views=FACE_ON,
    axes="x–z",
    title="Shaft lean",
    definition="Angle between the vertical and the shaft.",
    words=Words(
        what="How far the shaft leans along the line to the target, seen face on.",
        direction="0° is upright; + is the hands toward the target, − is the hands away from it.",
        stroke="Hands toward the target take loft off the face, hands away from it add loft, and the ball tends to "
        "start lower or higher.",
        plus="hands toward the target",
        minus="hands away from the target",
        zero="upright, within the margin",
        said=Said(
            plus="with the hands toward the target",
            minus="with the hands away from the target",
            short_plus="hands ahead",
            short_minus="hands behind",
        ),
    ),
    shift=Shift(
        more="The hands moved toward the target: it takes loft off the face, and the ball tends to start lower.",
        less="The hands moved away from the target: it adds loft to the face, and the ball tends to start higher.",
    ),
    reading=_read_lean,
    needs="shaft",
    model_sd=0.3,
    found_sd=0.25,
    scatter_sd=1.0,
    sketches={
        "face_on": Sketch(
            rank=8,
            strokes=(
                _SHAFT,
                Polyline((_SOLE, Plumb(_SOLE, level_with=_BUTT)), width=0.07, dashed=True, reference=True),
            ),
            anchor=Between(_BUTT, _SOLE),
            wanted=(1.0, 0.0),
        )
    },
)
