"""A student's history as a table of plain text, one row a visit and measure."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from putt_posture.report.estimate_json import estimate_as_json
from putt_posture.report.spreadsheet import rows_as_csv
from putt_posture.report.wording import WORDS
from putt_posture.values import MEASURES, History, absent

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["history_as_csv", "history_as_frame"]

_COLUMNS = (
    "lesson", "day", "moment", "measure", "title", "value", "standard_uncertainty", "low", "high", "unit", "view",
    "frames", "method", "absent",
)  # fmt: skip


def history_as_frame(history: History) -> "pd.DataFrame":
    """Return one row for each visit and measure.

    Numbers are in `unit`; NaN where the measure is absent. Days are ISO 8601 text.
    """
    import pandas as pd  # here, so that the text does without it

    numbers = ["value", "standard_uncertainty", "low", "high"]
    return pd.DataFrame(_rows(history), columns=list(_COLUMNS)).astype(dict.fromkeys(numbers, float))


def history_as_csv(history: History) -> str:
    """Return the text of `history.csv`: a header line, commas, decimal points, empty cells for what is absent."""
    return rows_as_csv(_COLUMNS, ([row[name] for name in _COLUMNS] for row in _rows(history)))


def _rows(history: History) -> Iterator[dict[str, Any]]:
    for visit in history.visits:
        for name, (unit, _views) in MEASURES.items():
            estimate = visit.measured.measures.get(name, absent("It was not measured.", unit=unit))
            about = {"lesson": visit.lesson, "day": visit.day.isoformat(), "moment": visit.moment}
            yield about | {"measure": name, "title": WORDS[name].title} | estimate_as_json(estimate)
