"""A lesson as people and programs read it: stills, tables, HTML, PDF, JSON, CSV and arrays, in one folder."""

from putt_posture.report.content import write_report
from putt_posture.report.csv_form import lesson_as_csv, lesson_as_frame
from putt_posture.report.faces import hide_faces, hide_heads
from putt_posture.report.fit_json import fit_as_json
from putt_posture.report.folder import check_folder
from putt_posture.report.history_store import store_history
from putt_posture.report.json_form import SCHEMA_VERSION, lesson_as_json, lesson_as_text, schema, validate
from putt_posture.report.stills import draw_stills
from putt_posture.report.store import store_lesson
from putt_posture.report.table import Row, rows_of
from putt_posture.report.wording import WORDS, Words

__all__ = [
    "SCHEMA_VERSION",
    "WORDS",
    "Row",
    "Words",
    "check_folder",
    "draw_stills",
    "fit_as_json",
    "hide_faces",
    "hide_heads",
    "lesson_as_csv",
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
