"""The measures as a table of plain text, one row a measure, with the numbers of the JSON document."""

from collections.abc import Mapping
from typing import Any

import pandas as pd

from putt_posture.report.json_form import lesson_as_json
from putt_posture.report.spreadsheet import frame_as_csv
from putt_posture.report.wording import WORDS
from putt_posture.values import Lesson

__all__ = ["document_as_csv", "lesson_as_csv", "lesson_as_frame"]


def lesson_as_frame(lesson: Lesson) -> pd.DataFrame:
    """Return one row a measure, with the columns measure, title and those of its entry in the JSON document.

    Numbers are in `unit`; NaN where the measure is absent.
    """
    return _as_frame(lesson_as_json(lesson))


def lesson_as_csv(lesson: Lesson) -> str:
    """Return the text of `measures.csv`: a header line, commas, decimal points, empty cells for what is absent.

    No text in it is a formula to a spreadsheet; see `disarm`.
    """
    return document_as_csv(lesson_as_json(lesson))


def document_as_csv(document: Mapping[str, Any]) -> str:
    """Return the same text from the document of `measures.json`."""
    return frame_as_csv(_as_frame(document))


def _as_frame(document: Mapping[str, Any]) -> pd.DataFrame:
    measures = document["measures"]
    rows = [{"measure": name, "title": WORDS[name].title} | measures[name] for name in WORDS]
    numbers = ["value", "standard_uncertainty", "low", "high"]
    return pd.DataFrame(rows).astype(dict.fromkeys(numbers, float))
