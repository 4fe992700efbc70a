"""Students, their consents, and how long they are kept."""

from datetime import date

import pytest
from filed import TODAY, add_player, file_one, make_clips, make_lesson_of, report_of
from hypothesis import assume, given
from hypothesis import strategies as st
from places import copy_folder

from putt_posture.archive import (
    SCOPES,
    add_consent,
    add_student,
    change_settings,
    change_student,
    check_archive,
    erase_overdue,
    find_overdue,
    find_students,
    load_consents,
    load_lesson,
    load_student,
    open_lesson,
    read_settings,
    withdraw_consent,
)
from putt_posture.archive.db.texts import clean, name_words
from putt_posture.archive.people.permissions import age_on
from putt_posture.archive.settings import Settings
from putt_posture.errors import NotAllowed, NotInArchive, UsageError
from putt_posture.values import Student


def enrol(archive, name="Parker Puttwell", **about):
    student = Student(name=name, stature_cm=178.0, handed="right")
    return add_student(archive, student, today=TODAY, **({"adult": True} | about))


def consent(archive, number, *scopes, **about):
    told = {"given_on": date(2026, 1, 1), "given_by": "Parker Puttwell", "relation": "self", "today": TODAY} | about
    return add_consent(archive, number, scopes=scopes, **told)


# CheckFault


def test_students_are_found_by_the_beginnings_of_their_words_in_any_order(archive):
    parker, zoe = enrol(archive), enrol(archive, "Zoë van Putten")
    assert [each.number for each in find_students(archive, "putt")] == [parker, zoe]
    assert [each.number for each in find_students(archive, "PUTT zoe")] == [zoe]
    assert [each.number for each in find_students(archive, "ZOË")] == [zoe]
    assert find_students(archive, "utt") == ()


def test_nobody_is_found_by_nothing(archive):
    with pytest.raises(UsageError, match="holds no word to look for"):
        find_students(archive, " -- ")


@given(name=st.text(min_size=1, max_size=40))
def test_whoever_has_a_word_is_found_by_its_beginning(shared_archive, name):
    words = name_words(clean(name))
    assume(words)
    number = enrol(shared_archive, name)
    for word in words:
        assert number in {each.number for each in find_students(shared_archive, word[:3], most=10_000)}
    assert load_student(shared_archive, number).name == " ".join(clean(name).split())


@pytest.fixture(scope="module")
def shared_archive(made, tmp_path_factory):
    with copy_folder(made, tmp_path_factory.mktemp("once") / "archive").open() as archive:
        yield archive


def test_a_student_described_anew_is_found_by_the_new_name_only(archive):
    number = enrol(archive)
    change_student(archive, number, today=TODAY, name="Casey Cupp", stature_cm=165.0)
    assert find_students(archive, "parker") == ()
    assert find_students(archive, "casey")[0].number == number
    assert load_student(archive, number).student.stature_cm == 165.0


@pytest.mark.parametrize(
    ("name", "about", "says"),
    [
        ("  ", {}, "has no name"),
        ("x" * 201, {}, "at most 200"),
        ("Parker", {"adult": False}, "whether Parker is a minor"),
        ("Parker", {"born": date(2030, 1, 1)}, "cannot be"),
    ],
)
def test_a_student_who_cannot_be_is_refused(archive, name, about, says):
    with pytest.raises(UsageError, match=says):
        enrol(archive, name, **about)
    assert find_students(archive, "par x") == ()


def test_who_is_not_there_is_said(archive):
    with pytest.raises(NotInArchive, match="There is no student 9"):
        load_student(archive, 9)


# Consent


def test_a_minor_needs_a_guardian(archive):
    number = enrol(archive, born=date(2012, 3, 1), adult=False)
    with pytest.raises(NotAllowed, match=r"was 13 years old on 2026-01-01, so a parent or guardian must consent"):
        consent(archive, number, "filming")
    assert load_consents(archive, number) == ()
    (given,) = consent(archive, number, "filming", given_by="Robin Puttwell", relation="guardian")
    assert (given.given_by, given.relation) == ("Robin Puttwell", "guardian")


@pytest.mark.parametrize(("day", "allowed"), [(date(2026, 2, 28), False), (date(2026, 3, 1), True)])
def test_who_was_born_on_a_leap_day_is_grown_up_on_the_first_of_march(archive, day, allowed):
    number = enrol(archive, born=date(2008, 2, 29), adult=False)
    if allowed:
        assert consent(archive, number, "filming", given_on=day)
    else:
        with pytest.raises(NotAllowed):
            consent(archive, number, "filming", given_on=day)


def test_ages_are_whole_years():
    assert age_on(date(2026, 5, 16), born=date(2008, 5, 17)) == 17
    assert age_on(date(2026, 5, 17), born=date(2008, 5, 17)) == 18


@pytest.mark.parametrize(
    ("about", "says"),
    [({"given_on": date(2027, 1, 1)}, "a day to come"), ({"given_by": " "}, "not said who gave the consent")],
)
def test_a_consent_of_nobody_or_of_tomorrow_is_refused(archive, about, says):
    number = enrol(archive)
    with pytest.raises(UsageError, match=says):
        consent(archive, number, "filming", **about)
    assert load_consents(archive, number) == ()


@pytest.mark.parametrize("missing", ["filming", "measures"])
def test_nothing_is_filed_without_consent(archive, stored, missing):
    number = enrol(archive)
    consent(archive, number, *(each for each in SCOPES if each != missing))
    with pytest.raises(NotAllowed, match="so nothing was filed"):
        file_one(archive, number, make_lesson_of(stored, tag="one"))
    assert list(archive.files.digests()) == []
    assert check_archive(archive) == ()


