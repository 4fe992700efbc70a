"""Histories and exports from the archive, and hiding heads in pictures that may no longer show them.

Each of these is one act of the archive and checks consent itself: a history shows no number without consent for
measures, an export has no picture without consent for pictures, and no face without consent for faces.
"""

from putt_posture.archive import (
    export_archive,
    export_student,
    find_faces_to_hide,
    hide_kept_faces,
    lay_out_student_history,
    store_student_history,
)

__all__ = [
    "export_archive",
    "export_student",
    "find_faces_to_hide",
    "hide_kept_faces",
    "lay_out_student_history",
    "store_student_history",
]
