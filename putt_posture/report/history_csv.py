"""A student's history as a table of plain text, one row a visit and measure."""

import pandas as pd

from putt_posture.report.estimate_json import estimate_as_json
from putt_posture.report.spreadsheet import frame_as_csv
from putt_posture.report.wording import WORDS
from putt_posture.values import MEASURES, History, absent

__all__ = ["history_as_csv", "history_as_frame"]

_COLUMNS = (
    "lesson", "day", "moment", "measure", "title", "value", "standard_uncertainty", "low", "high", "unit", "view",
    "frames", "method", "absent",
)  # fmt: skip


def history_as_frame(history: History) -> pd.DataFrame:
    """Return one row for each visit and measure.

    Numbers are in `unit`; NaN where the measure is absent. Days are ISO 8601 text.
    """
    rows = []
    for visit in history.visits:
        for name, (unit, _views) in MEASURES.items():
            estimate = visit.measured.measures.get(name, absent("It was not measured.", unit=unit))
            about = {"lesson": visit.lesson, "day": visit.day.isoformat(), "moment": visit.moment}
            rows.append(about | {"measure": name, "title": WORDS[name].title} | estimate_as_json(estimate))
    numbers = ["value", "standard_uncertainty", "low", "high"]
    return pd.DataFrame(rows, columns=list(_COLUMNS)).astype(dict.fromkeys(numbers, float))


def history_as_csv(history: History) -> str:
    """Return the text of `history.csv`: a header line, commas, decimal points, empty cells for what is absent."""
    return frame_as_csv(history_as_frame(history))
