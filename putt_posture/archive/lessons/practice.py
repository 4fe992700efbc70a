"""Practice tests: putts tried and holed by distance."""

from collections.abc import Sequence
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import PracticeRow, PuttRow
from putt_posture.archive.db.texts import clean
from putt_posture.archive.people.consents import permission_of
from putt_posture.errors import NotInArchive, UsageError
from putt_posture.values import PracticeTest, PuttCount

__all__ = ["add_practice_test", "load_practice", "practice_of", "remove_practice_test"]

_FARTHEST_CM = 3000.0
_MOST_PUTTS = 100_000


def add_practice_test(
    archive: Archive, number: int, *, day: date, counts: Sequence[PuttCount], today: date, note: str = ""
) -> int:
    """Store a practice test and return its number; putts of the same length are added up.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    day : date
        Day of the test.
    counts : Sequence[PuttCount]
        Putts tried and holed from each length.
    today : date
        The day by which consent and ages are judged.
    note : str
        Free text about the test.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures is missing.
    UsageError
        If the counts or the day are impossible.
    """
    if day > today:
        raise UsageError(f"The practice test is of {day}, which is in the future. Give the day of the test.")
    if not counts:
        raise UsageError("No putts were given. Give at least one length with putts tried and holed.")
    putts: dict[float, tuple[int, int]] = {}
    for each in counts:
        _check(each)
        tried, holed = putts.get(each.distance_cm, (0, 0))
        putts[each.distance_cm] = tried + each.tried, holed + each.holed
    with archive.write() as session:
        permission_of(session, number).check_measures(day, today=today)
        test = PracticeRow(student_id=number, day=day, note=clean(note))
        session.add(test)
        session.flush()
        session.add_all(
            PuttRow(test_id=test.id, distance_cm=distance, tried=tried, holed=holed)
            for distance, (tried, holed) in sorted(putts.items())
        )
        return test.id


def remove_practice_test(archive: Archive, number: int, *, student: int | None = None) -> None:
    """Remove a practice test; if a student is given, it must be theirs. Raises NotInArchive.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the practice test.
    student : int or None
        Number of the student, or None for any.
    """
    with archive.write() as session:
        test = session.get(PracticeRow, number)
        if test is None or student not in (None, test.student_id):
            where = "the archive has" if student is None else f"student {student} has"
            raise NotInArchive(f"{where.capitalize()} no practice test {number}. Look with archive show.")
        session.delete(test)


def load_practice(archive: Archive, number: int, *, today: date) -> tuple[PracticeTest, ...]:
    """Load a student's practice tests by date.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    today : date
        The day by which consent and ages are judged.

    Raises
    ------
    NotInArchive
    NotAllowed
        If there are some, and no consent for keeping measures counts today.
    """
    with archive.read() as session:
        permission = permission_of(session, number)
        if found := practice_of(session, number):
            permission.check_showing(today)
        return found


def practice_of(session: Session, number: int) -> tuple[PracticeTest, ...]:
    """Return a student's practice tests by date, in an open transaction.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the student.
    """
    tests = session.scalars(
        select(PracticeRow).where(PracticeRow.student_id == number).order_by(PracticeRow.day, PracticeRow.id)
    ).all()
    putts: dict[int, list[PuttCount]] = {test.id: [] for test in tests}
    rows = select(PuttRow).where(PuttRow.test_id.in_(putts)).order_by(PuttRow.distance_cm)
    for row in session.scalars(rows):
        putts[row.test_id].append(PuttCount(distance_cm=row.distance_cm, tried=row.tried, holed=row.holed))
    return tuple(
        PracticeTest(day=test.day, counts=tuple(putts[test.id]), note=test.note, number=test.id) for test in tests
    )


def _check(count: PuttCount) -> None:
    if not 0 < count.distance_cm <= _FARTHEST_CM:
        raise UsageError(
            f"A putt of {count.distance_cm:g} cm is not possible; give lengths up to {_FARTHEST_CM / 100:g} m."
        )
    if not 0 <= count.holed <= count.tried <= _MOST_PUTTS or count.tried == 0:
        raise UsageError(f"{count.holed} putts holed of {count.tried} tried is not possible; check the counts.")
