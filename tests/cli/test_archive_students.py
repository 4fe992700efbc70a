"""The commands on students: ``archive enrol``, ``find``, ``show``, ``describe`` and ``consent``."""

import json
from datetime import date, timedelta

import pytest
from academy import MINOR, PLAYER

TOMORROW = (date.today() + timedelta(days=1)).isoformat()
ENROL = ("archive", "enrol", "Alex", "Example")
ABOUT = ("--height", "178cm", "--handed", "right")


def test_first_student_makes_the_archive_and_says_what_comes_next(archive, archive_place) -> None:
    said = archive("enrol", "Alex", "[bold]Example", *ABOUT, "--born", "1990-05-17", "--sex", "female")
    assert "Student 1: Alex [bold]Example\n178 cm (5 ft 10 in), female, putts right-handed\n" in said
    assert "putt-posture archive consent 1 --for all --given-by NAME\n" in said
    assert f"The archive is {archive_place}" in said
    assert (archive_place / "archive.sqlite").is_file()


def test_minor_needs_a_guardian(archive) -> None:
    said = archive("enrol", "Alex", *ABOUT, "--born", f"{date.today().year - 10}-01-01")
    assert "minor: a guardian consents" in said
    assert "--given-by NAME --guardian" in said


def test_grown_up_without_a_day_of_birth_is_enrolled(archive) -> None:
    assert "Enrolled as grown up" in archive("enrol", "Alex", *ABOUT, "--adult")


def test_namesake_is_pointed_out(academy, archive) -> None:
    assert "Student 2 has the same name" in archive("enrol", "charlie", "young", *ABOUT, "--adult")


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ((*ABOUT,), "It is not known whether the student is a minor."),
        ((*ABOUT, "--adult", "--born", "1990-01-01"), "Both --born and --adult were given."),
        ((*ABOUT, "--born", "17.5.1990"), "The day '17.5.1990' cannot be read. Write year-month-day"),
        ((*ABOUT, "--born", "1990-02-30"), "The day '1990-02-30' cannot be read."),
        ((*ABOUT, "--born", TOMORROW), "--born"),
        ((*ABOUT, "--born", "1790-01-01"), "The day of birth 1790-01-01 cannot be."),
        (("--height", "178", "--handed", "right", "--adult"), "has no unit"),
        (("--height", "17cm", "--handed", "right", "--adult"), "17"),
        (("--height", "178cm", "--adult"), "Missing option '--handed'"),
    ],
)
def test_student_who_cannot_be_is_one_sentence_and_makes_no_archive(more, says, refused, archive_place) -> None:
    assert says in refused(*ENROL, *more, code=2)
    assert not archive_place.exists()


@pytest.mark.parametrize("name", ["", "  ", "---", "x" * 201])
def test_name_that_is_none_is_refused(name, refused, archive_place) -> None:
    assert "name" in refused("archive", "enrol", *ABOUT, "--adult", "--", name, code=2)
    assert not archive_place.exists()


def test_students_are_found_by_the_beginnings_of_their_names(academy, archive) -> None:
    said = archive("find", "EXA", "rob")
    assert PLAYER in said
    assert MINOR not in said
    (line,) = [line.split() for line in said.splitlines() if "Robin" in line]
    assert (line[0], line[-3:]) == ("1", ["1990-05-17", "3", "2026-06-20"])
    assert "No student was found who has names that begin with 'zz [b]'." in archive("find", "zz", "[b]")


def test_search_says_that_there_are_more(academy, archive) -> None:
    archive("enrol", "Charlotte", *ABOUT, "--adult")
    assert "There are more than these 1." in archive("find", "char", "--most", 1)
    found = json.loads(archive("find", "char", "--most", 1, "--json"))
    assert (len(found["students"]), found["more"]) == (1, True)
    assert len(json.loads(archive("find", "char", "--json"))["students"]) == 2


def test_search_without_a_word_is_refused(academy, refused) -> None:
    assert "holds no word to look for" in refused("archive", "find", "!!", code=2)


def test_student_is_shown_with_consents_lessons_tests_and_what_is_due(academy, archive) -> None:
    said = archive("show", 1)
    assert f"Student 1: {PLAYER}\n" in said
    assert "showing the face in them" in said
    assert "Kim" in said
    assert "[bold]Coach" in said
    assert "2 clips, pictures" in said
    flat = " ".join(said.split())
    assert "not a medical finding. See a clinician about pain that stays." in flat
    assert "Test 1 ([i]slow): " in flat
    assert "Spine tilt went back by more than the noise since it was rebuilt." in flat
    assert max(map(len, said.splitlines())) <= 80


