"""Lessons that were stored: read back from their documents, and from the folders that hold them."""

from putt_posture.records.document import read_record
from putt_posture.records.faces import hide_faces_in
from putt_posture.records.folder import read_result_folder
from putt_posture.records.kept import FILES_WITH_PICTURES, KeptLesson, shows_student
from putt_posture.records.outline import load_view

__all__ = [
    "FILES_WITH_PICTURES",
    "KeptLesson",
    "hide_faces_in",
    "load_view",
    "read_record",
    "read_result_folder",
    "shows_student",
]
