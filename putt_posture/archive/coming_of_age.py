"""Who comes of age, so that a guardian consents for them no longer and they are to be asked themselves."""

from datetime import date, timedelta

from attrs import frozen
from dateutil.relativedelta import relativedelta
from sqlalchemy import select

from putt_posture.archive.archive import Archive
from putt_posture.archive.consents import permissions_of
from putt_posture.archive.permissions import Scope
from putt_posture.archive.settings import settings_of
from putt_posture.archive.tables import ConsentRow, StudentRow

__all__ = ["ComingOfAge", "find_coming_of_age"]


@frozen(kw_only=True)
class ComingOfAge:
    """A student who is to be asked for their own consent.

    Attributes
    ----------
    number : int
        The student's.
    name : str
    on : date
        The first day on which they are grown up: nothing new is filed on a guardian's consent from then on.
    scopes : tuple of Scope
        What is allowed today by a guardian's consent alone.
    """

    number: int
    name: str
    on: date
    scopes: tuple[Scope, ...]


def find_coming_of_age(archive: Archive, *, today: date, within_days: int = 0) -> tuple[ComingOfAge, ...]:
    """Find who has come of age, or does before their next visit would be due, and is still kept on a guardian's word.

    Parameters
    ----------
    archive : Archive
    today : date
    within_days : int
        Who comes of age within so many days is found too, where that is later than the next visit.

    Returns
    -------
    tuple of ComingOfAge
        The first to come of age first.
    """
    with archive.read() as session:
        settings = settings_of(session)
        last = today + max(timedelta(days=within_days), timedelta(weeks=settings.revisit_weeks))
        guarded = select(ConsentRow.student_id).where(ConsentRow.relation == "guardian")
        born_by = last - relativedelta(years=min(settings.grown_at_years, last.year - 1))
        chosen = select(StudentRow.id).where(StudentRow.born <= born_by, StudentRow.id.in_(guarded))
        known = permissions_of(session, session.scalars(chosen))
    found = []
    for number, permission in known.items():
        on, scopes = permission.person.grown_up_on, permission.rests_on_guardian(today)
        if on is not None and on <= last and scopes:
            found.append(ComingOfAge(number=number, name=permission.person.name, on=on, scopes=scopes))
    return tuple(sorted(found, key=lambda each: (each.on, each.number)))
