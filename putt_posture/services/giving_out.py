"""What leaves the archive as a whole, and pictures that may leave it no more.

Each of these is one act of the archive and asks itself what is allowed on the day: a history shows no number without
consent for measures, an export no picture without consent for pictures and no face without that for faces.
"""

from putt_posture.archive import (
    export_archive,
    export_student,
    find_faces_to_hide,
    hide_kept_faces,
    store_student_history,
)

__all__ = ["export_archive", "export_student", "find_faces_to_hide", "hide_kept_faces", "store_student_history"]
