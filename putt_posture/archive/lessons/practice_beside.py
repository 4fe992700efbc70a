"""What a student's practice tests say beside the findings of a lesson."""

from datetime import date, timedelta
from typing import Final

from putt_posture.archive.archive import Archive
from putt_posture.archive.lessons.lessons import open_lesson
from putt_posture.archive.lessons.measured_again import counting_lessons
from putt_posture.archive.lessons.practice import practice_of
from putt_posture.findings import compare_with_practice
from putt_posture.practice import find_ranges

__all__ = ["TESTS_COUNT_FOR", "compare_last_with_tests"]

TESTS_COUNT_FOR: Final = timedelta(weeks=8)
"""How long before a lesson a test may be to count for its setup (judged). Later tests are putted after the lesson."""


def compare_last_with_tests(archive: Archive, student: int, *, today: date) -> tuple[str, ...]:
    """Say where practice tests agree or disagree with the findings of the student's last lesson.

    Parameters
    ----------
    archive : Archive
    student : int
        Number of the student.
    today : date
        For consent.

    Returns
    -------
    tuple of str
        Sentences; empty where there is no lesson with findings, or no test of its day or the weeks before.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures does not count today.
    """
    with archive.read() as session:
        last = next(((row.id, row.day) for row in reversed(counting_lessons(session, student))), None)
        tests = () if last is None else practice_of(session, student)
    if last is None:
        return ()
    lesson, day = last
    counting = [test for test in tests if day - TESTS_COUNT_FOR <= test.day <= day]
    practised = find_ranges(*counting)
    if practised is None:
        return ()
    record = open_lesson(archive, lesson, today=today, pictures=False).record
    if record.findings is None:
        return ()
    return compare_with_practice(record.findings.found, practised, interview=record.interview)