def test_student_is_shown_as_json(academy, archive) -> None:
    shown = json.loads(archive("show", 1, "--json"))
    assert shown["student"]["name"] == PLAYER
    assert [each["number"] for each in shown["lessons"]] == [1, 2, 3]
    assert [each["scope"] for each in shown["consents"]] == ["filming", "measures", "pictures", "faces"]
    assert shown["practice_tests"][0]["shares"][0]["holed"] == 19
    assert shown["due_on"] == "2026-08-15"  # eight weeks after 20 June
    assert shown["went_back"] == ["spine_tilt"]
    assert shown["minor"] is False
    assert json.loads(archive("show", 2, "--json"))["minor"] is True


@pytest.mark.parametrize("number", ["0", "-1", "x", "1.5", "99999999999"])
def test_number_that_is_none_is_refused(number, academy, refused) -> None:
    assert "'NUMBER'" in refused("archive", "show", "--", number, code=2)


@pytest.mark.parametrize(
    "words",
    [
        ("show", 9), ("describe", 9, "--notes", "x"), ("consent", 9, "--for", "all", "--given-by", "x"),
        ("practice", 9), ("history", 9, "--out", "never"), ("export", 9, "--out", "never.zip"),
        ("erase", 9, "--reason", "x", "--yes"),
    ],
)  # fmt: skip
def test_student_who_is_not_there_is_one_sentence(words, academy, refused, tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert "There is no student 9 in the archive." in refused("archive", *words, code=1)
    assert not list(tmp_path.glob("never*"))


def test_what_is_known_of_a_student_is_put_right(academy, archive) -> None:
    said = archive("describe", 2, "--name", "Charlie [i]Older", "--height", "1.62m", "--notes", "[b] tall")
    assert "Student 2: Charlie [i]Older\n162 cm" in said
    assert "[b] tall" in said
    assert "To be kept until 2090-01-01" in archive("describe", 2, "--keep-until", "2090-01-01")
    assert "To be kept" not in archive("describe", 2, "--forget", "keep-until")
    assert "Enrolled as grown up" in archive("describe", 2, "--forget", "born", "--adult")


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ((), "Nothing was given to change."),
        (("--adult",), "is known and gives the age"),
        (("--adult", "--born", "1990-01-01"), "Give one: the day gives the age."),
        (("--born", "1990-01-01", "--forget", "born"), "--born was given and is to be forgotten too."),
        (("--keep-until", "2020-01-01"), "until 2020-01-01, which is past."),
        (("--forget", "born"), "It is not known whether"),
        (("--height", "3m"), "300"),
        (("--name", " "), "has no name"),
    ],
)
def test_description_that_cannot_be_is_refused(more, says, academy, refused) -> None:
    assert says in refused("archive", "describe", 2, *more, code=2)


def test_hand_of_a_student_with_lessons_stays(academy, refused) -> None:
    assert "has lessons filed as right-handed" in refused("archive", "describe", 1, "--handed", "left", code=2)


def test_consent_is_written_down_and_withdrawn(academy, archive) -> None:
    said = archive(
        "consent", 2, "--for", "filming, measures", "--given-by", "Pat [b]Young", "--guardian", "--on", "2026-01-02"
    )
    assert said.count("yes, since 2026-01-02") == 2
    assert "Pat [b]Young (guardian)" in said
    assert said.count("missing") == 2
    said = archive("consent", 2, "--for", "measures", "--withdraw", "--on", "2026-02-03")
    assert "withdrawn 2026-02-03" in said
    assert "archive retention" in said


@pytest.mark.parametrize(
    ("more", "code", "says"),
    [
        (("--given-by", "Charlie"), 2, "Missing option '--for'"),
        (("--for", "all"), 2, "Missing option '--given-by'"),
        (("--for", "everything", "--given-by", "Pat"), 2, "'everything' was given; known are filming"),
        (("--for", ",", "--given-by", "Pat"), 2, "nothing was given"),
        (("--for", "all", "--given-by", "Charlie"), 1, "so a parent or guardian must consent"),
        (("--for", "all", "--given-by", "Pat", "--guardian", "--on", TOMORROW), 2, "--on"),
        (("--for", "all", "--given-by", " ", "--guardian"), 2, "who"),
        (("--for", "all", "--withdraw", "--given-by", "Pat"), 2, "--withdraw goes with --for and --on alone."),
        (("--for", "all", "--withdraw"), 2, "consent"),
    ],
)
def test_consent_that_does_not_count_is_refused(more, code, says, academy, refused) -> None:
    assert says in refused("archive", "consent", 2, *more, code=code)