def test_without_consent_for_pictures_the_measures_alone_are_kept(archive, stored, tmp_path):
    number = enrol(archive)
    consent(archive, number, "filming", "measures")
    clips = make_clips(tmp_path / "clips", "one")
    lesson = make_lesson_of(stored, tag="one", clips=clips)
    with pytest.raises(NotAllowed, match="File the lesson without pictures"):
        file_one(archive, number, lesson)
    filed = file_one(archive, number, lesson, pictures=False)
    assert load_lesson(archive, filed).names == ("measures.csv", "measures.json")


def test_without_consent_for_the_face_clips_are_refused(archive, stored, tmp_path):
    number = enrol(archive)
    consent(archive, number, "filming", "measures", "pictures")
    clips = make_clips(tmp_path / "clips", "one")
    with pytest.raises(NotAllowed, match="clips show it"):
        file_one(archive, number, make_lesson_of(stored, tag="one", clips=clips), clips=clips)


def test_a_consent_counts_from_its_day_until_it_is_withdrawn(archive, stored):
    number = enrol(archive)
    consent(archive, number, *SCOPES, given_on=date(2026, 2, 1))
    with pytest.raises(NotAllowed):
        file_one(archive, number, make_lesson_of(stored, tag="early"), day=date(2026, 1, 31))
    file_one(archive, number, make_lesson_of(stored, tag="in time"), day=date(2026, 2, 1), pictures=False)
    withdraw_consent(archive, number, scopes=("measures",), on=date(2026, 3, 1))
    with pytest.raises(NotAllowed):
        file_one(archive, number, make_lesson_of(stored, tag="late"), day=date(2026, 3, 1))


def test_a_consent_that_nobody_gave_cannot_be_withdrawn(archive):
    with pytest.raises(UsageError, match="no consent for filming to withdraw"):
        withdraw_consent(archive, enrol(archive), scopes=("filming",), on=TODAY)


# Retention


def overdue(archive, today):
    found = find_overdue(archive, today=today)
    return [each.number for each in found.students], [each.lesson for each in found.pictures]


def test_pictures_are_kept_to_the_last_day_of_their_time_and_not_longer(archive, player, stored):
    lesson = file_one(archive, player, make_lesson_of(stored, tag="one"), day=date(2024, 3, 31))
    change_settings(archive, keep_pictures_months=6, keep_students_months=600)
    assert overdue(archive, date(2024, 9, 30)) == ([], [])
    assert overdue(archive, date(2024, 10, 1)) == ([], [lesson])


def test_a_student_is_kept_to_the_last_day_of_their_time_after_the_last_lesson(archive, player, stored):
    file_one(archive, player, make_lesson_of(stored, tag="one"), day=date(2024, 3, 31), pictures=False)
    change_settings(archive, keep_students_months=6)
    assert overdue(archive, date(2024, 9, 30)) == ([], [])
    assert overdue(archive, date(2024, 10, 1)) == ([player], [])


def test_a_students_own_date_overrules(archive, player):
    change_student(archive, player, today=TODAY, keep_until=date(2026, 6, 1))
    assert overdue(archive, date(2026, 6, 1)) == ([], [])
    assert overdue(archive, date(2026, 6, 2)) == ([player], [])


@pytest.mark.parametrize(
    ("scope", "found"), [("measures", "students"), ("pictures", "pictures"), ("faces", "pictures")]
)
def test_what_consent_was_withdrawn_for_is_overdue(archive, player, lesson, scope, found):
    withdraw_consent(archive, player, scopes=(scope,), on=TODAY)
    gone = {"students": ([player], []), "pictures": ([], [lesson])}[found]
    assert overdue(archive, TODAY) == gone


def test_consent_given_again_keeps_what_was_to_go(archive, player, lesson):
    withdraw_consent(archive, player, scopes=("pictures",), on=date(2026, 6, 1))
    consent(archive, player, "pictures", given_on=date(2026, 7, 1))
    assert overdue(archive, TODAY) == ([], [])


def test_what_is_overdue_is_erased_and_nothing_else(archive, player, lesson, stored):
    other = add_player(archive, name="Casey Cupp")
    kept = file_one(archive, other, make_lesson_of(stored, tag="other"))
    withdraw_consent(archive, player, scopes=("pictures",), on=TODAY)
    erased = erase_overdue(archive, find_overdue(archive, today=TODAY), today=TODAY)
    assert (erased.students, erased.lessons) == (0, 1)
    assert load_lesson(archive, lesson).names == ("measures.csv", "measures.json")
    assert open_lesson(archive, kept, today=TODAY).read("report.html") == report_of("other")
    assert find_overdue(archive, today=TODAY).students == ()
    assert not find_overdue(archive, today=TODAY)
    assert check_archive(archive) == ()


# Settings


def test_settings_are_kept_and_checked(archive):
    assert read_settings(archive) == Settings()
    assert change_settings(archive, revisit_weeks=6).revisit_weeks == 6
    assert read_settings(archive).revisit_weeks == 6
    with pytest.raises(UsageError, match="a whole number from 1"):
        change_settings(archive, revisit_weeks=0)
    with pytest.raises(UsageError, match="no setting 'colour'"):
        change_settings(archive, colour=1)
    assert read_settings(archive).revisit_weeks == 6
