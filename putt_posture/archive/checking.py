"""Checks an archive: every row is as it was filed and complete, and every file exists and is unchanged."""

import hashlib
import json
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final

from sqlalchemy import Connection, func, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db import schema
from putt_posture.archive.db.row_checks import AlteredPart, CheckFault, attempt, check_database, check_rows, say_altered
from putt_posture.archive.db.tables import FitRow, LessonFile, LessonRow, MeasureRow, StudentRow, SummaryRow
from putt_posture.archive.files.file_checks import check_files
from putt_posture.archive.files.file_store import ReadsFiles
from putt_posture.archive.lessons.histories import find_summary
from putt_posture.documents import DOCUMENT
from putt_posture.errors import ArchiveError
from putt_posture.measures import MEASURES

__all__ = ["CheckFault", "check_archive", "check_contents"]

_PAGE: Final = 500
"""Lessons or students that are read at once."""


def check_archive(archive: Archive, *, read_files: bool = True) -> tuple[CheckFault, ...]:
    """Check everything in an archive and return the problems.

    Others may go on filing and erasing in the meantime.

    Parameters
    ----------
    archive : Archive
    read_files : bool
        Whether each file is compared with its digest, and each lesson's measures with its document; this takes as
        long as reading all files.

    Raises
    ------
    ArchiveError
        If the database cannot be opened at all.
    """
    found: list[CheckFault] = []
    with archive.read() as session:
        found += check_contents(session, archive.files, read_files=read_files)
    found += attempt(lambda: check_files(archive, read_files=read_files), what="The files")
    return tuple(dict.fromkeys(found))


def check_contents(session: Session, files: ReadsFiles, *, read_files: bool) -> list[CheckFault]:
    """Check a database, and the documents of its lessons.

    Parameters
    ----------
    session : Session
        Its transaction reads one moment; the tables are of this program's version.
    files : ReadsFiles
    read_files : bool
        Whether the documents of all lessons are read, or only of those whose measures were changed.
    """
    connection = session.connection()
    found = check_database(connection, schema.HEAD)
    of_rows, altered = check_rows(connection)
    found += of_rows
    found += [say_altered(each) for each in altered if each.part != "measures"]
    found += attempt(
        lambda: _check_measures(connection, files, altered, read_files=read_files), what="The measures of the lessons"
    )
    found += attempt(lambda: _check_lessons(session), what="The list of lessons")
    return found + attempt(lambda: _check_summaries(session), what="The overview")


def _check_measures(
    connection: Connection, files: ReadsFiles, altered: Iterable[AlteredPart], *, read_files: bool
) -> Iterator[CheckFault]:
    """Compare the measures of lessons with their documents, to name those that were changed."""
    suspects = {each.owner: each for each in altered if each.part == MeasureRow.__tablename__}
    for lesson, document in _documents(connection, None if read_files else sorted(suspects)):
        names: list[str] = []

        def look(
            lesson: int = lesson, document: str | None = document, names: list[str] = names
        ) -> Iterator[CheckFault]:
            names += _differing(connection, lesson, _read_document(files, document))
            yield from ()

        found = attempt(look, what=f"The measures of lesson {lesson}")
        suspect = suspects.pop(lesson, None)
        if suspect is None and names:
            suspect = AlteredPart(
                part=MeasureRow.__tablename__, owner=lesson, says=f"The measures of lesson {lesson}",
                how=f"are not what its {DOCUMENT} says",
            )  # fmt: skip
        if suspect is not None:
            yield say_altered(suspect, names)
        else:
            yield from found
    for suspect in suspects.values():  # of lessons that are gone, or have no document
        yield say_altered(suspect)


def _documents(connection: Connection, lessons: Sequence[int] | None) -> Iterator[tuple[int, str | None]]:
    """Go through the lessons with the digests of their documents, some at a time; through all of them if None."""
    query = select(LessonFile.lesson_id, LessonFile.digest).where(LessonFile.name == DOCUMENT)
    query = query.order_by(LessonFile.lesson_id).limit(_PAGE)
    if lessons is None:
        last = -1
        while rows := connection.execute(query.where(LessonFile.lesson_id > last)).all():
            yield from ((row.lesson_id, row.digest) for row in rows)
            last = rows[-1].lesson_id
        return
    for at in range(0, len(lessons), _PAGE):
        some = lessons[at : at + _PAGE]
        found = {row.lesson_id: row.digest for row in connection.execute(query.where(LessonFile.lesson_id.in_(some)))}
        yield from ((lesson, found.get(lesson)) for lesson in some)


