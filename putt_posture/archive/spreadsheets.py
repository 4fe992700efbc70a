"""Tables of a student for a spreadsheet.

No text in them is a formula, unless it is asked for as it was typed; ``student.json`` has it untouched.
"""

from collections.abc import Sequence
from typing import Any, Final

from putt_posture.archive.rows import as_estimate
from putt_posture.archive.student_rows import Rows
from putt_posture.archive.tables import MeasureRow
from putt_posture.report import WORDS
from putt_posture.report.spreadsheet import rows_as_csv
from putt_posture.values import MEASURES

__all__ = ["measures_as_csv", "practice_as_csv"]

_MARK: Final = "\ufeff"
"""By which spreadsheets know UTF-8."""
_MEASURES: Final = (
    "day", "lesson", "moment", "measure", "title", "value", "standard_uncertainty", "low", "high", "unit", "view",
    "frames", "method", "absent",
)  # fmt: skip
_PRACTICE: Final = ("day", "test", "distance_cm", "tried", "holed", "note")


def measures_as_csv(rows: Rows, *, raw_text: bool = False) -> str:
    """Return one line for each measure of each lesson, in the order of time and then of the report."""
    lessons = {row["id"]: row for row in rows["lessons"]}
    places = {name: place for place, name in enumerate(MEASURES)}

    def when(row: dict[str, Any]) -> tuple[Any, ...]:
        name = row["name"]
        return lessons[row["lesson_id"]]["day"], row["lesson_id"], places.get(name, len(places)), name

    lines = (_as_line(row, lessons[row["lesson_id"]]) for row in sorted(rows["measures"], key=when))
    return _MARK + rows_as_csv(_MEASURES, lines, raw_text=raw_text)


def practice_as_csv(rows: Rows, *, raw_text: bool = False) -> str:
    """Return one line for each length of each practice test, in the order of time."""
    tests = {row["id"]: row for row in rows["practice_tests"]}
    putts = sorted(rows["putts"], key=lambda row: (tests[row["test_id"]]["day"], row["test_id"], row["distance_cm"]))
    return _MARK + rows_as_csv(
        _PRACTICE,
        (
            [tests[row["test_id"]]["day"], row["test_id"], row["distance_cm"], row["tried"], row["holed"],
             tests[row["test_id"]]["note"]]
            for row in putts
        ),
        raw_text=raw_text,
    )  # fmt: skip


def _as_line(row: dict[str, Any], lesson: dict[str, Any]) -> Sequence[Any]:
    estimate = as_estimate(MeasureRow(**row))
    numbers = [estimate.value, estimate.standard_uncertainty, estimate.low, estimate.high] if estimate else [None] * 4
    name = row["name"]
    title = WORDS[name].title if name in WORDS else name
    about = [row["unit"], row["view"], row["frames"], row["method"], row["absent"]]
    return [lesson["day"], lesson["id"], lesson["moment"], name, title, *numbers, *about]
