"""The stroke in a student's history: what a coach follows of it, from the first visit that has one to the latest."""

from collections.abc import Mapping, Sequence
from typing import Final

from attrs import frozen

from putt_posture.drawing.history_chart import HistoryChart
from putt_posture.figures import count_of, format_day
from putt_posture.history import Course
from putt_posture.measures import RECORDS
from putt_posture.pages.history_rows import CourseRow, course_rows
from putt_posture.pages.setting import Plate
from putt_posture.shown import begin_lower, join_words
from putt_posture.values import History, MeasureName

__all__ = ["StrokeHistory", "write_stroke_history"]

JUDGED: Final = (
    "The numbers of the stroke are judged together and apart from the setup, which no rebuild sets. If nothing had "
    "changed, one would be named by chance in at most 1 of 20 histories."
)
LIKE_WITH_LIKE: Final = (
    "A longer putt takes a longer stroke, so compare strokes to holes at one distance. A visit with fewer than three "
    "strokes gives no mean, so a difference may be chance."
)


@frozen(kw_only=True)
class StrokeHistory:
    """The stroke over the visits.

    Attributes
    ----------
    says : tuple of str
        What changed for real, and how that is judged.
    plates : tuple of Plate
        Its charts.
    rows : tuple of CourseRow
        Every number of the stroke that a visit has.
    """

    says: tuple[str, ...]
    plates: tuple[Plate, ...]
    rows: tuple[CourseRow, ...]


def write_stroke_history(
    history: History, courses: Mapping[MeasureName, Course], *, charts: Sequence[HistoryChart] = ()
) -> StrokeHistory | None:
    """Return the text about the stroke; None where no visit has one.

    Parameters
    ----------
    history : History
    courses : mapping of MeasureName to Course
        Of the stroke, as `find_stroke_courses` found them.
    charts : sequence of HistoryChart
        Of the stroke, for their captions.
    """
    rows = course_rows(history, courses)
    if not rows:
        return None
    return StrokeHistory(
        says=tuple(_say(history, courses)),
        plates=tuple(
            Plate(file=each.file, aspect=1.0, title=each.title, caption=each.says, says=each.says) for each in charts
        ),
        rows=rows,
    )


def _say(history: History, courses: Mapping[MeasureName, Course]) -> list[str]:
    with_stroke = sum(any(visit.measured.measures.get(name) for name in courses) for visit in history.visits)
    if with_stroke < 2:
        (day,) = {
            format_day(history.visits[course.first].day) for course in courses.values() if course.first is not None
        }
        return [f"Only the visit of {day} has a stroke, so there is nothing to compare it with yet."]
    known = [each for each in courses.values() if each.since_first is not None and each.since_first.change]
    real = [begin_lower(RECORDS[each.name].title) for each in known if each.since_first and each.since_first.real]
    numbers = count_of(len(known), "number")
    said = (
        f"Since the first visit with a stroke {len(real)} of {numbers} of it changed for real: {join_words(real)}."
        if real
        else f"Since the first visit with a stroke none of {numbers} of it changed by more than the noise."
    )
    return [said, JUDGED, LIKE_WITH_LIKE]
