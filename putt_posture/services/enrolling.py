"""A student enrolled together with their consent: both, or neither."""

from datetime import date

from attrs import frozen

from putt_posture.archive import (
    Archive,
    Relation,
    Scope,
    Settings,
    add_consent,
    add_student,
    check_enrolment,
    read_settings,
)
from putt_posture.archive.people.consents import check_consent
from putt_posture.archive.people.permissions import ConsentSubject
from putt_posture.values import Student

__all__ = ["GivenConsent", "check_enrolment_with_consent", "enrol"]


@frozen(kw_only=True)
class GivenConsent:
    """A consent that was given, as for `add_consent`.

    Attributes
    ----------
    scopes : tuple of Scope
    given_on : date
    given_by : str
    relation : Relation
    note : str
    """

    scopes: tuple[Scope, ...]
    given_on: date
    given_by: str
    relation: Relation
    note: str = ""


def check_enrolment_with_consent(
    student: Student,
    *,
    today: date,
    born: date | None,
    adult: bool,
    consent: GivenConsent | None,
    settings: Settings,
) -> str:
    """Check that a student can be enrolled, and their consent recorded, and return the name as it is stored.

    Parameters
    ----------
    student : Student
    today : date
    born : date or None
    adult : bool
    consent : GivenConsent or None
        None where nobody was asked yet.
    settings : Settings
        Of the archive; the defaults where it is not made yet.

    Raises
    ------
    UsageError
        As `check_enrolment` does.
    NotAllowed
        If who gave the consent may not give it.
    """
    name = check_enrolment(student, born=born, adult=adult, today=today)
    if consent is not None:
        check_consent(
            ConsentSubject(name=name, born=born, adult=adult, grown_at=settings.grown_at_years),
            scopes=consent.scopes,
            given_on=consent.given_on,
            given_by=consent.given_by,
            relation=consent.relation,
            today=today,
        )
    return name


def enrol(
    archive: Archive,
    student: Student,
    *,
    today: date,
    born: date | None = None,
    adult: bool = False,
    notes: str = "",
    consent: GivenConsent | None = None,
) -> int:
    """Enrol a student with their consent, and return their number; nothing is stored where either cannot be.

    Parameters
    ----------
    archive : Archive
    student : Student
    today : date
    born : date, optional
    adult : bool
    notes : str
    consent : GivenConsent, optional
        Without it nothing can be filed before consent is recorded.

    Raises
    ------
    UsageError, NotAllowed
        As `check_enrolment_with_consent` does.
    """
    settings = read_settings(archive)
    check_enrolment_with_consent(student, today=today, born=born, adult=adult, consent=consent, settings=settings)
    number = add_student(archive, student, today=today, born=born, adult=adult, notes=notes)
    if consent is not None:
        add_consent(
            archive,
            number,
            scopes=consent.scopes,
            given_on=consent.given_on,
            given_by=consent.given_by,
            relation=consent.relation,
            today=today,
            note=consent.note,
        )
    return number
