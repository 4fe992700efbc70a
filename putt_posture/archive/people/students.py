"""Students: added, found by name, changed."""

from datetime import date
from typing import Any, Final, cast

from attrs import evolve, field, frozen
from sqlalchemy import ColumnElement, and_, delete, func, select
from sqlalchemy.orm import Session, aliased

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import LessonRow, NameWord, StudentRow, SummaryRow
from putt_posture.archive.db.texts import clean, name_key, name_words
from putt_posture.body import check_student
from putt_posture.errors import NotInArchive, UsageError
from putt_posture.values import Handed, Sex, Student

__all__ = [
    "EnrolledStudent",
    "FoundStudent",
    "add_student",
    "change_student",
    "check_enrolment",
    "find_students",
    "load_student",
    "row_of",
]

LONGEST_NAME: Final = 200
_OLDEST: Final = 120
_BEYOND: Final = "\U0010ffff"
"""Sorts after every letter."""
_LOOKED_AT: Final = 2000
"""The most words of names that a search reads, so that it takes no longer with more students."""


@frozen(kw_only=True)
class EnrolledStudent:
    """A student of the archive.

    Attributes
    ----------
    number : int
        In the archive.
    student : Student
        As enrolled; a lesson may have other lengths.
    born : date or None
    adult : bool
        Whether they were enrolled as an adult, without a day of birth.
    since : date
    notes : str
    keep_until : date or None
        Overrules the archive's retention time.
    """

    number: int
    student: Student
    born: date | None
    adult: bool
    since: date
    notes: str = ""
    keep_until: date | None = None

    @property
    def name(self) -> str:
        """The student's name."""
        return self.student.name or ""


@frozen(kw_only=True)
class FoundStudent:
    """One line of a search."""

    number: int
    name: str
    born: date | None
    lessons: int = field(default=0)
    last_day: date | None = None


def add_student(
    archive: Archive,
    student: Student,
    *,
    today: date,
    born: date | None = None,
    adult: bool = False,
    notes: str = "",
) -> int:
    """Add a student and return their number.

    Parameters
    ----------
    archive : Archive
    student : Student
        With a name.
    today : date
        The day by which consent and ages are judged.
    born : date, optional
        Needed unless `adult`.
    adult : bool
        Whether the student is known to be an adult.
    notes : str
        Free text about the student.

    Raises
    ------
    UsageError
        If there is no name, no age, or impossible data.
    """
    name = check_enrolment(student, born=born, adult=adult, today=today)
    with archive.write() as session:
        row = StudentRow(
            name=name,
            name_key=name_key(name),
            born=born,
            adult=adult,
            handed=student.handed,
            stature_cm=student.stature_cm,
            sex=student.sex,
            wrist_floor_cm=student.wrist_floor_cm,
            notes=clean(notes),
            since=today,
        )
        session.add(row)
        session.flush()
        _index_name(session, row)
        return row.id


def change_student(archive: Archive, number: int, *, today: date, **changes: Any) -> EnrolledStudent:
    """Change the data of a student.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    today : date
        The day by which consent and ages are judged.
    **changes
        Attributes of `Student`, or ``born``, ``adult``, ``notes``, ``keep_until``.

    Raises
    ------
    NotInArchive, UsageError
    """
    with archive.write() as session:
        row = row_of(session, number)
        was = _enrolled(row)
        about = {name: changes.pop(name) for name in ("born", "adult", "notes", "keep_until") if name in changes}
        now = evolve(was, student=evolve(was.student, **changes), **about)
        name = check_enrolment(now.student, born=now.born, adult=now.adult, today=today)
        _check_side(session, row, now.student.handed)
        row.name, row.name_key = name, name_key(name)
        row.born, row.adult, row.notes, row.keep_until = now.born, now.adult, clean(now.notes), now.keep_until
        row.handed, row.stature_cm, row.sex = now.student.handed, now.student.stature_cm, now.student.sex
        row.wrist_floor_cm = now.student.wrist_floor_cm
        session.execute(delete(NameWord).where(NameWord.student_id == number))
        _index_name(session, row)
        return _enrolled(row)


def load_student(archive: Archive, number: int) -> EnrolledStudent:
    """Load a student. Raises NotInArchive.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    """
    with archive.read() as session:
        return _enrolled(row_of(session, number))


