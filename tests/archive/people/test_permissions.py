"""Who may allow what, judged by what is known now: at filing, and on every day on which something is shown."""

from datetime import date, timedelta

import pytest
from filed import TODAY, file_one, make_lesson_of
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.archive import (
    SCOPES,
    add_consent,
    add_practice_test,
    add_student,
    change_settings,
    change_student,
    check_archive,
    check_filing,
    erase_overdue,
    find_coming_of_age,
    find_doubts,
    find_overdue,
    load_history,
    load_lesson,
    load_permission,
    open_lesson,
    withdraw_consent,
)
from putt_posture.archive.files.pending import PendingFiles
from putt_posture.archive.people.permissions import Consent, ConsentSubject, Permission, age_on, grown_up_on
from putt_posture.errors import NotAllowed
from putt_posture.values import PuttCount, Student

ONE_DATABASE = "rules on what was read; the queries are tried elsewhere in both"
NAME = "Parker Puttwell"
GUARDIAN = "Robin Puttwell"
GIVEN = date(2026, 1, 1)
CHILD = date(2014, 3, 1)
DAYS = st.dates(min_value=date(1930, 1, 1), max_value=date(2060, 12, 31))


def enrol(archive, **about):
    student = Student(name=NAME, stature_cm=178.0, handed="right")
    return add_student(archive, student, today=TODAY, **({"adult": True} | about))


def consent(archive, number, *scopes, **about):
    told = {"given_on": GIVEN, "given_by": NAME, "relation": "self", "today": TODAY} | about
    return add_consent(archive, number, scopes=scopes or SCOPES, **told)


def by_guardian(archive, number, *scopes, **about):
    return consent(archive, number, *scopes, given_by=GUARDIAN, relation="guardian", **about)


# Who may


def test_the_word_of_a_child_does_not_count_once_the_day_of_birth_is_put_right(archive, stored):
    number = enrol(archive)
    consent(archive, number)
    file_one(archive, number, make_lesson_of(stored, tag="one"))
    change_student(archive, number, today=TODAY, born=CHILD, adult=False)
    with pytest.raises(NotAllowed, match=r"Parker Puttwell was 11 years old on 2026-01-01, so a parent or guardian"):
        file_one(archive, number, make_lesson_of(stored, tag="two"))
    with pytest.raises(NotAllowed, match="so no number of theirs is shown"):
        load_history(archive, number, today=TODAY)
    (says,) = load_permission(archive, number).doubts(TODAY)
    assert says.startswith("The consent of Parker Puttwell of 2026-01-01 for being filmed, keeping the measures, ")
    assert "does not count: Parker Puttwell was 11 years old on 2026-01-01" in says
    counts = [PuttCount(distance_cm=91.44, tried=20, holed=19)]
    with pytest.raises(NotAllowed):
        add_practice_test(archive, number, day=TODAY, counts=counts, today=TODAY)
    by_guardian(archive, number)
    file_one(archive, number, make_lesson_of(stored, tag="two"))
    assert len(load_history(archive, number, today=TODAY).visits) == 2


def test_a_guardians_word_for_a_grown_up_does_not_count_once_the_day_of_birth_is_put_right(archive, stored):
    number = enrol(archive, born=CHILD, adult=False)
    by_guardian(archive, number)
    file_one(archive, number, make_lesson_of(stored, tag="one"))
    change_student(archive, number, today=TODAY, born=date(1994, 3, 1))
    with pytest.raises(NotAllowed, match="so no guardian consents"):
        file_one(archive, number, make_lesson_of(stored, tag="two"))
    assert load_permission(archive, number).showing(TODAY) == "nothing"


@pytest.mark.parametrize(
    "giver",
    [NAME, "parker  PUTTWELL", "Puttwell, Parker", "Pa\u200brker Puttwell", "\uff30arker Puttwell", "Párker Puttwell"],
)
def test_a_guardian_is_not_the_student(archive, giver):
    number = enrol(archive, born=CHILD, adult=False)
    with pytest.raises(NotAllowed, match=r"is the student's own name.*add a word that distinguishes them"):
        consent(archive, number, given_by=giver, relation="guardian")
    assert consent(archive, number, given_by=f"{NAME} senior", relation="guardian")


def test_a_student_renamed_to_their_guardian_has_no_guardian(archive):
    number = enrol(archive, born=CHILD, adult=False)
    by_guardian(archive, number)
    change_student(archive, number, today=TODAY, name=GUARDIAN)
    assert load_permission(archive, number).showing(TODAY) == "nothing"


