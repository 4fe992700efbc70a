"""Histories and exports from the archive, and hiding heads in pictures that may no longer show them.

Each of these is one act of the archive and checks consent itself: a history shows no number without consent for
measures, an export has no picture without consent for pictures, and no face without consent for faces. An export of a
student has the report of each lesson, also where it was filed without.
"""

from contextlib import suppress
from datetime import date
from functools import partial
from pathlib import Path

from putt_posture import archive as acts
from putt_posture.archive import (
    Archive,
    Exported,
    export_archive,
    find_faces_to_hide,
    hide_kept_faces,
    lay_out_student_history,
    store_student_history,
)
from putt_posture.disk.sealing import Lock
from putt_posture.errors import ArchiveError, NotAllowed
from putt_posture.pages import Paper
from putt_posture.services.pages_when_asked import measure_where_pages_cannot_be_made, with_pages

__all__ = [
    "export_archive",
    "export_student",
    "find_faces_to_hide",
    "hide_kept_faces",
    "lay_out_student_history",
    "store_student_history",
]


def export_student(
    archive: Archive,
    number: int,
    path: Path | str,
    *,
    today: date,
    hide_faces: bool = False,
    clips: bool = True,
    raw_text: bool = False,
    replace: bool = False,
    lock: Lock | None = None,
    paper: Paper = "a4",
) -> Exported:
    """Write the data of a student that may be shown today into a zip, with the report of each lesson.

    A lesson whose report was not made yet, and whose numbers this version of the program does not measure, is measured
    again first, where that may be filed. Otherwise the export says that its report is left out.

    Parameters
    ----------
    archive, number, path, today, hide_faces, clips, raw_text, replace, lock
        As for `export_student` of the archive.
    paper : {"a4", "letter"}
        What the PDFs are set for that are made now.

    Returns
    -------
    Exported

    Raises
    ------
    NotInArchive, NotAllowed, OutputError, UsageError, ArchiveError
        As `export_student` of the archive does.
    """
    with suppress(ArchiveError, NotAllowed):  # it cannot be filed, or the export says what is damaged
        measure_where_pages_cannot_be_made(archive, number, today=today, paper=paper)
    return acts.export_student(
        archive,
        number,
        path,
        today=today,
        hide_faces=hide_faces,
        clips=clips,
        raw_text=raw_text,
        replace=replace,
        lock=lock,
        complete=partial(with_pages, paper=paper),
    )
