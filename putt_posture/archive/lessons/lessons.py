"""Filed lessons: listed, and opened as far as they may be shown today.

`open_lesson` is the only way to read a filed lesson for showing it.
"""

import hashlib
from collections.abc import Callable, Mapping
from datetime import date
from typing import cast

from attrs import evolve, fields, frozen
from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.rows import row_of_lesson
from putt_posture.archive.db.tables import CLIPS, LessonFile, LessonRow
from putt_posture.archive.files.file_store import check_name
from putt_posture.archive.lessons.filing import LessonNotes
from putt_posture.archive.people.consents import permission_of
from putt_posture.archive.people.permissions import Permission
from putt_posture.archive.people.students import row_of
from putt_posture.documents import DOCUMENT, read_record
from putt_posture.errors import ArchiveError, NotAllowed, UsageError
from putt_posture.records import KeptLesson, hide_faces_in, shows_student
from putt_posture.values import Moment

__all__ = [
    "FiledLesson",
    "digests_of",
    "load_lesson",
    "load_lessons",
    "open_lesson",
    "open_unasked",
    "show_as_allowed",
]


@frozen(kw_only=True)
class FiledLesson:
    """A lesson as the archive lists it.

    Attributes
    ----------
    number : int
        In the archive.
    student : int
        The student's number.
    day : date
    moment : Moment
    notes : LessonNotes
        Empty if the measures may not be shown.
    putter_length_cm : float or None
        The putter in use; also None if the measures may not be shown.
    names : tuple of str
        The files that are kept, sorted: those of the result folder, and ``clips/…``.
    """

    number: int
    student: int
    day: date
    moment: Moment
    notes: LessonNotes
    putter_length_cm: float | None
    names: tuple[str, ...]

    @property
    def clips(self) -> int:
        """How many clips are kept."""
        return sum(name.startswith(CLIPS) for name in self.names)

    @property
    def has_pictures(self) -> bool:
        """Whether a kept file shows the student."""
        return any(shows_student(name) for name in self.names)


def load_lessons(archive: Archive, number: int, *, today: date | None = None) -> tuple[FiledLesson, ...]:
    """Load the list of a student's lessons by date.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    today : date, optional
        Without it, or if keeping the measures is not allowed on it, the list only says what is kept, without notes or
        measures.

    Raises
    ------
    NotInArchive
    """
    with archive.read() as session:
        row_of(session, number)
        shown = today is not None and permission_of(session, number).showing(today) != "nothing"
        rows = session.scalars(
            select(LessonRow).where(LessonRow.student_id == number).order_by(LessonRow.day, LessonRow.id)
        ).all()
        names: dict[int, list[str]] = {row.id: [] for row in rows}
        known = select(LessonFile.lesson_id, LessonFile.name).where(LessonFile.lesson_id.in_(names))
        for lesson, name in session.execute(known.order_by(LessonFile.name)):
            names[lesson].append(check_name(name, lesson=lesson))
        return tuple(_filed(row, names[row.id], shown=shown) for row in rows)


def load_lesson(archive: Archive, number: int, *, today: date | None = None) -> FiledLesson:
    """Load one lesson of the list, as `load_lessons` does. Raises NotInArchive.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the lesson.
    today : date or None
        The day by which consent and ages are judged.
    """
    with archive.read() as session:
        row = row_of_lesson(session, number)
        shown = today is not None and permission_of(session, row.student_id).showing(today) != "nothing"
        known = select(LessonFile.name).where(LessonFile.lesson_id == number).order_by(LessonFile.name)
        return _filed(row, [check_name(name, lesson=number) for name in session.scalars(known)], shown=shown)


def open_lesson(archive: Archive, number: int, *, today: date, pictures: bool = True) -> KeptLesson:
    """Open a lesson with the files that may be shown today; each is read when it is needed.

    If keeping pictures is not allowed, files that show the student are left out. If showing the face is not allowed,
    every head is hidden, which takes seconds, and clips are left out. `KeptLesson.says` says so. The archive must stay
    open while the lesson is used. The day of the record is that of the lesson, not that of measuring.

    Parameters
    ----------
    archive : Archive
    number : int
        The lesson's.
    today : date
        The day by which consent and ages are judged.
    pictures : bool
        Whether files that show the student are wanted at all.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures does not count today.
    ArchiveError
        If a file is missing, was altered, or has a name that this program never gives.
    InstallationError
        If heads are to be hidden and the pose model cannot be opened.
    """
    kept, digests = open_unasked(archive, number)
    with archive.read() as session:
        permission = permission_of(session, row_of_lesson(session, number).student_id)
    permission.check_showing(today)
    if not pictures:
        withheld = permission.say_withheld(today, pictures=any(map(shows_student, digests)))
        return _narrow(kept, _without_pictures(kept), withheld)
    return show_as_allowed(kept, permission, today=today)


