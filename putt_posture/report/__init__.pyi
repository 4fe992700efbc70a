from .content import write_report
from .csv_form import lesson_as_csv, lesson_as_frame
from .faces import hide_faces, hide_heads
from .fit_json import fit_as_json
from .history_store import store_history
from .json_form import SCHEMA_VERSION, lesson_as_json, lesson_as_text, schema, validate
from .stills import draw_stills
from .store import lesson_as_files, store_lesson
from .table import Row, rows_of
from .wording import WORDS, Words

__all__ = [
    "SCHEMA_VERSION",
    "WORDS",
    "Row",
    "Words",
    "draw_stills",
    "fit_as_json",
    "hide_faces",
    "hide_heads",
    "lesson_as_csv",
    "lesson_as_files",
    "lesson_as_frame",
    "lesson_as_json",
    "lesson_as_text",
    "rows_of",
    "schema",
    "store_history",
    "store_lesson",
    "validate",
    "write_report",
]
