from .archive import load_history, open_archive, open_lesson, read_frames
from .comparison import compare
from .demo import load_samples
from .drawing import draw_stills, hide_faces
from .errors import PuttPostureError, UsageError
from .fitting import fit_putter
from .lesson import measure_lesson
from .marked_steps import measure_steps
from .pages import store_comparison, store_history, store_lesson
from .records import KeptLesson, hide_faces_in, read_result_folder
from .shown_units import show_lengths_in
from .stages import lay_out_stages
from .units import read_length_cm
from .values import (
    Changes,
    Comparison,
    Estimate,
    Fit,
    History,
    Interview,
    Lesson,
    Posture,
    Stages,
    Student,
    WantedSetup,
)

__all__ = [
    "Changes",
    "Comparison",
    "Estimate",
    "Fit",
    "History",
    "Interview",
    "KeptLesson",
    "Lesson",
    "Posture",
    "PuttPostureError",
    "Stages",
    "Student",
    "UsageError",
    "WantedSetup",
    "compare",
    "draw_stills",
    "fit_putter",
    "hide_faces",
    "hide_faces_in",
    "lay_out_stages",
    "load_history",
    "load_samples",
    "measure_lesson",
    "measure_steps",
    "open_archive",
    "open_lesson",
    "read_frames",
    "read_length_cm",
    "read_result_folder",
    "show_lengths_in",
    "store_comparison",
    "store_history",
    "store_lesson",
]
