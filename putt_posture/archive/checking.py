"""Whether an archive is whole: every file there and unaltered, every row with what belongs to it."""

from collections.abc import Iterator

from attrs import frozen
from sqlalchemy import select, text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive, is_damage
from putt_posture.archive.file_store import digest_of
from putt_posture.archive.filing import DOCUMENT
from putt_posture.archive.standings import find_standing
from putt_posture.archive.tables import (
    Arrival,
    Departure,
    FileRow,
    FitRow,
    LessonFile,
    LessonRow,
    MeasureRow,
    Standing,
    StudentRow,
)
from putt_posture.errors import ArchiveError
from putt_posture.values import MEASURES

__all__ = ["Finding", "check_archive"]


@frozen(kw_only=True)
class Finding:
    """Something that is not as it should be.

    Attributes
    ----------
    kind : str
        ``missing``, ``altered``, ``orphaned``, ``incomplete``, ``out of step`` or ``database``.
    says : str
        One sentence that names it.
    """

    kind: str
    says: str


def check_archive(archive: Archive, *, read_files: bool = True) -> tuple[Finding, ...]:
    """Look at everything in an archive and return what is not as it should be.

    Parameters
    ----------
    archive : Archive
    read_files : bool
        Whether each file's content is held against its digest, which takes as long as reading them all.
    """
    found: list[Finding] = []
    with archive.read() as session:
        try:
            found += _check_database(session)
            found += _check_lessons(session)
            found += _check_standings(session)
            found += _check_files(archive, session, read_files=read_files)
        except DatabaseError as error:
            if not is_damage(error):
                raise
            found.append(_damaged(str(error.orig)))
    return tuple(dict.fromkeys(found))


def _damaged(says: str) -> Finding:
    return Finding(kind="database", says=f"The database is damaged: {says}. Restore it from a backup.")


def _check_database(session: Session) -> Iterator[Finding]:
    if session.get_bind().dialect.name != "sqlite":
        return
    for line in session.execute(text("PRAGMA integrity_check")).scalars():
        if line != "ok":
            yield _damaged(" ".join(str(line).split()))
    for row in session.execute(text("PRAGMA foreign_key_check")):
        yield Finding(kind="database", says=f"A row of {row[0]} belongs to nothing in {row[2]}.")


def _check_lessons(session: Session) -> Iterator[Finding]:
    with_fit = select(FitRow.lesson_id)
    for number in session.scalars(select(LessonRow.id).where(LessonRow.id.not_in(with_fit)).order_by(LessonRow.id)):
        yield Finding(kind="incomplete", says=f"Lesson {number} has no fit.")
    with_document = select(LessonFile.lesson_id).where(LessonFile.name == DOCUMENT)
    for number in session.scalars(
        select(LessonRow.id).where(LessonRow.id.not_in(with_document)).order_by(LessonRow.id)
    ):
        yield Finding(kind="incomplete", says=f"Lesson {number} has no {DOCUMENT}.")
    for name in MEASURES:
        measured = select(MeasureRow.lesson_id).where(MeasureRow.name == name)
        for number in session.scalars(select(LessonRow.id).where(LessonRow.id.not_in(measured))):
            yield Finding(kind="incomplete", says=f"Lesson {number} has no row for {name}.")


def _check_standings(session: Session) -> Iterator[Finding]:
    known = {row.student_id: row for row in session.scalars(select(Standing))}
    for number in session.scalars(select(StudentRow.id).order_by(StudentRow.id)):
        was, now = known.get(number), find_standing(session, number)
        if _told(was) != _told(now):
            yield Finding(
                kind="out of step", says=f"What the overview says of student {number} is not what lessons say."
            )


def _told(standing: Standing | None) -> object:
    return standing and (standing.lessons, standing.last_day, standing.drifted, list(standing.drifts))


def _check_files(archive: Archive, session: Session, *, read_files: bool) -> Iterator[Finding]:
    rows = {row.digest: row.size for row in session.scalars(select(FileRow))}
    known = set(session.scalars(select(LessonFile.digest)))
    on_the_way = {*session.scalars(select(Arrival.digest)), *session.scalars(select(Departure.digest))}
    there = set(archive.files.digests())
    for digest in sorted(rows.keys() - there):
        yield Finding(kind="missing", says=f"The file {digest} is missing: {_whose(session, digest)}.")
    for digest in sorted(there - rows.keys() - on_the_way):
        yield Finding(kind="orphaned", says=f"The file {digest} belongs to nothing in the archive.")
    for name in archive.files.strays():
        yield Finding(kind="orphaned", says=f"The file {name} in {archive.files.title} is none of the archive's.")
    for digest in sorted(rows.keys() - known):
        yield Finding(kind="orphaned", says=f"The file {digest} is kept and no lesson knows it.")
    if not read_files:
        return
    for digest in sorted(rows.keys() & there):
        try:
            with archive.files.open(digest) as stream:
                found = digest_of(stream)
        except ArchiveError as error:
            yield Finding(kind="missing", says=f"{error} It is {_whose(session, digest)}.")
            continue
        if found != digest:
            yield Finding(kind="altered", says=f"The file {digest} was altered: {_whose(session, digest)}.")


def _whose(session: Session, digest: str) -> str:
    rows = session.execute(
        select(LessonFile.name, LessonFile.lesson_id, LessonRow.student_id)
        .join(LessonRow, LessonRow.id == LessonFile.lesson_id)
        .where(LessonFile.digest == digest)
        .order_by(LessonFile.lesson_id, LessonFile.name)
    ).all()
    named = [f"{row.name} of lesson {row.lesson_id} (student {row.student_id})" for row in rows]
    return ", ".join(named) or "no lesson knows it"
