from .document import read_record
from .faces import hide_faces_in
from .folder import read_result_files, read_result_folder
from .kept import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES, KeptLesson, shows_student
from .outline import load_view

__all__ = [
    "FILES_WITHOUT_PICTURES",
    "FILES_WITH_PICTURES",
    "KeptLesson",
    "hide_faces_in",
    "load_view",
    "read_record",
    "read_result_files",
    "read_result_folder",
    "shows_student",
]
