"""Measures of a history as rows: first and latest visit beside each other, and what changed between them."""

from collections.abc import Mapping, Sequence

from attrs import frozen

from putt_posture.figures import format_day, format_margin
from putt_posture.history import Course
from putt_posture.measures import RECORDS, Part
from putt_posture.pages.history_answer import format_change
from putt_posture.values import History, MeasureChange, MeasureName

__all__ = ["CourseRow", "course_rows"]


@frozen(kw_only=True)
class CourseRow:
    """One measure at its first and its latest visit.

    Attributes
    ----------
    title, part : str
    first, latest : str
        With their margins, and their days where these are not the first and the latest visit.
    change : str
    verdict : str
        A few words.
    real, maybe : bool
    """

    title: str
    part: Part
    first: str
    latest: str
    change: str
    verdict: str
    real: bool
    maybe: bool


def course_rows(
    history: History, courses: Mapping[MeasureName, Course], *, names: Sequence[MeasureName] | None = None
) -> tuple[CourseRow, ...]:
    """Return one row for each measure that a visit has, first and latest beside each other.

    Parameters
    ----------
    history : History
    courses : mapping of MeasureName to Course
    names : sequence of MeasureName, optional
        Which of them; all by default.
    """
    chosen = courses if names is None else {name: courses[name] for name in names if name in courses}
    return tuple(_row(history, course) for course in chosen.values() if course.first is not None)


def _row(history: History, course: Course) -> CourseRow:
    record = RECORDS[course.name]
    since = course.since_first
    known = since is not None and bool(since.change)
    return CourseRow(
        title=record.title,
        part=record.part,
        first=_figure(history, course.name, course.first, usual=0),
        latest=_figure(history, course.name, course.latest, usual=len(history.visits) - 1) if since is not None else "",
        change=format_change(since) if since is not None and known else "",
        verdict=_verdict(since) if since is not None and known else "not certain",
        real=since is not None and since.real,
        maybe=since is not None and since.maybe,
    )


def _verdict(since: MeasureChange) -> str:
    return "real change" if since.real else "may be a change" if since.maybe else "within the noise"


def _figure(history: History, name: MeasureName, place: int | None, *, usual: int) -> str:
    if place is None:
        return ""
    visit = history.visits[place]
    text = format_margin(visit.measured.measures[name], signed=RECORDS[name].signed)
    return text if place == usual else f"{text} on {format_day(visit.day)}"
