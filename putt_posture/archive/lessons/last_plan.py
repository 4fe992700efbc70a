"""The plan of a student's last lesson but one, taken up with what the last lesson measured."""

from datetime import date

from putt_posture.archive.archive import Archive
from putt_posture.archive.lessons.lessons import open_lesson
from putt_posture.archive.lessons.measured_again import counting_lessons
from putt_posture.changes import find_changes
from putt_posture.findings import take_up_plan
from putt_posture.values import TakenUp

__all__ = ["take_up_last_plan"]


def take_up_last_plan(archive: Archive, student: int, *, today: date) -> TakenUp | None:
    """Say what became of the plan that the student took home from the lesson before the last.

    Parameters
    ----------
    archive : Archive
    student : int
        Number of the student.
    today : date
        For consent.

    Returns
    -------
    TakenUp or None
        None where there are fewer than two lessons, or the earlier one had no finding to work on.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures does not count today.
    """
    with archive.read() as session:
        numbers = [row.id for row in counting_lessons(session, student)][-2:]
    if len(numbers) < 2:
        return None
    before, after = (open_lesson(archive, number, today=today, pictures=False).record for number in numbers)
    return take_up_plan(before, after, find_changes(before.measured, after.measured))