def test_who_is_grown_up_consents_and_no_guardian(archive):
    for about in ({"adult": True}, {"adult": False, "born": date(1990, 1, 1)}):
        number = enrol(archive, **about)
        with pytest.raises(NotAllowed, match="leave guardian out"):
            by_guardian(archive, number)


def test_nobody_consents_before_a_birth(archive):
    number = enrol(archive, born=CHILD, adult=False)
    with pytest.raises(NotAllowed, match="was born on 2014-03-01, after 2014-02-28"):
        by_guardian(archive, number, given_on=date(2014, 2, 28))


def test_the_age_that_was_set_is_the_one_that_counts(archive):
    number = enrol(archive, born=date(2009, 1, 1), adult=False)
    change_settings(archive, grown_at_years=16)
    consent(archive, number)
    assert load_permission(archive, number).showing(TODAY) == "pictures"
    assert list(find_doubts(archive, today=TODAY)) == []
    change_settings(archive, grown_at_years=18)
    assert load_permission(archive, number).showing(TODAY) == "nothing"
    ((found, name, says),) = find_doubts(archive, today=TODAY)
    assert (found, name) == (number, NAME)
    assert "was 17 years old on 2026-01-01" in says


# Coming of age


def test_a_guardians_consent_ends_for_filing_when_the_student_is_grown_up(archive, stored):
    born = date(2008, 5, 18)
    number = enrol(archive, born=born, adult=False)
    by_guardian(archive, number)
    last, first = date(2026, 5, 17), date(2026, 5, 18)
    lesson = file_one(archive, number, make_lesson_of(stored, tag="one"), day=last, today=last)
    for day in (last, first):
        with pytest.raises(NotAllowed, match="is grown up since 2026-05-18 and consents for themselves"):
            file_one(archive, number, make_lesson_of(stored, tag="two"), day=day, today=first)
    assert "report.html" in open_lesson(archive, lesson, today=first).names, "what was filed may stay for its time"
    assert not find_overdue(archive, today=TODAY)
    consent(archive, number, "filming", "measures", given_on=first)
    file_one(archive, number, make_lesson_of(stored, tag="two"), day=first, today=TODAY, pictures=False)
    assert load_permission(archive, number).rests_on_guardian(TODAY) == ("pictures", "faces")
    withdraw_consent(archive, number, scopes=["pictures"], on=TODAY)
    assert load_permission(archive, number).showing(TODAY) == "measures", "the student takes the guardian's word back"


@pytest.mark.parametrize(
    ("today", "within", "found"),
    [
        (date(2026, 3, 22), 0, False),
        (date(2026, 3, 23), 0, True),
        (date(2026, 3, 22), 57, True),
        (date(2026, 5, 18), 0, True),
        (TODAY, 0, True),
    ],
)
def test_who_comes_of_age_before_the_next_visit_is_to_be_asked(archive, today, within, found):
    """Eight weeks before the 18th of May is the 23rd of March."""
    number = enrol(archive, born=date(2008, 5, 18), adult=False)
    by_guardian(archive, number)
    enrol(archive)
    lines = find_coming_of_age(archive, today=today, within_days=within)
    assert [(each.number, each.on) for each in lines] == ([(number, date(2026, 5, 18))] if found else [])


def test_who_gave_their_own_consent_is_not_asked_again(archive):
    number = enrol(archive, born=date(2008, 5, 18), adult=False)
    by_guardian(archive, number)
    consent(archive, number, "filming", "measures", given_on=date(2026, 6, 1))
    (line,) = find_coming_of_age(archive, today=TODAY)
    assert line.scopes == ("pictures", "faces")
    consent(archive, number, "pictures", "faces", given_on=date(2026, 6, 1))
    assert find_coming_of_age(archive, today=TODAY) == ()


# Retention


@pytest.mark.parametrize("born", [None, date(1990, 1, 1)])
def test_what_was_never_consented_to_is_overdue(archive, stored, born):
    """As an archive may hold it that an older program made: the consent's row is not there."""
    number = enrol(archive, born=born, adult=born is None)
    consent(archive, number)
    lesson = file_one(archive, number, make_lesson_of(stored, tag="one"))
    for scope, found in (("faces", "pictures"), ("pictures", "pictures"), ("measures", "students")):
        with archive.engine.begin() as connection:
            connection.exec_driver_sql(f"DELETE FROM consents WHERE scope = '{scope}'")
        overdue = find_overdue(archive, today=TODAY)
        assert ([each.lesson for each in overdue.pictures], [each.number for each in overdue.students]) == (
            ([lesson], []) if found == "pictures" else ([], [number])
        )
        (each,) = overdue.pictures or overdue.students
        assert each.why.startswith("there is no consent for ")


