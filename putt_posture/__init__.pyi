from .archive import open_archive
from .comparison import compare_lessons
from .errors import PuttPostureError
from .lesson import measure_lesson
from .pages import store_lesson
from .records import read_result_folder
from .units import read_length_cm
from .values import Estimate, Fit, Lesson, Posture, Student

__all__ = [
    "Estimate",
    "Fit",
    "Lesson",
    "Posture",
    "PuttPostureError",
    "Student",
    "compare_lessons",
    "measure_lesson",
    "open_archive",
    "read_length_cm",
    "read_result_folder",
    "store_lesson",
]
