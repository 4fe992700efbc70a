"""The measures as a table of plain text, one row a measure, with the numbers of the JSON document."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

from putt_posture.report.json_form import lesson_as_json
from putt_posture.report.spreadsheet import rows_as_csv
from putt_posture.report.wording import WORDS
from putt_posture.values import Lesson

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["document_as_csv", "lesson_as_csv", "lesson_as_frame"]


_NUMBERS: Final = ("value", "standard_uncertainty", "low", "high", "raw_value", "floor")


def lesson_as_frame(lesson: Lesson) -> "pd.DataFrame":
    """Return one row a measure, with the columns measure, title and those of its entry in the JSON document.

    Numbers are in `unit`; NaN where the measure is absent.
    """
    import pandas as pd  # here, so that the text does without it

    rows = _rows(lesson_as_json(lesson))
    return pd.DataFrame(rows).astype({name: float for name in _NUMBERS if name in rows[0]})


def lesson_as_csv(lesson: Lesson) -> str:
    """Return the text of `measures.csv`: a header line, commas, decimal points, empty cells for what is absent.

    No text in it is a formula to a spreadsheet; see `disarm`.
    """
    return document_as_csv(lesson_as_json(lesson))


def document_as_csv(document: Mapping[str, Any]) -> str:
    """Return the same text from the document of `measures.json`."""
    rows = _rows(document)
    head = list(dict.fromkeys(name for row in rows for name in row))
    return rows_as_csv(head, ([row.get(name) for name in head] for row in rows))


def _rows(document: Mapping[str, Any]) -> list[dict[str, Any]]:
    measures = document["measures"]
    rows = [{"measure": name, "title": WORDS[name].title} | measures[name] for name in WORDS]
    return [
        {name: float(cell) if name in _NUMBERS and cell is not None else cell for name, cell in row.items()}
        for row in rows
    ]