def test_what_a_child_consented_to_is_overdue_and_erased(archive, stored):
    number = enrol(archive)
    consent(archive, number)
    file_one(archive, number, make_lesson_of(stored, tag="one"))
    change_student(archive, number, today=TODAY, born=CHILD, adult=False)
    by_guardian(archive, number, "filming", "measures")
    overdue = find_overdue(archive, today=TODAY)
    assert overdue.students == ()
    (pictures,) = overdue.pictures
    assert pictures.why.startswith("the consent for keeping pictures does not count: Parker Puttwell was 11 years old")
    erase_overdue(archive, overdue, today=TODAY)
    assert load_lesson(archive, pictures.lesson).names == ("measures.csv", "measures.json")
    assert not find_overdue(archive, today=TODAY)
    assert check_archive(archive) == ()


def test_who_is_enrolled_and_was_not_asked_yet_is_not_overdue(archive):
    enrol(archive)
    assert not find_overdue(archive, today=TODAY)


def test_a_face_that_may_not_be_shown_any_more_is_not_filed(archive, stored, monkeypatch):
    """Between the first look and the transaction somebody else writes the withdrawal down."""
    number = enrol(archive)
    consent(archive, number)

    def add(self, contents, _add=PendingFiles.add):
        withdraw_consent(archive, number, scopes=["faces"], on=date(2026, 6, 1))
        return _add(self, contents)

    monkeypatch.setattr(PendingFiles, "add", add)
    with pytest.raises(NotAllowed, match="changed meanwhile"):
        file_one(archive, number, make_lesson_of(stored, tag="one"))
    assert list(archive.files.digests()) == []


def test_filing_is_checked_before_any_long_work(archive):
    number = enrol(archive)
    consent(archive, number)
    change_student(archive, number, today=TODAY, born=CHILD, adult=False)
    with pytest.raises(NotAllowed, match="was 11 years old"):
        check_filing(archive, number, day=TODAY, today=TODAY)


# Rules


@given(born=DAYS, grown_at=st.integers(1, 30), days=st.integers(-3, 3))
def test_the_first_day_of_being_grown_up_is_the_first_with_that_age(born, grown_at, days):
    first = grown_up_on(born=born, grown_at=grown_at)
    day = first + timedelta(days=days)
    assert (age_on(day, born=born) >= grown_at) == (days >= 0)


@given(born=DAYS, given_on=DAYS, day=DAYS, relation=st.sampled_from(["self", "guardian"]))
def test_what_counts_for_filing_counts_for_keeping_and_never_from_who_may_not(born, given_on, day, relation):
    person = ConsentSubject(name=NAME, born=born, adult=False, grown_at=18)
    giver = NAME if relation == "self" else GUARDIAN
    one = Consent(scope="measures", given_on=given_on, given_by=giver, relation=relation)
    permission = Permission(person=person, consents=(one,))
    filing, keeping = (permission.counts(one, day=day, use=use) for use in ("filing", "keeping"))
    assert keeping or not filing
    if keeping:
        assert born <= given_on <= day
        assert (age_on(given_on, born=born) >= 18) == (relation == "self")
    if filing:
        assert (age_on(day, born=born) >= 18) == (relation == "self")


@pytest.mark.parametrize(
    ("scopes", "showing"),
    [
        ((), "nothing"),
        (("filming", "pictures", "faces"), "nothing"),
        (("measures",), "measures"),
        (("measures", "faces"), "measures"),
        (("measures", "pictures"), "hidden"),
        (("measures", "pictures", "faces"), "pictures"),
    ],
)
def test_what_may_be_shown_follows_from_what_is_allowed(scopes, showing):
    person = ConsentSubject(name=NAME, born=None, adult=True, grown_at=18)
    consents = tuple(Consent(scope=each, given_on=GIVEN, given_by=NAME, relation="self") for each in scopes)
    permission = Permission(person=person, consents=consents)
    assert permission.showing(TODAY) == showing
    assert bool(permission.say_withheld(TODAY, pictures=True)) == (showing != "pictures")
