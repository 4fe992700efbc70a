"""How a value looks in a notebook: a small page of HTML with its table, and its stills where it has some.

A fragment without scripts, links or styles of its own beyond those of each element, so that it changes nothing else in
the notebook. Every text in it is escaped. Pictures are those that a report would show: heads that are hidden stay so.
"""

from collections.abc import Mapping, Sequence
from typing import Final

from attrs import field, frozen

from putt_posture.documents.comparison_json import change_rows
from putt_posture.documents.tables import Row, rows_of_measures
from putt_posture.drawing.side_by_side import cut_halves, draw_side_by_side
from putt_posture.drawing.stills import as_jpeg, draw_stills
from putt_posture.figures import count_of, format_day, format_length, format_stature, format_value
from putt_posture.pages.change_counts import say_counts
from putt_posture.pages.setting import NAMELESS, as_uri, render_page
from putt_posture.values import (
    VIEW_TITLES,
    VIEWS,
    Changes,
    Comparison,
    Estimate,
    History,
    Lesson,
    LessonRecord,
    MeasureName,
    Picture,
    Posture,
    Student,
)

__all__ = ["as_html", "record_as_html"]

_TEMPLATE: Final = "notebook.html.jinja"
_MOST_BYTES: Final = 80_000
"""Of one picture; a notebook keeps a copy of each in its file."""
_MEASURE_HEAD: Final = ("measure", "value", "95 % interval", "from")
_CHANGE_HEAD: Final = ("measure", "before", "after", "change", "what it is")


@frozen(kw_only=True)
class _Plate:
    """One picture: a data URI, and what it shows in a sentence."""

    uri: str
    says: str


@frozen(kw_only=True)
class _Page:
    """What is shown, from top to bottom; `absent` are measures without a number and why."""

    title: str
    lines: Sequence[str] = ()
    pictures: Sequence[_Plate] = ()
    head: Sequence[str] = ()
    rows: Sequence[Sequence[str]] = ()
    absent: Sequence[tuple[str, str]] = ()
    notes: Sequence[str] = field(default=())


def as_html(value: object) -> str:
    """Return the page of a lesson, a posture, a comparison, the changes in it, a stored lesson's record or a history.

    Parameters
    ----------
    value : object

    Raises
    ------
    TypeError
        If there is no page for a value of this type.
    """
    if isinstance(value, Lesson):
        page = _of_lesson(value)
    elif isinstance(value, Posture):
        page = _of_measures(value.estimates, title="Posture", notes=value.warnings)
    elif isinstance(value, Comparison):
        page = _of_comparison(value)
    elif isinstance(value, Changes):
        page = _of_changes(value, title="What changed")
    elif isinstance(value, LessonRecord):
        return record_as_html(value, pictures={})
    elif isinstance(value, History):
        page = _of_history(value)
    else:
        raise TypeError(f"There is no page for a {type(value).__name__}.")
    return _render(page)


def record_as_html(record: LessonRecord, *, pictures: Mapping[str, Picture], notes: Sequence[str] = ()) -> str:
    """Return the page of a stored lesson.

    Parameters
    ----------
    record : LessonRecord
    pictures : mapping of str to (H, W, 3) uint8
        The stills that were kept, RGB, by what they show in a few words.
    notes : sequence of str
        Sentences to put before its warnings: what is held back, and why.
    """
    day = f"Lesson of {format_day(record.made_on)}" if record.made_on else "Lesson"
    return _render(
        _of_measures(
            record.measures,
            title=f"{day}: {record.student.name or NAMELESS}",
            lines=_facts(record.student, record.putter_length, record.lie),
            pictures=[_plate(picture, says) for says, picture in pictures.items()],
            notes=(*notes, *record.warnings),
        )
    )


def _of_lesson(lesson: Lesson) -> _Page:
    return _of_measures(
        lesson.posture.estimates,
        title=f"Lesson: {lesson.student.name or NAMELESS}",
        lines=_facts(lesson.student, lesson.fit.putter_length, lesson.fit.lie),
        pictures=[_plate(still.annotated, still.says) for still in draw_stills(lesson)],
        notes=lesson.warnings,
    )


def _of_measures(
    measures: Mapping[MeasureName, Estimate],
    *,
    title: str,
    lines: Sequence[str] = (),
    pictures: Sequence[_Plate] = (),
    notes: Sequence[str] = (),
) -> _Page:
    rows = rows_of_measures(measures)
    return _Page(
        title=title,
        lines=lines,
        pictures=pictures,
        head=_MEASURE_HEAD,
        rows=[_cells(row) for row in rows if row],
        absent=[(row.title, row.absent) for row in rows if not row],
        notes=notes,
    )


def _cells(row: Row) -> tuple[str, ...]:
    return row.title, row.figure, row.interval, row.provenance


def _facts(student: Student, length: Estimate, lie: Estimate) -> list[str]:
    lines = [f"Height {format_stature(student.stature_cm)}, putts {student.handed}-handed."]
    if length:
        at = f" at a lie of {format_value(lie.value, lie.unit)}" if lie else ""
        lines.append(f"Suggested putter: {format_length(length.value)}{at}.")
    return lines


def _of_changes(changes: Changes, *, title: str, pictures: Sequence[_Plate] = (), says: Sequence[str] = ()) -> _Page:
    rows = change_rows(changes)
    present = sorted((row for row in rows if row), key=lambda row: (not row.real, not row.maybe))
    return _Page(
        title=title,
        lines=[say_counts(rows)],
        pictures=pictures,
        head=_CHANGE_HEAD,
        rows=[(row.title, row.before, row.after, row.change, row.verdict) for row in present],
        absent=[(row.title, row.absent) for row in rows if not row],
        notes=(*says, *changes.warnings),
    )


def _of_comparison(comparison: Comparison) -> _Page:
    before, after = comparison.before, comparison.after
    days = before.record.made_on, after.record.made_on
    pictures = []
    for view in VIEWS:
        if view in before.views and view in after.views:
            halves = cut_halves(before.views[view], after.views[view])
            if halves is not None:
                drawn = draw_side_by_side(halves, days=days)
                pictures.append(_plate(drawn, f"{VIEW_TITLES[view]}, before and after at one scale."))
    name = after.record.student.name or before.record.student.name or NAMELESS
    return _of_changes(comparison.changes, title=f"Before and after: {name}", pictures=pictures, says=comparison.says)


def _of_history(history: History) -> _Page:
    rows = [
        (
            format_day(visit.day),
            visit.moment,
            count_of(sum(map(bool, visit.measured.measures.values())), "measure"),
            format_length(visit.suggested.value) if visit.suggested else "",
            visit.coach,
        )
        for visit in history.visits
    ]
    return _Page(
        title=f"History: {history.name or NAMELESS}",
        lines=[f"{count_of(len(history.visits), 'lesson')}, {count_of(len(history.practice), 'practice test')}."],
        head=("day", "shows the setup", "measured", "suggested putter", "coach"),
        rows=rows,
    )


def _plate(picture: Picture, says: str) -> _Plate:
    return _Plate(uri=as_uri(as_jpeg(picture, most_bytes=_MOST_BYTES)), says=says)


def _render(page: _Page) -> str:
    return render_page(_TEMPLATE, page=page)
