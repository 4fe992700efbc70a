"""Two lessons side by side as people and programs read them: pictures, pages, tables, in one folder."""

from putt_posture.report.comparison.content import say_counts
from putt_posture.report.comparison.documents import COMPARISON_SCHEMA_VERSION, comparison_as_json
from putt_posture.report.comparison.rows import ChangeRow, change_rows
from putt_posture.report.comparison.shifts import SHIFTS, Shift
from putt_posture.report.comparison.store import store_comparison

__all__ = [
    "COMPARISON_SCHEMA_VERSION",
    "SHIFTS",
    "ChangeRow",
    "Shift",
    "change_rows",
    "comparison_as_json",
    "say_counts",
    "store_comparison",
]
