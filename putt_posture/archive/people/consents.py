"""Consents: who allowed what, from when until when, and who comes of age; `permissions` says what they permit.

There are four separate consents. No lesson is filed without the first two; pictures are kept only with the third, and
show a face only with the fourth. Local rules say what a consent must look like.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date, timedelta
from typing import Final, cast

from attrs import frozen
from dateutil.relativedelta import relativedelta
from sqlalchemy import literal_column, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import ConsentRow, StudentRow
from putt_posture.archive.db.texts import clean
from putt_posture.archive.people.permissions import SCOPES, Consent, ConsentSubject, Permission, Relation, Scope
from putt_posture.archive.people.students import row_of
from putt_posture.archive.settings import Settings, settings_of
from putt_posture.errors import UsageError

__all__ = [
    "ComingOfAge",
    "add_consent",
    "check_consent",
    "find_coming_of_age",
    "find_doubts",
    "load_consents",
    "load_permission",
    "permission_of",
    "permissions_by_page",
    "permissions_of",
    "withdraw_consent",
]

_PAGE: Final = 500


@frozen(kw_only=True)
class ComingOfAge:
    """A student who must be asked for their own consent.

    Attributes
    ----------
    number : int
        The student's.
    name : str
    on : date
        The first day on which they are an adult: from then on no lesson is filed on a guardian's consent.
    scopes : tuple of Scope
        What is allowed today only by a guardian's consent.
    """

    number: int
    name: str
    on: date
    scopes: tuple[Scope, ...]


def add_consent(
    archive: Archive,
    number: int,
    *,
    scopes: Collection[Scope],
    given_on: date,
    given_by: str,
    relation: Relation,
    today: date,
    note: str = "",
) -> tuple[Consent, ...]:
    """Record a consent.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    scopes : Collection[Scope]
        What the consent is for.
    given_on : date
        Day on which it was given.
    given_by : str
        Name of the person who gave it.
    relation : Relation
        Whether the student or a guardian gave it.
    today : date
        The day by which consent and ages are judged.
    note : str
        How it was given: a form, an e-mail.

    Raises
    ------
    NotInArchive
    NotAllowed
        If a minor gave it for themselves, a guardian gave it for an adult, or the student is their own guardian.
    UsageError
        If its day is in the future, or the name of the giver is missing.
    """
    giver, note = _check_said(scopes=scopes, given_on=given_on, given_by=given_by, today=today), clean(note)
    with archive.write() as session:
        person = _person(row_of(session, number), settings_of(session))
        person.check_giver(giver, relation=relation, given_on=given_on)
        session.add_all(
            ConsentRow(
                student_id=number, scope=scope, given_on=given_on, given_by=giver, relation=relation, note=clean(note)
            )
            for scope in SCOPES
            if scope in scopes
        )
        session.flush()
        return _of(session, number)


def check_consent(
    person: ConsentSubject,
    *,
    scopes: Collection[Scope],
    given_on: date,
    given_by: str,
    relation: Relation,
    today: date,
) -> None:
    """Check, before a student is enrolled, that a consent can be recorded with them.

    Parameters
    ----------
    person : ConsentSubject
        What will be known of the student.
    scopes, given_on, given_by, relation, today
        As for `add_consent`.

    Raises
    ------
    NotAllowed, UsageError
        As `add_consent` does.
    """
    giver = _check_said(scopes=scopes, given_on=given_on, given_by=given_by, today=today)
    person.check_giver(giver, relation=relation, given_on=given_on)


def withdraw_consent(archive: Archive, number: int, *, scopes: Collection[Scope], on: date) -> tuple[Consent, ...]:
    """Record that consent was withdrawn; `retention` erases what was kept under it.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    scopes : Collection[Scope]
        What the consent is for.
    on : date
        Day on which it was withdrawn.

    Raises
    ------
    NotInArchive
    UsageError
        If there is no valid one on that day.
    """
    with archive.write() as session:
        row_of(session, number)
        rows = session.scalars(
            select(ConsentRow).where(
                ConsentRow.student_id == number, ConsentRow.scope.in_(scopes), ConsentRow.withdrawn_on.is_(None)
            )
        ).all()
        if not rows:
            raise UsageError(f"There is no consent for {' or '.join(scopes)} to withdraw. Look with archive show.")
        for row in rows:
            row.withdrawn_on = max(on, row.given_on)
        session.flush()
        return _of(session, number)


def load_consents(archive: Archive, number: int) -> tuple[Consent, ...]:
    """Load all consents of a student, by date.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    """
    with archive.read() as session:
        row_of(session, number)
        return _of(session, number)


def load_permission(archive: Archive, number: int) -> Permission:
    """Load all consents of a student and the data that says whether they are valid. Raises NotInArchive.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    """
    with archive.read() as session:
        return permission_of(session, number)


def permission_of(session: Session, number: int) -> Permission:
    """Return what is allowed of a student, in an open transaction. Raises NotInArchive.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the student.
    """
    person = _person(row_of(session, number), settings_of(session))
    return Permission(person=person, consents=_of(session, number))


def permissions_of(session: Session, numbers: Iterable[int] | None = None) -> dict[int, Permission]:
    """Return what is allowed of several or all students, by number, in an open transaction.

    Parameters
    ----------
    session : Session
        Open transaction.
    numbers : Iterable[int] | None
        Numbers of the students; None for all.
    """
    return {number: each for page in permissions_by_page(session, numbers) for number, each in page.items()}


def permissions_by_page(session: Session, numbers: Iterable[int] | None = None) -> Iterator[dict[int, Permission]]:
    """Go through what is allowed of several or all students, some hundred students at a time, by number.

    Whoever needs a little of each student so needs no memory for all that is allowed of all of them.

    Parameters
    ----------
    session : Session
        Open transaction.
    numbers : Iterable[int] | None
        Numbers of the students; None for all.
    """
    settings = settings_of(session)
    wanted = sorted(set(session.scalars(select(StudentRow.id)) if numbers is None else numbers))
    for at in range(0, len(wanted), _PAGE):
        some = wanted[at : at + _PAGE]
        consents: defaultdict[int, list[Consent]] = defaultdict(list)
        rows = session.scalars(select(ConsentRow).where(ConsentRow.student_id.in_(some)))
        for row in sorted(rows, key=lambda row: (row.given_on, row.id)):
            consents[row.student_id].append(_consent(row))
        students = session.scalars(select(StudentRow).where(StudentRow.id.in_(some)))
        yield {
            student.id: Permission(person=_person(student, settings), consents=tuple(consents[student.id]))
            for student in students
        }


def find_doubts(archive: Archive, *, today: date) -> Iterator[tuple[int, str, str]]:
    """Find all consents that were not withdrawn but are not valid: student's number, name, and why.

    Parameters
    ----------
    archive : Archive
    today : date
        The day by which consent and ages are judged.
    """
    with archive.read() as session:
        found = permissions_of(session)
    for number, permission in sorted(found.items()):
        for says in permission.doubts(today):
            yield number, permission.person.name, says


def find_coming_of_age(
    archive: Archive, *, today: date, within_days: int = 0, most: int | None = None
) -> tuple[ComingOfAge, ...]:
    """Find students who came of age, or will before their next visit, and are kept on a guardian's consent.

    Parameters
    ----------
    archive : Archive
    today : date
        The day by which consent and ages are judged.
    within_days : int
        Students who come of age within so many days are found too, if that is later than the next visit.
    most : int, optional
        The most students that are returned, those who came of age first; the others are not read.

    Returns
    -------
    tuple of ComingOfAge
        Sorted by the day of coming of age.
    """
    found: list[ComingOfAge] = []
    with archive.read() as session:
        settings = settings_of(session)
        last = today + max(timedelta(days=within_days), timedelta(weeks=settings.revisit_weeks))
        by_guardian = ConsentRow.relation == literal_column("'guardian'")  # spelt as in the index, no parameter
        guarded = select(ConsentRow.student_id).where(by_guardian)
        born_by = last - relativedelta(years=min(settings.grown_at_years, last.year - 1))
        chosen = select(StudentRow.id).where(StudentRow.born <= born_by, StudentRow.id.in_(guarded))
        numbers = session.scalars(chosen.order_by(StudentRow.born, StudentRow.id)).all()
        page = _PAGE if most is None else max(1, min(_PAGE, 2 * most))
        for at in range(0, len(numbers), page):
            some = numbers[at : at + page]
            known = permissions_of(session, some)
            for number in some:  # those born first come of age first
                person = known[number].person
                on, scopes = person.grown_up_on, known[number].rests_on_guardian(today)
                if on is not None and on <= last and scopes:
                    found.append(ComingOfAge(number=number, name=person.name, on=on, scopes=scopes))
            if most is not None and len(found) >= most:
                break
    return tuple(sorted(found, key=lambda each: (each.on, each.number)))[:most]


def _check_said(*, scopes: Collection[Scope], given_on: date, given_by: str, today: date) -> str:
    """Check what was said of a consent, whoever it is for, and return the name of its giver as it is stored."""
    giver = " ".join(clean(given_by).split())
    if not giver:
        raise UsageError("It is not said who gave the consent. Give their name.")
    if not scopes:
        raise UsageError(f"It is not said what the consent is for. Known are {', '.join(SCOPES)}.")
    if given_on > today:
        raise UsageError(f"The consent is of {given_on}, a day to come. Give the day on which it was given.")
    return giver


def _person(row: StudentRow, settings: Settings) -> ConsentSubject:
    return ConsentSubject(name=row.name, born=row.born, adult=row.adult, grown_at=settings.grown_at_years)


def _of(session: Session, number: int) -> tuple[Consent, ...]:
    rows: Sequence[ConsentRow] = session.scalars(
        select(ConsentRow).where(ConsentRow.student_id == number).order_by(ConsentRow.given_on, ConsentRow.id)
    ).all()
    return tuple(map(_consent, rows))


def _consent(row: ConsentRow) -> Consent:
    return Consent(
        scope=cast(Scope, row.scope),
        given_on=row.given_on,
        given_by=row.given_by,
        relation=cast(Relation, row.relation),
        withdrawn_on=row.withdrawn_on,
        note=row.note,
    )
