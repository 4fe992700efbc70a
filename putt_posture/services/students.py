"""All stored data of one student, as far as it may be shown today."""

from datetime import date

from attrs import frozen

from putt_posture.archive import (
    Archive,
    EnrolledStudent,
    FiledLesson,
    OverviewLine,
    Permission,
    Settings,
    is_minor,
    load_lessons,
    load_overview_line,
    load_permission,
    load_practice,
    load_student,
    read_settings,
)
from putt_posture.values import PracticeTest

__all__ = ["StudentSummary", "load_summary", "may_show_numbers"]


@frozen(kw_only=True)
class StudentSummary:
    """All stored data of a student, as far as it may be shown on a day.

    Attributes
    ----------
    student : EnrolledStudent
    minor : bool
        Whether they are a minor on that day.
    permission : Permission
        Their consents, and whether each is valid.
    withheld : tuple of str
        What is not shown on that day, and why; empty if consent was never asked for and nothing is kept.
    lessons : tuple of FiledLesson
        By date; if the measures may not be shown, only that they are kept.
    practice : tuple of PracticeTest
        Empty if the measures may not be shown.
    overview : OverviewLine or None
        When they are due, and what went back; None if it may not be shown.
    settings : Settings
        The archive's.
    keep_until : date
        The day until which the student is kept.
    """

    student: EnrolledStudent
    minor: bool
    permission: Permission
    withheld: tuple[str, ...]
    lessons: tuple[FiledLesson, ...]
    practice: tuple[PracticeTest, ...]
    overview: OverviewLine | None
    settings: Settings
    keep_until: date


def load_summary(archive: Archive, number: int, *, today: date) -> StudentSummary:
    """Load the data of a student that may be shown today.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    today : date

    Raises
    ------
    NotInArchive
    """
    student = load_student(archive, number)
    permission = load_permission(archive, number)
    lessons = load_lessons(archive, number, today=today)
    shown = permission.showing(today) != "nothing"
    practice = load_practice(archive, number, today=today) if shown else ()
    settings = read_settings(archive)
    withheld = permission.say_withheld(today, pictures=any(each.has_pictures for each in lessons))
    if not shown and not lessons and not permission.consents:
        withheld = ()  # consent was never asked for
    last = max([student.since, *(each.day for each in lessons), *(each.day for each in practice)])
    return StudentSummary(
        student=student,
        minor=is_minor(today, born=student.born, adult=student.adult, grown_at=settings.grown_at_years),
        permission=permission,
        withheld=withheld,
        lessons=lessons,
        practice=practice,
        overview=load_overview_line(archive, number, today=today),
        settings=settings,
        keep_until=student.keep_until or settings.student_until(last),
    )


def may_show_numbers(archive: Archive, number: int, *, today: date) -> bool:
    """Tell whether any measure of a student may be shown today.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    today : date

    Raises
    ------
    NotInArchive
    """
    return load_permission(archive, number).showing(today) != "nothing"
