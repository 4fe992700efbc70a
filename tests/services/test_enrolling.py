"""A student is enrolled with their consent, or not at all."""

from datetime import date

import pytest

from putt_posture.archive import change_settings, find_students, load_permission
from putt_posture.errors import NotAllowed, UsageError
from putt_posture.services import GivenConsent, enrol
from putt_posture.values import Student

TODAY = date(2026, 11, 27)
ANN = Student(name="Ann", stature_cm=170, handed="right")
BORN = date(2010, 1, 1)


def given_by(who="Ann", **more):
    return GivenConsent(**{"scopes": ("filming",), "given_on": TODAY, "given_by": who, "relation": "self", **more})


def test_student_and_consent_are_stored_together(archive) -> None:
    number = enrol(archive, ANN, today=TODAY, adult=True, consent=given_by())
    assert load_permission(archive, number).allowed(TODAY, use="filing") == {"filming"}


@pytest.mark.parametrize(
    "consent",
    [
        given_by(relation="guardian"),
        given_by(who=" "),
        given_by(scopes=()),
        given_by(given_on=date(2027, 1, 1)),
    ],
)
def test_a_consent_that_cannot_be_leaves_no_student_behind(archive, consent) -> None:
    with pytest.raises((NotAllowed, UsageError)):
        enrol(archive, ANN, today=TODAY, adult=True, consent=consent)
    assert find_students(archive, "Ann") == ()


def test_the_age_from_which_students_consent_is_the_archives(archive) -> None:
    with pytest.raises(NotAllowed, match="16 years old"):
        enrol(archive, ANN, today=TODAY, born=BORN, consent=given_by())
    change_settings(archive, grown_at_years=16)
    assert enrol(archive, ANN, today=TODAY, born=BORN, consent=given_by())


def test_without_a_consent_the_student_is_enrolled_and_nothing_is_allowed(archive) -> None:
    number = enrol(archive, ANN, today=TODAY, adult=True)
    assert not load_permission(archive, number).consents
