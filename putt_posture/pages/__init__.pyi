from .comparison import say_counts
from .comparison_files import store_comparison
from .history_files import store_history
from .lesson_files import lesson_as_files, store_lesson
from .report import write_report
from .setting import Paper

__all__ = [
    "Paper",
    "lesson_as_files",
    "say_counts",
    "store_comparison",
    "store_history",
    "store_lesson",
    "write_report",
]
