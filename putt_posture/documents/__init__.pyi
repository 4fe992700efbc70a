from .arrays import ARRAYS, StoredArrays, open_arrays
from .comparison_json import COMPARISON_SCHEMA_VERSION, ChangeRow, change_rows, comparison_as_json, stroke_change_rows
from .json_values import read_json
from .lesson_json import SCHEMA_VERSION, fit_as_json, lesson_as_json, lesson_as_text, schema, validate
from .lesson_reading import DOCUMENT, read_document, read_record
from .tables import Row, lesson_as_csv, rows_of

__all__ = [
    "ARRAYS",
    "COMPARISON_SCHEMA_VERSION",
    "DOCUMENT",
    "SCHEMA_VERSION",
    "ChangeRow",
    "Row",
    "StoredArrays",
    "change_rows",
    "comparison_as_json",
    "fit_as_json",
    "lesson_as_csv",
    "lesson_as_json",
    "lesson_as_text",
    "open_arrays",
    "read_document",
    "read_json",
    "read_record",
    "rows_of",
    "schema",
    "stroke_change_rows",
    "validate",
]
