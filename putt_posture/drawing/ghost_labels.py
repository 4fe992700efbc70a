"""What the labels of the ghost say, and what is marked on it: the putter, and the measures that change."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.feet import BALL_CM
from putt_posture.drawing.placing import Placing
from putt_posture.drawing.sheet import Tag
from putt_posture.drawing.silhouette import find_back
from putt_posture.drawing.sketches import Pen, midway
from putt_posture.figures import as_printed, format_length, format_value, inches
from putt_posture.measures import MEASURES, Measure, say_number, split_number
from putt_posture.measures.arms import HAND_OFFSET
from putt_posture.measures.club import BALL_DISTANCE, PUTTER_LENGTH
from putt_posture.measures.head import EYE_OFFSET
from putt_posture.measures.legs import KNEE_FLEX
from putt_posture.measures.trunk import BACK_ROUNDING, SPINE_TILT
from putt_posture.values import Estimate, Lesson, MeasureName, Point, StandingFigure, Student

__all__ = ["draw_ghost_changes", "find_ghost_changes", "say_ghost", "tag_ghost"]

Changes = Mapping[MeasureName, tuple[Estimate, Estimate]]

NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_NAMED: Final = (SPINE_TILT, HAND_OFFSET, EYE_OFFSET, BACK_ROUNDING, BALL_DISTANCE, KNEE_FLEX)
"""Measures that get a label where they change, the most important first."""


def find_ghost_changes(lesson: Lesson, wanted: Mapping[str, Estimate]) -> Changes:
    """Find which measures change by more than the margin of what was filmed.

    Parameters
    ----------
    lesson : Lesson
    wanted : mapping of measure name to Estimate
        Measures of the wanted setup.

    Returns
    -------
    dict of MeasureName to (Estimate, Estimate)
        What is filmed and what is wanted, the most important first.
    """
    pairs = {each.name: (lesson.posture[each.name], wanted.get(each.name)) for each in _NAMED}
    return {
        name: (now, then)
        for name, (now, then) in pairs.items()
        if now and then and abs(as_printed(then.value, then.unit) - as_printed(now.value, now.unit)) > now.margin
    }


def draw_ghost_changes(
    pen: Pen, place: Placing, figure: StandingFigure, student: Student, changes: Collection[MeasureName]
) -> None:
    """Draw the back of the figure, and what is under its eyes, where they are what changes.

    Parameters
    ----------
    pen : Pen
        Over the still.
    place : Placing
        Of the figure in the picture.
    figure : StandingFigure
    student : Student
    changes : collection of MeasureName
    """
    if BACK_ROUNDING.name in changes:
        pen.sheet.line(*place.points(find_back(figure, student)), colour=PART_COLOURS["trunk"], width=0.2)
    if EYE_OFFSET.name in changes:
        eye, colour = figure.joints["eye"], PART_COLOURS["head"]
        ends = place.point(eye), place.point((eye[0], 2 * BALL_CM))
        pen.sheet.line(*ends, colour=colour, width=0.08, dashed=True)
        pen.sheet.dot(ends[0], colour=colour)


def tag_ghost(
    pen: Pen,
    place: Placing,
    figure: StandingFigure,
    *,
    lesson: Lesson,
    changes: Changes,
    putter_cm: float,
) -> Iterator[Tag]:
    """Label the putter, and what is filmed and wanted of each measure that changes.

    Parameters
    ----------
    pen : Pen
        Over the still.
    place : Placing
        Of the figure in the picture.
    figure : StandingFigure
    lesson : Lesson
    changes : mapping of MeasureName to (Estimate, Estimate)
        As `find_ghost_changes` returns them, or a part of it.
    putter_cm : float
        Length of the suggested putter.
    """
    joints = {name: place.point(point) for name, point in figure.joints.items()}
    current, kept = lesson.student.putter_length_cm, lesson.spec is not None and lesson.spec.advice == "leave"
    if not kept:
        ends = (putter_cm,) if current is None else (current, putter_cm)
        yield Tag(
            name=PUTTER_LENGTH.name,
            title="Putter",
            figure=_from_to([inches(each) for each in ends], "in"),
            more=_from_to(ends, "cm"),
            anchor=midway(place.point(figure.butt), place.point(figure.sole), share=0.6),
            wanted=pen.toward(ahead=1.0),
            colour=PART_COLOURS["club"],
        )
    back = place.points(find_back(figure, lesson.student))
    now, then = changes.get(BALL_DISTANCE.name, (None, None))
    ball_side = -1 if now and then and then.value < now.value else 1  # away from the ball as filmed
    anchors: dict[MeasureName, tuple[Point, tuple[float, float]]] = {
        SPINE_TILT.name: (midway(joints["hip"], joints["shoulder"], share=0.6), pen.toward(ahead=-1.0, up=-0.2)),
        HAND_OFFSET.name: (joints["hands"], pen.toward(ahead=1.0, up=0.3)),
        BACK_ROUNDING.name: (back[len(back) // 2], pen.toward(ahead=-1.0, up=0.7)),
        EYE_OFFSET.name: (joints["eye"], pen.toward(ahead=1.0, up=0.3)),
        BALL_DISTANCE.name: (
            place.point((figure.ball[0] + ball_side * 1.6 * BALL_CM, figure.ball[1])),
            pen.toward(ahead=1.0, up=0.6),
        ),
        KNEE_FLEX.name: (joints["knee"], pen.toward(ahead=-1.0)),
    }
    for name, (now, then) in changes.items():
        figure_text, side = _say_change(MEASURES[name], now.value, then.value)
        anchor, direction = anchors[name]
        yield Tag(name=name, title=MEASURES[name].title, figure=figure_text, side=side, anchor=anchor,
                  wanted=direction, colour=PART_COLOURS[MEASURES[name].part])  # fmt: skip


def say_ghost(tags: Sequence[Tag], putter_cm: float) -> str:
    """Say what the ghost shows, in one or two sentences.

    Parameters
    ----------
    tags : sequence of Tag
        Those that found a place.
    putter_cm : float
        Length of the suggested putter.
    """
    shows = (
        "The white figure is the same body, by its estimated lengths, in the wanted setup with a putter of "
        f"{format_length(putter_cm)}, drawn to scale in the student's own footprints"
    )
    changes = "; ".join(tag.says for tag in tags)
    return f"{shows}: {changes}." if changes else f"{shows}."


def _say_change(measure: Measure, now: float, then: float) -> tuple[str, str]:
    """Say a number now and then without signs: the figures, and the side where it is one for both."""
    if not measure.signed:
        return _from_to((now, then), measure.unit), ""
    sides = [split_number(measure, each, short=True)[1] for each in (now, then)]
    if all(sides) and sides[0] != sides[1]:
        return f"{say_number(measure, now, short=True)} →", say_number(measure, then, short=True)
    return _from_to((abs(now), abs(then)), measure.unit), sides[0] or sides[1]


def _from_to(ends: Sequence[float], unit: str) -> str:
    """Write a number, or two with an arrow between them, and the unit once."""
    *before, after = (format_value(end, unit) for end in ends)
    return "".join(f"{each.split(NO_BREAK)[0].removesuffix('°')} → " for each in before) + after
