"""Filed lessons: listed, and opened as they were when they were measured."""

from datetime import date
from typing import cast

from attrs import evolve, fields, frozen
from sqlalchemy import select

from putt_posture.archive.archive import Archive
from putt_posture.archive.file_names import check_name
from putt_posture.archive.filing import DOCUMENT, Told
from putt_posture.archive.students import row_of
from putt_posture.archive.tables import CLIPS, LessonFile, LessonRow
from putt_posture.errors import ArchiveError, NotInArchive
from putt_posture.records import KeptLesson, read_record, shows_student
from putt_posture.values import Moment

__all__ = ["FiledLesson", "load_lesson", "load_lessons", "open_lesson"]


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
    told : Told
    putter_length_cm : float or None
        The putter in use.
    names : tuple of str
        The files that are kept, sorted: those of the result folder, and ``clips/…``.
    """

    number: int
    student: int
    day: date
    moment: Moment
    told: Told
    putter_length_cm: float | None
    names: tuple[str, ...]

    @property
    def clips(self) -> int:
        """How many clips are kept."""
        return sum(name.startswith(CLIPS) for name in self.names)

    @property
    def has_pictures(self) -> bool:
        """Whether the student can be seen in something that is kept."""
        return any(shows_student(name) for name in self.names)


def load_lessons(archive: Archive, number: int) -> tuple[FiledLesson, ...]:
    """Load the list of a student's lessons in the order of time. Raises NotInArchive."""
    with archive.read() as session:
        row_of(session, number)
        rows = session.scalars(
            select(LessonRow).where(LessonRow.student_id == number).order_by(LessonRow.day, LessonRow.id)
        ).all()
        names: dict[int, list[str]] = {row.id: [] for row in rows}
        known = select(LessonFile.lesson_id, LessonFile.name).where(LessonFile.lesson_id.in_(names))
        for lesson, name in session.execute(known.order_by(LessonFile.name)):
            names[lesson].append(check_name(name, lesson=lesson))
        return tuple(_filed(row, names[row.id]) for row in rows)


def load_lesson(archive: Archive, number: int) -> FiledLesson:
    """Load one lesson of the list. Raises NotInArchive."""
    with archive.read() as session:
        row = session.get(LessonRow, number)
        if row is None:
            raise NotInArchive(f"There is no lesson {number} in the archive. Look for it with archive show.")
        known = select(LessonFile.name).where(LessonFile.lesson_id == number).order_by(LessonFile.name)
        return _filed(row, [check_name(name, lesson=number) for name in session.scalars(known)])


def open_lesson(archive: Archive, number: int) -> KeptLesson:
    """Open a lesson with its files, which are read when they are asked for.

    The archive must stay open for as long. The day of the record is that of the lesson, whenever it was measured.

    Raises
    ------
    NotInArchive
    ArchiveError
        If a file is missing, or known under a name that this program never gives.
    """
    lesson = load_lesson(archive, number)
    with archive.read() as session:
        known = select(LessonFile.name, LessonFile.digest).where(LessonFile.lesson_id == number)
        digests = {check_name(name, lesson=number): digest for name, digest in session.execute(known)}
    if DOCUMENT not in digests:
        raise ArchiveError(
            f"Lesson {number} of {lesson.day} has lost its {DOCUMENT}. Restore the archive from a backup, or erase "
            "the lesson."
        )

    def read(name: str) -> bytes:
        with archive.files.open(digests[name]) as stream:
            return stream.read()

    title = f"lesson {number} of {lesson.day}"
    record = read_record(read(DOCUMENT), where=f"{DOCUMENT} of {title}")
    return KeptLesson(
        title=title,
        record=evolve(record, made_on=lesson.day),
        names=frozenset(digests),
        read=read,
        files=archive.place.paths,
    )


def _filed(row: LessonRow, names: list[str]) -> FiledLesson:
    return FiledLesson(
        number=row.id,
        student=row.student_id,
        day=row.day,
        moment=cast(Moment, row.moment),
        told=Told(**{each.name: getattr(row, each.name) for each in fields(Told)}),
        putter_length_cm=row.putter_length_cm,
        names=tuple(names),
    )
