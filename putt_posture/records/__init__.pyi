from .checked import check_files
from .faces import hide_faces_in, load_view
from .kept import (
    FILES_WITH_PICTURES,
    FILES_WITHOUT_PICTURES,
    KeptLesson,
    load_strokes,
    read_result_files,
    read_result_folder,
    shows_student,
)

__all__ = [
    "FILES_WITHOUT_PICTURES",
    "FILES_WITH_PICTURES",
    "KeptLesson",
    "check_files",
    "hide_faces_in",
    "load_strokes",
    "load_view",
    "read_result_files",
    "read_result_folder",
    "shows_student",
]
