"""Consent: who allowed what, from when until when.

Four things are asked for, each by itself. Nothing is filed without the first two; pictures are kept only with the
third, and show a face only with the fourth. What a consent must look like where you are, the local rules say.
"""

from collections.abc import Collection, Sequence
from datetime import date
from typing import Final, Literal, cast, get_args

from attrs import frozen
from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.ages import age_on, is_minor
from putt_posture.archive.archive import Archive
from putt_posture.archive.settings import settings_of
from putt_posture.archive.students import row_of
from putt_posture.archive.tables import ConsentRow
from putt_posture.archive.texts import clean
from putt_posture.errors import NotAllowed, UsageError

__all__ = [
    "SCOPES",
    "SCOPE_TITLES",
    "Consent",
    "Relation",
    "Scope",
    "add_consent",
    "allowed_on",
    "load_consents",
    "withdraw_consent",
]

Scope = Literal["filming", "measures", "pictures", "faces"]
SCOPES: Final[tuple[Scope, ...]] = get_args(Scope)
SCOPE_TITLES: Final[dict[Scope, str]] = {
    "filming": "being filmed",
    "measures": "keeping the measures",
    "pictures": "keeping clips, stills and outlines",
    "faces": "showing the face in them",
}
Relation = Literal["self", "guardian"]


@frozen(kw_only=True)
class Consent:
    """One consent.

    Attributes
    ----------
    scope : Scope
    given_on : date
    given_by : str
        The name of who gave it.
    relation : Relation
        Whether the student or a parent or guardian gave it.
    withdrawn_on : date or None
        From this day on it counts no more.
    note : str
        How it was given: a form, an e-mail.
    """

    scope: Scope
    given_on: date
    given_by: str
    relation: Relation
    withdrawn_on: date | None = None
    note: str = ""

    def counts_on(self, day: date) -> bool:
        """Tell whether it counts on a day."""
        return self.given_on <= day and (self.withdrawn_on is None or day < self.withdrawn_on)


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
    """Write down that consent was given.

    Raises
    ------
    NotInArchive
    NotAllowed
        If a minor gave it for themselves.
    UsageError
        If it is of a later day, or of nobody.
    """
    giver, note = " ".join(clean(given_by).split()), clean(note)
    if not giver:
        raise UsageError("It is not said who gave the consent. Give their name.")
    if not scopes:
        raise UsageError(f"It is not said what the consent is for. Known are {', '.join(SCOPES)}.")
    if given_on > today:
        raise UsageError(f"The consent is of {given_on}, a day to come. Give the day on which it was given.")
    with archive.write() as session:
        student = row_of(session, number)
        grown_at = settings_of(session).grown_at_years
        if relation == "self" and is_minor(given_on, born=student.born, adult=student.adult, grown_at=grown_at):
            age = f"{age_on(given_on, born=student.born)} years old" if student.born else "a minor"
            raise NotAllowed(
                f"{student.name} was {age} on {given_on}, so a parent or guardian must consent. "
                "Give their name and say guardian."
            )
        session.add_all(
            ConsentRow(
                student_id=number, scope=scope, given_on=given_on, given_by=giver, relation=relation, note=clean(note)
            )
            for scope in SCOPES
            if scope in scopes
        )
        session.flush()
        return _of(session, number)


def withdraw_consent(archive: Archive, number: int, *, scopes: Collection[Scope], on: date) -> tuple[Consent, ...]:
    """Write down that consent was withdrawn; what was kept under it is for `retention` to erase.

    Raises
    ------
    NotInArchive
    UsageError
        If there is none that counts on that day.
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
    """Load all consents of a student, in the order of time."""
    with archive.read() as session:
        row_of(session, number)
        return _of(session, number)


def allowed_on(session: Session, number: int, *, day: date) -> frozenset[Scope]:
    """Return what is allowed of a student on a day, in a transaction that is open."""
    return frozenset(each.scope for each in _of(session, number) if each.counts_on(day))


def _of(session: Session, number: int) -> tuple[Consent, ...]:
    rows: Sequence[ConsentRow] = session.scalars(
        select(ConsentRow).where(ConsentRow.student_id == number).order_by(ConsentRow.given_on, ConsentRow.id)
    ).all()
    return tuple(
        Consent(
            scope=cast(Scope, row.scope),
            given_on=row.given_on,
            given_by=row.given_by,
            relation=cast(Relation, row.relation),
            withdrawn_on=row.withdrawn_on,
            note=row.note,
        )
        for row in rows
    )
