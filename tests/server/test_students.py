"""Students on the page: found, enrolled with their consent, or refused with a sentence beside the field."""

import pytest
from reading import error_of, errors_of, text_of, typed_in
from starlette.testclient import TestClient

from putt_posture.archive import find_students, load_permission, load_student
from putt_posture.server.access import Session

ANN = {
    "name": "Ann Álvarez <b>",
    "stature": "5ft10in",
    "handed": "right",
    "born": "1990-02-28",
    "scopes": ["filming", "measures", "pictures"],
    "given_by": "Ann Álvarez <b>",
    "given_on": "2026-11-20",
}


def enrolled(state):
    with state.open_archive() as archive:
        return find_students(archive, "a")


def test_a_student_is_enrolled_with_what_they_allow(state, coach) -> None:
    answer = coach.post("/students", data=ANN)
    assert answer.url.path == "/students/1"
    assert "Ann Álvarez <b>" in text_of(answer)
    assert "<b>" not in answer.text
    with state.open_archive() as archive:
        student, permission = load_student(archive, 1), load_permission(archive, 1)
    assert (student.name, student.student.stature_cm) == ("Ann Álvarez <b>", 177.8)
    assert permission.allowed(state.today(), use="filing") == {"filming", "measures", "pictures"}


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("name", "  ", "has no name"),
        ("name", "x" * 201, "201 letters long"),
        ("stature", "178", "has no unit"),
        ("stature", "17cm", "out of range"),
        ("handed", "", "which way the student putts"),
        ("born", "28.02.1990", "cannot be read"),
        ("born", "2030-01-01", "cannot be"),
        ("wrist_floor", "2m", "wrist height"),
        ("given_on", "2027-01-01", "a day to come"),
    ],
)
def test_what_cannot_be_is_one_sentence_beside_its_field_and_nothing_is_stored(
    state, coach, field, typed, says
) -> None:
    answer = coach.post("/students", data={**ANN, field: typed})
    assert answer.status_code == 400
    named = "given_by" if field == "given_on" else field
    assert set(errors_of(answer)) == {named}
    assert says in error_of(answer, named)
    assert typed_in(answer, "stature") == (typed if field == "stature" else "5ft10in")
    assert not (state.drafts.folder.parent / "archive").exists()


def test_all_that_is_wrong_is_said_at_once(coach) -> None:
    answer = coach.post("/students", data={})
    assert set(errors_of(answer)) == {"name", "handed", "stature"}


def test_whether_a_student_is_a_minor_has_to_be_known(coach) -> None:
    answer = coach.post("/students", data={**ANN, "born": ""})
    assert "not known whether" in error_of(answer, "born")
    answer = coach.post("/students", data={**ANN, "adult": "yes"})
    assert "Leave one of the two out" in error_of(answer, "born")
    assert coach.post("/students", data={**ANN, "born": "", "adult": "yes"}).url.path == "/students/1"


def test_a_minor_needs_a_guardian_who_is_somebody_else_and_is_not_stored_without(state, coach) -> None:
    minor = {**ANN, "born": "2012-05-01"}
    answer = coach.post("/students", data=minor)
    assert "a parent or guardian must consent" in error_of(answer, "given_by")
    answer = coach.post("/students", data={**minor, "guardian": "yes"})
    assert "cannot be their own guardian" in error_of(answer, "given_by")
    assert not (state.drafts.folder.parent / "archive").exists()
    assert coach.post("/students", data={**minor, "guardian": "yes", "given_by": "Bo"}).url.path == "/students/1"
    answer = coach.post("/students", data={**minor, "name": "Second"})
    assert answer.status_code == 400
    assert [each.name for each in enrolled(state)] == [ANN["name"]]


def test_a_consent_says_what_it_is_for_and_who_gave_it(state, coach) -> None:
    assert "Tick what" in error_of(coach.post("/students", data={**ANN, "scopes": []}), "scopes")
    assert "not said who" in error_of(coach.post("/students", data={**ANN, "given_by": " "}), "given_by")
    without = {name: value for name, value in ANN.items() if name not in ("scopes", "given_by")}
    answer = coach.post("/students", data=without)
    assert answer.url.path == "/students/1"
    assert text_of(answer).count("missing") == 4


def test_the_texts_of_the_consents_are_those_of_the_archive(coach) -> None:
    says = text_of(coach.get("/students/new"))
    for title in ("being filmed", "keeping the measures", "keeping clips, stills and outlines", "showing the face"):
        assert title in says


def test_students_are_found_by_beginnings_of_their_names(coach) -> None:
    coach.post("/students", data=ANN)
    assert "/students/1" in coach.get("/students", params={"name": "alv"}).text
    assert "Nobody of that name" in text_of(coach.get("/students", params={"name": "zed"}))
    answer = coach.get("/students", params={"name": "?!"})
    assert "no word to look for" in error_of(answer, "name")


def test_a_student_who_is_not_there_is_one_sentence(coach) -> None:
    assert "archive" in text_of(coach.get("/students/7"))
    coach.post("/students", data=ANN)
    answer = coach.get("/students/7")
    assert answer.status_code == 404
    assert "There is no student 7" in text_of(answer)


def test_a_phone_sees_no_student(state, coach) -> None:
    draft = coach.post("/samples/before").url.path.split("/")[2]
    coach.post("/students", data=ANN)
    phone = TestClient(coach.app, base_url=coach.base_url, headers=dict(coach.headers))
    phone.post("/enter", data={"code": state.access.give_code(Session(role="phone", draft=draft))})
    assert phone.get(f"/lessons/{draft}/input").status_code == 200
    for path in ("/students", "/students/1", "/students/new", f"/lessons/{draft}/keep", "/filed/1"):
        assert phone.get(path).status_code == 403, path
    assert "What the student says" not in text_of(phone.get(f"/lessons/{draft}/input"))