def find_students(archive: Archive, text: str, *, most: int = 50) -> tuple[FoundStudent, ...]:
    """Find students by the beginnings of words of their names, in any order.

    Parameters
    ----------
    archive : Archive
    text : str
        ``par putt`` finds Parker Puttwell; case and accents do not matter.
    most : int
        The most students that are returned, sorted by name. If there are more, these are the first by the word that was
        searched.

    Raises
    ------
    UsageError
        If it has no word, or only words with which too many names begin.
    """
    words = name_words(text)
    if not words:
        raise UsageError(f"{text!r} holds no word to look for. Give the beginning of a name.")
    query = select(StudentRow.id, StudentRow.name, StudentRow.born, SummaryRow.lessons, SummaryRow.last_day).outerjoin(
        SummaryRow, SummaryRow.student_id == StudentRow.id
    )
    with archive.read() as session:
        chosen = query.where(StudentRow.id.in_(_find_numbers(session, words, most=most)))
        rows = session.execute(chosen.order_by(StudentRow.name_key, StudentRow.id)).all()
    return tuple(
        FoundStudent(number=number, name=name, born=born, lessons=lessons or 0, last_day=last)
        for number, name, born, lessons, last in rows
    )


def check_enrolment(student: Student, *, born: date | None, adult: bool, today: date) -> str:
    """Check that a student can be added to an archive, and return the name as it is stored.

    Parameters
    ----------
    student : Student
        As typed.
    born : date or None
        Day of birth; None where it is not known.
    adult : bool
        Whether the student is of age, where the day of birth is not known.
    today : date
        The day by which consent and ages are judged.

    Raises
    ------
    UsageError
        If there is no name, no age, or impossible data.
    """
    name = " ".join(clean(student.name or "").split())
    if not name_words(name):
        raise UsageError("The student has no name. Give one by which you will find them again.")
    if len(name) > LONGEST_NAME:
        raise UsageError(f"The name is {len(name)} letters long; at most {LONGEST_NAME} are kept. Shorten it.")
    if born is None and not adult:
        raise UsageError(
            f"It is not known whether {name} is a minor. Give the day of birth, or say that they are grown up."
        )
    if born is not None and not 0 <= (today - born).days <= _OLDEST * 366:
        raise UsageError(f"The day of birth {born} cannot be. Write it as year-month-day, like 1988-05-17.")
    check_student(student)
    return name


def row_of(session: Session, number: int) -> StudentRow:
    """Return a student's row. Raises NotInArchive.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the student.
    """
    row = session.get(StudentRow, number)
    if row is None:
        raise NotInArchive(f"There is no student {number} in the archive. Look for the number with archive find NAME.")
    return row


def _find_numbers(session: Session, words: frozenset[str], *, most: int) -> list[int]:
    """Find students with every word, in the order of the rarest word; only a limited part is read."""
    count, rarest = min((_count(session, word), word) for word in words)
    names = select(NameWord.word, NameWord.student_id).where(_begins(NameWord, rarest))
    looked_at = names.order_by(NameWord.word, NameWord.student_id).limit(_LOOKED_AT).subquery()
    query = select(looked_at.c.student_id)
    for word in sorted(words - {rarest}):
        other = aliased(NameWord)
        query = query.where(
            select(other.student_id).where(other.student_id == looked_at.c.student_id, _begins(other, word)).exists()
        )
    found = session.scalars(query.order_by(looked_at.c.word, looked_at.c.student_id))
    numbers = list(dict.fromkeys(found))
    if count > _LOOKED_AT and len(numbers) < most:
        raise UsageError(
            f"More than {_LOOKED_AT} names have a word that begins with {rarest}. Give more letters of it."
        )
    return numbers[:most]


def _count(session: Session, word: str) -> int:
    """Count the names with a word that begins so, up to one more than the limit."""
    some = select(NameWord.student_id).where(_begins(NameWord, word)).limit(_LOOKED_AT + 1).subquery()
    return session.scalar(select(func.count()).select_from(some)) or 0


def _begins(table: type[NameWord], word: str) -> ColumnElement[bool]:
    return and_(table.word >= word, table.word < word + _BEYOND)


def _enrolled(row: StudentRow) -> EnrolledStudent:
    return EnrolledStudent(
        number=row.id,
        student=Student(
            name=row.name,
            stature_cm=row.stature_cm,
            handed=cast(Handed, row.handed),
            sex=cast(Sex | None, row.sex),
            wrist_floor_cm=row.wrist_floor_cm,
        ),
        born=row.born,
        adult=row.adult,
        since=row.since,
        notes=row.notes,
        keep_until=row.keep_until,
    )


def _index_name(session: Session, row: StudentRow) -> None:
    session.add_all(NameWord(word=word, student_id=row.id) for word in name_words(row.name))


def _check_side(session: Session, row: StudentRow, handed: Handed) -> None:
    if handed != row.handed and session.scalar(select(LessonRow.id).where(LessonRow.student_id == row.id).limit(1)):
        raise UsageError(
            f"{row.name} has lessons filed as {row.handed}-handed, which measure that side. Erase those first with "
            "archive erase-lesson, or enrol them once more for putting the other way."
        )