def _read_document(files: ReadsFiles, digest: str | None) -> Mapping[str, Any]:
    """Return the measures of a stored document; none if it was changed, which `check_files` reports."""
    if digest is None:
        return {}
    try:
        with files.open(digest) as stream:
            content = stream.read()
    except ArchiveError:
        return {}
    if hashlib.sha256(content).hexdigest() != digest:
        return {}
    document = json.loads(content)
    return {**document.get("measures", {}), **(document.get("strokes") or {}).get("numbers", {})}


def _differing(connection: Connection, lesson: int, document: Mapping[str, Any]) -> list[str]:
    """Return the names of the measures whose rows differ from the document."""
    columns = (MeasureRow.name, MeasureRow.value, MeasureRow.standard_uncertainty, MeasureRow.absent, MeasureRow.unit)
    rows = {row.name: row for row in connection.execute(select(*columns).where(MeasureRow.lesson_id == lesson))}
    return [
        name
        for name, entry in document.items()
        if name in rows
        and {"value", "standard_uncertainty", "absent", "unit"} <= entry.keys()
        and not (
            _same(rows[name].value, entry["value"] if entry["absent"] is None else None)
            and _same(
                rows[name].standard_uncertainty, entry["standard_uncertainty"] if entry["absent"] is None else None
            )
            and rows[name].absent == entry["absent"]
            and rows[name].unit == entry["unit"]
        )
    ]


def _same(row: float | None, documented: float | None) -> bool:
    if row is None or documented is None:
        return row is documented
    return row == documented or (math.isnan(row) and math.isnan(documented))


def _check_lessons(session: Session) -> Iterator[CheckFault]:
    with_fit = select(FitRow.lesson_id)
    for number in session.scalars(select(LessonRow.id).where(LessonRow.id.not_in(with_fit)).order_by(LessonRow.id)):
        yield CheckFault(kind="incomplete", says=f"Lesson {number} has no fit.")
    documents = select(LessonRow.id, LessonRow.document, LessonFile.digest).outerjoin(
        LessonFile, (LessonFile.lesson_id == LessonRow.id) & (LessonFile.name == DOCUMENT)
    )
    for number, document, digest in session.execute(
        documents.order_by(LessonRow.id).execution_options(yield_per=_PAGE)
    ):
        if digest is None:
            yield CheckFault(kind="incomplete", says=f"Lesson {number} has no {DOCUMENT}.")
        elif digest != document:
            yield CheckFault(kind="altered", says=f"The {DOCUMENT} of lesson {number} is not the one that was filed.")
    measured = select(MeasureRow.name).where(MeasureRow.lesson_id == LessonRow.id, MeasureRow.name.in_(MEASURES))
    how_many = measured.with_only_columns(func.count()).scalar_subquery()
    lacking = select(LessonRow.id).where(how_many < len(MEASURES))
    there: defaultdict[int, set[str]] = defaultdict(set)
    for number, name in session.execute(
        select(MeasureRow.lesson_id, MeasureRow.name).where(MeasureRow.lesson_id.in_(lacking))
    ):
        there[number].add(name)
    for number, versions in session.execute(
        lacking.with_only_columns(LessonRow.id, LessonRow.versions).order_by(LessonRow.id)
    ):
        known = MEASURES.known_to(versions.get("putt_posture", ""))  # others came after the lesson
        for each in MEASURES:
            if each in known and each not in there[number]:
                yield CheckFault(kind="incomplete", says=f"Lesson {number} has no row for {each}.")


def _check_summaries(session: Session) -> Iterator[CheckFault]:
    numbers = session.scalars(select(StudentRow.id).order_by(StudentRow.id)).all()
    for at in range(0, len(numbers), _PAGE):
        some = numbers[at : at + _PAGE]
        kept = select(SummaryRow.__table__).where(SummaryRow.student_id.in_(some))
        known = {row.student_id: row for row in session.execute(kept)}
        for number in some:
            yield from attempt(
                lambda number=number, known=known: _check_summary(session, number, known.get(number)),  # type: ignore[misc]
                what=f"The lessons of student {number}",
            )


def _check_summary(session: Session, number: int, was: Any) -> Iterator[CheckFault]:
    session.expunge_all()
    now = find_summary(session, number)
    if _content_of(was) != _content_of(now):
        yield CheckFault(kind="out of step", says=f"The overview of student {number} does not agree with the lessons.")


def _content_of(row: Any) -> object:
    return row and (row.lessons, row.last_day, row.drifted, list(row.drifts))