def show_as_allowed(lesson: KeptLesson, permission: Permission, *, today: date) -> KeptLesson:
    """Return a lesson as far as it may be shown today; `KeptLesson.says` names what is left out.

    Parameters
    ----------
    lesson : KeptLesson
    permission : Permission
        Of its student.
    today : date
        The day by which consent and ages are judged.

    Raises
    ------
    NotAllowed
        If the consent for keeping measures does not count today.
    InstallationError
        If heads are to be hidden and the pose model cannot be opened.
    """
    showing = permission.check_showing(today)
    withheld = permission.say_withheld(today, pictures=any(map(shows_student, lesson.names)))
    shown = evolve(lesson, says=withheld)
    if showing == "measures":
        return _narrow(shown, _without_pictures(shown), withheld)
    if showing == "hidden":
        still = _narrow(shown, frozenset(name for name in shown.names if not name.startswith(CLIPS)), withheld)
        try:
            return hide_faces_in(still)
        except UsageError:  # a damaged file; pictures that cannot be read are not shown
            return _narrow(shown, _without_pictures(shown), withheld)
    return shown


def open_unasked(archive: Archive, number: int) -> tuple[KeptLesson, dict[str, str]]:
    """Open a lesson without asking consent, for the archive's own work; it must not be shown or exported.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the lesson.

    Returns
    -------
    KeptLesson
    dict of str to str
        The digests of its files by name.

    Raises
    ------
    NotInArchive
    ArchiveError
        As `open_lesson` does.
    """
    with archive.read() as session:
        row = row_of_lesson(session, number)
        day, said = row.day, _notes_of(row).alone()
        digests = digests_of(session, number)
    title = f"lesson {number} of {day}"
    if DOCUMENT not in digests:
        raise ArchiveError(
            f"Lesson {number} of {day} has lost its {DOCUMENT}. Restore the archive from a backup, or erase the lesson."
        )
    read = _reader(archive, digests, title)
    kept = KeptLesson(
        title=title,
        record=evolve(read_record(read(DOCUMENT), where=f"{DOCUMENT} of {title}"), made_on=day, interview=said),
        names=frozenset(digests),
        read=read,
        files=archive.place.paths,
    )
    return kept, digests


def digests_of(session: Session, number: int) -> dict[str, str]:
    """Return the digests of a lesson's files by name, in an open transaction. Raises ArchiveError.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the lesson.
    """
    known = select(LessonFile.name, LessonFile.digest).where(LessonFile.lesson_id == number)
    return {check_name(name, lesson=number): digest for name, digest in session.execute(known)}


def _without_pictures(lesson: KeptLesson) -> frozenset[str]:
    return frozenset(name for name in lesson.names if not shows_student(name))


def _reader(archive: Archive, digests: Mapping[str, str], title: str) -> Callable[[str], bytes]:
    """Return a function that reads a file of a lesson and compares it with its digest."""

    def read(name: str) -> bytes:
        with archive.files.open(digests[name]) as stream:
            data = stream.read()
        if hashlib.sha256(data).hexdigest() != digests[name]:
            raise ArchiveError(
                f"{name} of {title} was altered since it was filed. "
                "Restore the archive from a backup, or erase the lesson with archive erase-lesson."
            )
        return data

    return read


def _narrow(lesson: KeptLesson, names: frozenset[str], withheld: tuple[str, ...]) -> KeptLesson:
    """Return a lesson with only some of its files; the others cannot be read from it."""

    def read(name: str) -> bytes:
        if name not in names:
            raise NotAllowed(withheld[0] if withheld else f"{name} of {lesson.title} was not asked for.")
        return lesson.read(name)

    return evolve(lesson, names=names, read=read)


def _notes_of(row: LessonRow) -> LessonNotes:
    return LessonNotes(**{each.name: getattr(row, each.name) for each in fields(LessonNotes)})


def _filed(row: LessonRow, names: list[str], *, shown: bool) -> FiledLesson:
    return FiledLesson(
        number=row.id,
        student=row.student_id,
        day=row.day,
        moment=cast(Moment, row.moment),
        notes=_notes_of(row) if shown else LessonNotes(),
        putter_length_cm=row.putter_length_cm if shown else None,
        names=tuple(names),
    )
