"""What is kept longer than it may be: shown first, then erased.

Pictures go when their time is past or the consent for them is withdrawn; a student goes when nothing happened for as
long as the archive keeps students, when their own date is past, or when the consent for keeping measures is withdrawn.
"""

from datetime import date
from typing import Final

from attrs import frozen
from dateutil.relativedelta import relativedelta
from sqlalchemy import ColumnElement, func, select, union
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.consents import allowed_on
from putt_posture.archive.erasing import Erased, erase_pictures, erase_students
from putt_posture.archive.settings import settings_of
from putt_posture.archive.tables import CLIPS, ConsentRow, LessonFile, LessonRow, PracticeRow, StudentRow

__all__ = ["Overdue", "OverduePictures", "OverdueStudent", "erase_overdue", "find_overdue"]

REASON: Final = "retention time past"


@frozen(kw_only=True)
class OverdueStudent:
    """A student who is to be erased, and why."""

    number: int
    name: str
    why: str


@frozen(kw_only=True)
class OverduePictures:
    """A lesson whose pictures are to be erased, and why."""

    lesson: int
    day: date
    student: int
    name: str
    files: int
    why: str


@frozen(kw_only=True)
class Overdue:
    """All that is kept longer than it may be; pictures of students who go altogether are not named again."""

    students: tuple[OverdueStudent, ...]
    pictures: tuple[OverduePictures, ...]

    def __bool__(self) -> bool:
        return bool(self.students or self.pictures)


def find_overdue(archive: Archive, *, today: date) -> Overdue:
    """Find what is past its time today."""
    with archive.read() as session:
        students = tuple(_find_students(session, today))
        going = {each.number for each in students}
        return Overdue(students=students, pictures=tuple(_find_pictures(session, today, going)))


def erase_overdue(archive: Archive, overdue: Overdue, *, today: date) -> Erased:
    """Erase what `find_overdue` found."""
    students = erase_students(archive, [each.number for each in overdue.students], today=today, reason=REASON)
    pictures = erase_pictures(archive, [each.lesson for each in overdue.pictures])
    return Erased(
        students=students.students, lessons=students.lessons + pictures.lessons, files=students.files + pictures.files
    )


def _find_students(session: Session, today: date) -> list[OverdueStudent]:
    settings = settings_of(session)
    lesson = select(func.max(LessonRow.day)).where(LessonRow.student_id == StudentRow.id).scalar_subquery()
    practice = select(func.max(PracticeRow.day)).where(PracticeRow.student_id == StudentRow.id).scalar_subquery()
    limit = today - relativedelta(months=settings.keep_students_months)
    seen_since = select(LessonRow.id).where(LessonRow.student_id == StudentRow.id, LessonRow.day > limit)
    putted_since = select(PracticeRow.id).where(PracticeRow.student_id == StudentRow.id, PracticeRow.day > limit)
    chosen = union(
        select(StudentRow.id).where(StudentRow.keep_until < today),
        select(StudentRow.id).where(StudentRow.since <= limit, ~seen_since.exists(), ~putted_since.exists()),
        select(ConsentRow.student_id).where(ConsentRow.withdrawn_on <= today, ConsentRow.scope == "measures"),
    )
    candidates = session.execute(
        select(StudentRow, lesson, practice).where(StudentRow.id.in_(chosen)).order_by(StudentRow.id)
    )
    found = []
    for student, last_lesson, last_practice in candidates:
        last = max(day for day in (student.since, last_lesson, last_practice) if day is not None)
        if student.keep_until is not None and student.keep_until < today:
            why = f"to be kept until {student.keep_until}"
        elif student.keep_until is None and settings.student_until(last) < today:
            why = f"nothing since {last}, and students are kept {settings.keep_students_months} months"
        elif _withdrew(session, student.id, "measures", today):
            why = "the consent for keeping the measures was withdrawn"
        else:
            continue
        found.append(OverdueStudent(number=student.id, name=student.name, why=why))
    return found


def _find_pictures(session: Session, today: date, going: set[int]) -> list[OverduePictures]:
    settings = settings_of(session)
    limit = today - relativedelta(months=settings.keep_pictures_months)
    shown = (LessonFile.lesson_id == LessonRow.id, LessonFile.shows_student)
    files = select(func.count()).select_from(LessonFile).where(*shown)
    clips = files.where(LessonFile.name.startswith(CLIPS))
    has_pictures: ColumnElement[bool] = select(LessonFile.lesson_id).where(*shown).exists()
    chosen = union(
        select(LessonRow.id).where(LessonRow.day <= limit, has_pictures),
        select(LessonRow.id)
        .join(ConsentRow, ConsentRow.student_id == LessonRow.student_id)
        .where(ConsentRow.withdrawn_on <= today, ConsentRow.scope.in_(("pictures", "faces")), has_pictures),
    )
    rows = session.execute(
        select(LessonRow, StudentRow.name, files.scalar_subquery(), clips.scalar_subquery())
        .join(StudentRow, StudentRow.id == LessonRow.student_id)
        .where(LessonRow.id.in_(chosen))
        .order_by(LessonRow.id)
    ).all()
    found = []
    for lesson, name, count, kept_clips in rows:
        if lesson.student_id in going:
            continue
        if settings.pictures_until(lesson.day) < today:
            why = f"pictures are kept {settings.keep_pictures_months} months"
        elif _withdrew(session, lesson.student_id, "pictures", today):
            why = "the consent for keeping pictures was withdrawn"
        elif (kept_clips or not lesson.faces_hidden) and _withdrew(session, lesson.student_id, "faces", today):
            why = "the consent for showing the face was withdrawn"
        else:
            continue
        found.append(
            OverduePictures(
                lesson=lesson.id, day=lesson.day, student=lesson.student_id, name=name, files=count, why=why
            )
        )
    return found


def _withdrew(session: Session, number: int, scope: str, today: date) -> bool:
    """Tell whether a consent was given, withdrawn, and not given again."""
    given = session.scalar(
        select(ConsentRow.id).where(ConsentRow.student_id == number, ConsentRow.scope == scope).limit(1)
    )
    return given is not None and scope not in allowed_on(session, number, day=today)
