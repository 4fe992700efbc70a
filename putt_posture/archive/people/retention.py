"""Data that is kept longer than allowed: listed first, then erased.

Pictures are erased when their time is over or there is no valid consent for them. A student is erased when there was no
lesson for as long as the archive keeps students, when their own date has passed, or when there is data and no valid
consent for keeping measures. It does not matter whether that was withdrawn, never given, or is not valid by what is
known today.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, Final

from attrs import frozen
from dateutil.relativedelta import relativedelta
from sqlalchemy import ColumnElement, Select, func, select, union
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import CLIPS, LessonFile, LessonRow, PracticeRow, StudentRow
from putt_posture.archive.people.consents import permissions_by_page
from putt_posture.archive.people.erasing import Erased, erase_pictures, erase_students
from putt_posture.archive.people.permissions import Permission, Scope
from putt_posture.archive.settings import settings_of

__all__ = ["Overdue", "OverduePictures", "OverdueStudent", "erase_overdue", "find_overdue"]

REASON: Final = "retention time past"
_TITLES: Final[dict[Scope, str]] = {
    "measures": "keeping the measures",
    "pictures": "keeping pictures",
    "faces": "showing the face",
}
_KEPT: Final = frozenset(_TITLES)
_PAGE: Final = 500


@frozen(kw_only=True)
class OverdueStudent:
    """A student to erase, and why."""

    number: int
    name: str
    why: str


@frozen(kw_only=True)
class OverduePictures:
    """A lesson whose pictures are to be erased, and why.

    Attributes
    ----------
    lesson : int
    day : date
    student : int
        The student's number.
    name : str
    files : int
        How many files show the student.
    why : str
        A clause.
    hiding_helps : bool
        Whether only the consent for faces is missing, so that pictures with hidden heads may stay.
    """

    lesson: int
    day: date
    student: int
    name: str
    files: int
    why: str
    hiding_helps: bool = False


@frozen(kw_only=True)
class Overdue:
    """All data that is kept longer than allowed; pictures of students to erase are not listed again."""

    students: tuple[OverdueStudent, ...]
    pictures: tuple[OverduePictures, ...]

    def __bool__(self) -> bool:
        return bool(self.students or self.pictures)


def find_overdue(archive: Archive, *, today: date) -> Overdue:
    """Find the data that should be erased today.

    Parameters
    ----------
    archive : Archive
    today : date
        The day by which consent and ages are judged.
    """
    with archive.read() as session:
        known = {
            number: permission
            for page in permissions_by_page(session)
            for number, permission in page.items()
            if not permission.allowed(today, use="keeping") >= _KEPT
        }
        students = tuple(_find_students(session, today, known))
        going = {each.number for each in students}
        return Overdue(students=students, pictures=tuple(_find_pictures(session, today, going, known)))


def erase_overdue(archive: Archive, overdue: Overdue, *, today: date) -> Erased:
    """Erase what `find_overdue` found.

    Parameters
    ----------
    archive : Archive
    overdue : Overdue
    today : date
        The day by which consent and ages are judged.
    """
    students = erase_students(archive, [each.number for each in overdue.students], today=today, reason=REASON)
    pictures = erase_pictures(archive, [each.lesson for each in overdue.pictures])
    return Erased(
        students=students.students, lessons=students.lessons + pictures.lessons, files=students.files + pictures.files
    )


def _find_students(session: Session, today: date, known: Mapping[int, Permission]) -> list[OverdueStudent]:
    settings = settings_of(session)
    lesson = select(func.max(LessonRow.day)).where(LessonRow.student_id == StudentRow.id).scalar_subquery()
    practice = select(func.max(PracticeRow.day)).where(PracticeRow.student_id == StudentRow.id).scalar_subquery()
    limit = today - relativedelta(months=settings.keep_students_months)
    seen_since = select(LessonRow.id).where(LessonRow.student_id == StudentRow.id, LessonRow.day > limit)
    putted_since = select(PracticeRow.id).where(PracticeRow.student_id == StudentRow.id, PracticeRow.day > limit)
    chosen = set(
        session.scalars(
            union(
                select(StudentRow.id).where(StudentRow.keep_until < today),
                select(StudentRow.id).where(StudentRow.since <= limit, ~seen_since.exists(), ~putted_since.exists()),
            )
        )
    )
    of_measures = _find_without(known, "measures", today)
    filed = set(session.scalars(union(select(LessonRow.student_id), select(PracticeRow.student_id))))
    unasked = {number for number in of_measures if number in filed or _is_given(known[number], "measures")}
    found = []
    for student, last_lesson, last_practice in _pages(
        session, select(StudentRow, lesson, practice).order_by(StudentRow.id), StudentRow.id, chosen | unasked
    ):
        last = max(day for day in (student.since, last_lesson, last_practice) if day is not None)
        if student.keep_until is not None and student.keep_until < today:
            why = f"to be kept until {student.keep_until}"
        elif student.keep_until is None and settings.student_until(last) < today:
            why = f"nothing since {last}, and students are kept {settings.keep_students_months} months"
        elif student.id in unasked:
            why = _say(known[student.id], "measures", today)
        else:
            continue
        found.append(OverdueStudent(number=student.id, name=student.name, why=why))
    return found


def _find_pictures(
    session: Session, today: date, going: set[int], known: Mapping[int, Permission]
) -> list[OverduePictures]:
    settings = settings_of(session)
    limit = today - relativedelta(months=settings.keep_pictures_months)
    shown = (LessonFile.lesson_id == LessonRow.id, LessonFile.shows_student)
    files = select(func.count()).select_from(LessonFile).where(*shown)
    clips = files.where(LessonFile.name.startswith(CLIPS))
    has_pictures: ColumnElement[bool] = select(LessonFile.lesson_id).where(*shown).exists()
    of_pictures = _find_without(known, "pictures", today)
    of_faces = _find_without(known, "faces", today)
    old = set(session.scalars(select(LessonRow.id).where(LessonRow.day <= limit, has_pictures)))
    theirs = select(LessonRow.id).where(has_pictures)
    unasked = {number for (number,) in _pages(session, theirs, LessonRow.student_id, of_pictures | of_faces)}
    rows = _pages(
        session,
        select(LessonRow, StudentRow.name, files.scalar_subquery(), clips.scalar_subquery())
        .join(StudentRow, StudentRow.id == LessonRow.student_id)
        .order_by(LessonRow.id),
        LessonRow.id,
        old | unasked,
    )
    found = []
    for lesson, name, count, kept_clips in rows:
        if lesson.student_id in going:
            continue
        hiding_helps = False
        if settings.pictures_until(lesson.day) < today:
            why = f"pictures are kept {settings.keep_pictures_months} months"
        elif lesson.student_id in of_pictures:
            why = _say(known[lesson.student_id], "pictures", today)
        elif (kept_clips or not lesson.faces_hidden) and lesson.student_id in of_faces:
            why, hiding_helps = _say(known[lesson.student_id], "faces", today), True
        else:
            continue
        found.append(
            OverduePictures(
                lesson=lesson.id,
                day=lesson.day,
                student=lesson.student_id,
                name=name,
                files=count,
                why=why,
                hiding_helps=hiding_helps,
            )
        )
    return found


def _find_without(known: Mapping[int, Permission], scope: Scope, today: date) -> set[int]:
    """Find the students, of those for whom something is not allowed, who have data that may not be kept today."""
    return {number for number, each in known.items() if scope not in each.allowed(today, use="keeping")}


def _is_given(permission: Permission, scope: Scope) -> bool:
    return any(each.scope == scope for each in permission.consents)


def _say(permission: Permission, scope: Scope, today: date) -> str:
    """Say that there is no valid consent, and why the last one is not."""
    title = _TITLES[scope]
    given = [each for each in permission.consents if each.scope == scope]
    if not given:
        return f"there is no consent for {title}"
    if given[-1].withdrawn_on is not None and given[-1].withdrawn_on <= today:
        return f"the consent for {title} was withdrawn"
    return f"the consent for {title} does not count: {permission.why_not(given[-1], day=today, use='keeping')}"


def _pages(session: Session, query: Select[*tuple[Any, ...]], key: Any, numbers: set[int]) -> Iterator[Any]:
    """Run a query for many numbers in parts, as databases limit how many a query may have."""
    wanted = sorted(numbers)
    for at in range(0, len(wanted), _PAGE):
        yield from session.execute(query.where(key.in_(wanted[at : at + _PAGE])))
