from .change_counts import say_counts
from .comparison_files import ComparisonLayout, lay_out_comparison, store_comparison
from .history_files import HistoryLayout, lay_out_history, store_history
from .lesson_files import lesson_as_files, store_lesson
from .measured_files import KeptStill, lesson_as_document, measured_as_files
from .report import write_report
from .setting import Paper
from .stages import FIRST_AND_LAST, describe_stages
from .stages_files import store_stages

__all__ = [
    "FIRST_AND_LAST",
    "ComparisonLayout",
    "HistoryLayout",
    "KeptStill",
    "Paper",
    "describe_stages",
    "lay_out_comparison",
    "lay_out_history",
    "lesson_as_document",
    "lesson_as_files",
    "measured_as_files",
    "say_counts",
    "store_comparison",
    "store_history",
    "store_lesson",
    "store_stages",
    "write_report",
]
