from .arrays import ARRAYS, StoredArrays, open_arrays
from .checked import check_files
from .document import read_record
from .faces import hide_faces_in
from .folder import read_result_files, read_result_folder
from .json_reading import read_json
from .kept import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES, KeptLesson, shows_student
from .outline import load_view

__all__ = [
    "ARRAYS",
    "FILES_WITHOUT_PICTURES",
    "FILES_WITH_PICTURES",
    "KeptLesson",
    "StoredArrays",
    "check_files",
    "hide_faces_in",
    "load_view",
    "open_arrays",
    "read_json",
    "read_record",
    "read_result_files",
    "read_result_folder",
    "shows_student",
]
