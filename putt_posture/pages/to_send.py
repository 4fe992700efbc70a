"""The one picture to send, of a lesson and of a comparison: which still, which sentence, and which three numbers."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from putt_posture.documents.comparison_json import ChangeRow
from putt_posture.drawing.stills import as_jpeg, find_still_crop
from putt_posture.drawing.to_send import SentNumber, draw_to_send
from putt_posture.figures import format_day
from putt_posture.findings import say_band_of, say_quantity, title_of
from putt_posture.measures import MEASURES, say_value
from putt_posture.pages.findings_section import find_view
from putt_posture.shown import join_words
from putt_posture.values import VIEWS, Finding, Lesson, MeasureName, Picture

__all__ = ["TO_SEND", "change_to_send", "lesson_to_send"]

TO_SEND: Final = "to_send.jpg"
MOST_BYTES: Final = 600_000
_NUMBERS: Final = 3
_AT_ADDRESS: Final = "The setup at address."
_NO_CHANGE: Final = "No change beyond the noise."
_USUAL: Final = ("spine_tilt", "hand_offset", "eye_offset", "knee_flex", "ball_position", "shoulder_level")
"""Measures that fill up, in this order."""


def lesson_to_send(lesson: Lesson, *, made_on: date | None = None) -> bytes | None:
    """Return the JPEG of a lesson; None where none of its pictures is left.

    Parameters
    ----------
    lesson : Lesson
        Its stills are shown as they are: heads that are hidden stay so.
    made_on : date, optional
    """
    findings = lesson.findings
    found = findings.found[:_NUMBERS] if findings else ()
    there = [view for view in VIEWS if view in lesson.views and not lesson.views[view].still.erased]
    if not there:
        return None
    wish = find_view(findings) if findings else there[0]
    view = wish if wish in there else there[0]
    numbers = [_finding(each) for each in found]
    named = {each.quantity for each in found}
    for name in _USUAL:
        estimate = lesson.posture[name]
        if estimate and name not in named and len(numbers) < _NUMBERS:
            measure = MEASURES[MeasureName(name)]
            numbers.append(
                SentNumber(title=measure.title, figure=say_value(measure, estimate, short=True, margin=True))
            )
    picture = draw_to_send(
        [("", find_still_crop(lesson, view).cut(lesson.views[view]))],
        says=findings.lead if findings else _AT_ADDRESS,
        numbers=numbers,
        below=f"Change: {found[0].change}" if found else "",
        small=_small(made_on),
    )
    return as_jpeg(picture, most_bytes=MOST_BYTES)


def change_to_send(
    before: Picture, after: Picture, rows: Sequence[ChangeRow], *, days: tuple[date | None, date | None]
) -> bytes:
    """Return the JPEG of a comparison.

    Parameters
    ----------
    before, after : (H, W, 3) uint8
        Two stills at one scale.
    rows : sequence of ChangeRow
        In the order of the page; those that changed come first.
    days : (date or None, date or None)
    """
    real, maybe = [row for row in rows if row.real], [row for row in rows if row.maybe]
    first = real + maybe
    usual = [row for name in _USUAL for row in rows if row and row.name == name and row not in first]
    numbers = [
        SentNumber(title=row.title, figure=row.from_to, says=_verdict(row)) for row in (*first, *usual)[:_NUMBERS]
    ]
    names = [
        f"{when} {format_day(day, short=True)}" if day else when
        for when, day in zip(("before", "after"), days, strict=True)
    ]
    says = f"Changed: {_titles(real)}." if real else f"May have changed: {_titles(maybe)}." if maybe else _NO_CHANGE
    picture = draw_to_send([(names[0], before), (names[1], after)], says=says, numbers=numbers, small=_small(None))
    return as_jpeg(picture, most_bytes=MOST_BYTES)


def _titles(rows: Sequence[ChangeRow]) -> str:
    return join_words([row.title.lower() for row in rows[:_NUMBERS]])


def _verdict(row: ChangeRow) -> str:
    return "changed" if row.real else "may have changed" if row.maybe else "within the noise"


def _finding(finding: Finding) -> SentNumber:
    figure = say_quantity(finding.quantity, finding.estimate)
    return SentNumber(title=title_of(finding.quantity), figure=figure, says=f"band: {say_band_of(finding)}")


def _small(made_on: date | None) -> str:
    day = f"{format_day(made_on)}. " if made_on else ""
    return f"{day}Measured from clips; ± is the 95 % margin."
