from .comparison import say_counts
from .comparison_files import store_comparison
from .history_files import store_history
from .lesson_files import lesson_as_files, store_lesson
from .report import write_report

__all__ = ["lesson_as_files", "say_counts", "store_comparison", "store_history", "store_lesson", "write_report"]
