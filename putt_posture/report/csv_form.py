"""The measures as a table of plain text, one row a measure, with the numbers of the JSON document."""

import pandas as pd

from putt_posture.report.json_form import lesson_as_json
from putt_posture.report.spreadsheet import frame_as_csv
from putt_posture.report.wording import WORDS
from putt_posture.values import Lesson

__all__ = ["lesson_as_csv", "lesson_as_frame"]


def lesson_as_frame(lesson: Lesson) -> pd.DataFrame:
    """Return one row a measure, with the columns measure, title and those of its entry in the JSON document.

    Numbers are in `unit`; NaN where the measure is absent.
    """
    measures = lesson_as_json(lesson)["measures"]
    rows = [{"measure": name, "title": WORDS[name].title} | measures[name] for name in WORDS]
    numbers = ["value", "standard_uncertainty", "low", "high"]
    return pd.DataFrame(rows).astype(dict.fromkeys(numbers, float))


def lesson_as_csv(lesson: Lesson) -> str:
    """Return the text of `measures.csv`: a header line, commas, decimal points, empty cells for what is absent.

    No text in it is a formula to a spreadsheet; see `disarm`.
    """
    return frame_as_csv(lesson_as_frame(lesson))
