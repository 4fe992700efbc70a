"""Checks that the files of an archive and its rows agree, while other programs may be filing and erasing.

Files and rows are not read at the same moment. So where one of the two seems to be missing, both are read again before
it is reported: a program that files writes a pending add before the file is stored, and one that erases writes a
pending delete before the file is removed.
"""

import time
from collections.abc import Iterator
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.row_checks import CheckFault
from putt_posture.archive.db.tables import FileRow, LessonFile, LessonRow, PendingAdd, PendingDelete
from putt_posture.archive.files.file_store import digest_of, is_digest
from putt_posture.errors import ArchiveError

__all__ = ["check_files"]

_LOOKS: Final = 3
"""How many times a problem must be found before it is reported."""
_PAUSE_S: Final = 0.2


def check_files(archive: Archive, *, read_files: bool) -> Iterator[CheckFault]:
    """Go through the problems among the files.

    Parameters
    ----------
    archive : Archive
    read_files : bool
        Whether each file's content is compared with its digest and size.
    """
    missing, unknown, strays = _look(archive)
    for _ in range(_LOOKS - 1):
        if missing or unknown or strays:
            time.sleep(_PAUSE_S)
            again = _look(archive)
            missing, unknown, strays = missing & again[0], unknown & again[1], strays & again[2]
    for digest in sorted(missing):
        yield CheckFault(kind="missing", says=f"The file {digest} is missing: {_whose(archive, digest)}.")
    for digest in sorted(unknown):
        yield CheckFault(kind="orphaned", says=f"The file {digest} belongs to nothing in the archive.")
    for name in sorted(strays):
        says = f"The file {name} in {archive.files.title} does not belong to the archive."
        yield CheckFault(kind="orphaned", says=says)
    yield from _check_known(archive)
    if read_files:
        yield from _read_all(archive, missing)


def _look(archive: Archive) -> tuple[set[str], set[str], set[str]]:
    """Return the digests of missing files, of files without a row, and the names of other objects.

    The files are listed before the rows are read, so that a listed file has a row or a pending add.
    """
    there, strays = set(archive.files.digests()), set(archive.files.strays())
    with archive.read() as session:
        rows = _rows(session).keys()
        on_the_way = {*session.scalars(select(PendingAdd.digest)), *session.scalars(select(PendingDelete.digest))}
    new = rows - there  # filed after the list was made, or really missing
    return {digest for digest in new if not _is_there(archive, digest)}, there - rows - on_the_way, strays


def _rows(session: Session) -> dict[str, int]:
    """Return the sizes of files by digest, without invalid digests, which `value_checks` reports."""
    rows = session.execute(select(FileRow.digest, FileRow.size)).all()
    return {row.digest: row.size for row in rows if is_digest(row.digest)}


def _is_there(archive: Archive, digest: str) -> bool:
    try:
        archive.files.open(digest).close()
    except ArchiveError:
        return False
    return True


def _check_known(archive: Archive) -> Iterator[CheckFault]:
    with archive.read() as session:
        known = set(session.scalars(select(LessonFile.digest)))
        rows = _rows(session)
    for digest in sorted(rows.keys() - known):
        yield CheckFault(kind="orphaned", says=f"The file {digest} is kept, but no lesson uses it.")


def _read_all(archive: Archive, missing: set[str]) -> Iterator[CheckFault]:
    with archive.read() as session:
        rows = _rows(session)
    for digest, size in sorted(rows.items()):
        if digest in missing:
            continue
        try:
            with archive.files.open(digest) as stream:
                found = digest_of(stream)
                read = stream.tell()
        except (ArchiveError, OSError) as error:
            if _is_kept(archive, digest):
                yield CheckFault(kind="missing", says=f"{error} It is {_whose(archive, digest)}.")
            continue
        if found != digest:
            yield CheckFault(kind="altered", says=f"The file {digest} was altered: {_whose(archive, digest)}.")
        elif read != size:
            yield CheckFault(
                kind="altered", says=f"The file {digest} has {read} bytes, and the archive says that it has {size}."
            )


def _is_kept(archive: Archive, digest: str) -> bool:
    """Tell whether a file is still used; it may have been erased since the rows were read."""
    with archive.read() as session:
        return session.get(FileRow, digest) is not None


def _whose(archive: Archive, digest: str) -> str:
    with archive.read() as session:
        rows = session.execute(
            select(LessonFile.name, LessonFile.lesson_id, LessonRow.student_id)
            .join(LessonRow, LessonRow.id == LessonFile.lesson_id)
            .where(LessonFile.digest == digest)
            .order_by(LessonFile.lesson_id, LessonFile.name)
        ).all()
    named = [f"{row.name} of lesson {row.lesson_id} (student {row.student_id})" for row in rows]
    return ", ".join(named) or "no lesson uses it"
