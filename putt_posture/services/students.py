"""One student: what is stored as far as it may be shown today, what is known changed, and everything erased."""

import hashlib
from datetime import date
from typing import Any

from attrs import frozen

from putt_posture.archive import (
    Archive,
    EnrolledStudent,
    Erased,
    FiledLesson,
    Overdue,
    OverviewLine,
    Permission,
    Settings,
    change_student,
    compare_last_with_tests,
    erase_overdue,
    erase_student,
    find_overdue,
    is_minor,
    load_lessons,
    load_overview_line,
    load_permission,
    load_practice,
    load_student,
    read_settings,
)
from putt_posture.archive.db.texts import name_words
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.values import PracticeTest

__all__ = [
    "StudentSummary",
    "check_reason",
    "describe",
    "digest_overdue",
    "erase",
    "erase_past_time",
    "load_summary",
    "may_show_numbers",
]


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
    tests_say : tuple of str
        Where they agree or disagree with the findings of the last lesson.
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
    tests_say: tuple[str, ...]
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
        tests_say=compare_last_with_tests(archive, number, today=today) if practice else (),
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


def describe(archive: Archive, number: int, *, today: date, **changes: Any) -> EnrolledStudent:
    """Change what is known about a student; a day of birth that is given decides the age from then on.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    today : date
    **changes : Any
        As for `change_student`; None forgets.

    Raises
    ------
    NotInArchive
    UsageError
        If nothing is given, a day is past, both a day of birth and being an adult are given, or the student is
        called an adult although the day of birth is known.
    """
    if not changes:
        raise UsageError("Nothing was given to change. Look at what is known with archive show.")
    born, adult, until = changes.get("born"), changes.get("adult"), changes.get("keep_until")
    if adult and born is not None:
        raise UsageError("A day of birth was given, and that the student is an adult. Give one: the day gives the age.")
    if until is not None and until < today:
        raise UsageError(f"The student is to be kept until {until}, which is past. Give a later day, or erase now.")
    known = load_student(archive, number).born
    if adult and known is not None and "born" not in changes:
        raise UsageError(
            f"The day of birth {known} is known and gives the age. Change it, or let it be forgotten (--forget born)."
        )
    if born is not None:
        changes["adult"] = False
    return change_student(archive, number, today=today, **changes)


def check_reason(archive: Archive, number: int, reason: str) -> None:
    """Refuse a reason for an erasure that is empty or names the student, as it is kept for good.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    reason : str

    Raises
    ------
    NotInArchive
    UsageError
    """
    name = load_student(archive, number).name
    if not reason.strip():
        raise UsageError("The reason is empty. Say in a few words why: the student asked, for example.")
    if telling := sorted(word for word in name_words(name) & name_words(reason) if len(word) > 2):
        raise UsageError(
            f"The reason is kept for good, and {telling[0]!r} in it is part of the name. Leave the name out."
        )


def erase(archive: Archive, number: int, *, typed_name: str | None, reason: str, today: date) -> Erased:
    """Erase a student for good.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    typed_name : str or None
        What was typed to confirm it; None where it need not be.
    reason : str
        Kept in the record of erasures.
    today : date

    Raises
    ------
    NotInArchive
    UsageError
        If the typed name is not the student's, or the reason will not do. Nothing is erased then.
    """
    check_reason(archive, number, reason)
    name = load_student(archive, number).name
    if typed_name is not None and " ".join(typed_name.split()) != name:
        raise UsageError(f"{typed_name!r} is not {name!r}. Nothing was erased.")
    return erase_student(archive, number, today=today, reason=reason)


def digest_overdue(overdue: Overdue) -> str:
    """Return the SHA-256 of what is past its time, by which it is known again when it is to be erased.

    Parameters
    ----------
    overdue : Overdue
        As `find_overdue` returned it.
    """
    return hashlib.sha256(repr(overdue).encode()).hexdigest()


def erase_past_time(archive: Archive, shown: str, *, today: date) -> Erased:
    """Erase what is past its time, if it is still what was shown.

    Parameters
    ----------
    archive : Archive
    shown : str
        The digest (`digest_overdue`) of what was confirmed.
    today : date

    Raises
    ------
    ArchiveError
        If the list changed in the meantime. Nothing is erased then.
    """
    overdue = find_overdue(archive, today=today)
    if digest_overdue(overdue) != shown:
        raise ArchiveError("The list changed in the meantime. Nothing was erased; look at it again.")
    return erase_overdue(archive, overdue, today=today)
