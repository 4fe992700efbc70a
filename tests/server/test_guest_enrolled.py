"""A guest becomes a student, new or of the archive already, and the lesson at hand is then theirs."""

import re

import pytest
from attrs import evolve
from drafted import at, give_result
from reading import error_of, errors_of, text_of, typed_in

from putt_posture.archive import find_students, load_lessons, load_permission, open_lesson
from putt_posture.server.measuring import find_outcome, prepare
from putt_posture.values import Student

ALL = ("filming", "measures", "pictures", "faces")
WHO = Student(
    name="Ann <b>", stature_cm=177.8, handed="right", sex="female", wrist_floor_cm=85.5, putter_length_cm=86.4,
    putter_lie_deg=71.5,
)  # fmt: skip
CONSENT = {"adult": "yes", "given_by": "Ann <b>", "given_on": "2026-11-01", "scopes": ALL}


@pytest.fixture
def guest(state, coach, folder):
    """A guest's measured draft."""
    coach.post("/samples/before")
    draft = state.drafts.change(state.drafts.list()[0].id, who=WHO)
    give_result(state, draft, folder)
    return draft


@pytest.fixture
def form(coach, guest):
    """What the enrolment form of the guest is filled with, as a browser would send it."""
    return filled(coach.get(f"/students/new?lesson={guest.id}"))


def filled(answer):
    said = dict(re.findall(r'<input id="([a-z_]+)"[^>]*? value="([^"]+)"', answer.text))
    said |= dict(re.findall(r'<input type="hidden" name="([a-z_]+)" value="([^"]+)"', answer.text))
    said |= dict(re.findall(r'name="([a-z_]+)" value="([a-z_]*)" checked', answer.text))
    return said | {"name": typed_in(answer, "name")}


def enrolled(state):
    with state.open_archive() as archive:
        return [each.name for each in find_students(archive, "ann")]


def test_the_form_knows_what_the_draft_knows_and_no_consent_is_ticked(coach, guest, form) -> None:
    page = coach.get(at(guest, "/keep"))
    assert f'href="/students/new?lesson={guest.id}"' in page.text
    assert form == {
        "name": "Ann <b>", "stature": "177.8cm", "handed": "right", "sex": "female", "wrist_floor": "85.5cm",
        "given_on": "2026-11-27", "lesson": guest.id,
    }  # fmt: skip
    assert "lesson" not in filled(coach.get("/students/new"))


def test_after_enrolling_the_lesson_is_the_students_and_is_filed(state, coach, guest, form) -> None:
    answer = coach.post("/students", data={**form, **CONSENT, "name": "Ann Alvarez", "given_by": "Ann Alvarez"})
    assert answer.url.path == at(guest, "/keep")
    assert "Ann Alvarez" in text_of(answer)
    assert "File it" in text_of(answer)
    draft = state.drafts.load(guest.id)
    assert (draft.student, draft.who) == (1, evolve(WHO, name="Ann Alvarez"))  # the putter stays with the lesson
    assert not find_outcome(state, draft).is_stale  # nothing is measured from a name
    answer = coach.post(at(guest, "/keep"), data={"day": "2026-11-27", "pictures": "yes"})
    assert "Lesson 1 of 27 November 2026" in text_of(answer)
    with state.open_archive() as archive:
        assert len(load_lessons(archive, 1, today=state.today())) == 1
    assert state.drafts.list() == []


@pytest.mark.parametrize("changed", [{"stature": "180cm"}, {"handed": "left"}, {"sex": "male"}, {"wrist_floor": ""}])
def test_another_body_has_to_be_measured_again_with_what_was_enrolled(state, coach, guest, form, changed) -> None:
    answer = coach.post("/students", data={**form, **CONSENT, **changed})
    assert answer.url.path == at(guest, "/keep")
    assert "has to be measured first, as it is now" in text_of(answer)
    assert coach.post(at(guest, "/keep"), data={"day": "2026-11-27"}).status_code == 400
    with state.open_archive() as archive:
        assert load_lessons(archive, 1, today=state.today()) == ()
        job = prepare(state, state.drafts.load(guest.id), archive=archive)
    assert job.lesson.student == state.drafts.load(guest.id).who
    assert job.lesson.student != WHO


def test_a_result_that_was_stale_stays_stale(state, coach, guest, form) -> None:
    state.drafts.change(guest.id, without_putter=True)
    coach.post("/students", data={**form, **CONSENT})
    assert find_outcome(state, state.drafts.load(guest.id)).is_stale


def test_without_consent_the_student_is_enrolled_and_nothing_is_filed(state, coach, guest, form) -> None:
    answer = coach.post("/students", data={**form, "adult": "yes"})
    assert answer.url.path == at(guest, "/keep")
    assert text_of(answer).count("missing") == 4
    answer = coach.post(at(guest, "/keep"), data={"day": "2026-11-27"})
    assert answer.status_code == 400
    assert "There is no consent for being filmed" in text_of(answer)
    with state.open_archive() as archive:
        assert load_lessons(archive, 1, today=state.today()) == ()
    assert state.drafts.load(guest.id).student == 1


def test_a_minor_without_a_guardian_is_not_enrolled_and_the_lesson_stays_a_guests(state, coach, guest, form) -> None:
    minor = {**form, **CONSENT, "adult": "", "born": "2012-05-01"}
    del minor["adult"]
    answer = coach.post("/students", data=minor)
    assert "a parent or guardian must consent" in error_of(answer, "given_by")
    assert filled(answer)["lesson"] == guest.id  # it goes on with the next try
    assert state.drafts.load(guest.id) == guest
    assert not (state.drafts.folder.parent / "archive").exists()
    answer = coach.post("/students", data={**minor, "guardian": "yes", "given_by": "Bo"})
    assert answer.url.path == at(guest, "/keep")
    assert state.drafts.load(guest.id).student == 1


def test_what_was_typed_stays_when_the_draft_went_away_meanwhile(state, coach, guest, form) -> None:
    coach.post(at(guest, "/discard"), data={"sure": "yes"})
    answer = coach.post("/students", data={**form, **CONSENT})
    assert answer.status_code == 400
    assert set(errors_of(answer)) == {"form"}
    assert "not here any more" in text_of(answer)
    assert not (state.drafts.folder.parent / "archive").exists()
    again = filled(answer)
    assert "lesson" not in again
    assert again["stature"] == "177.8cm"
    assert coach.post("/students", data={**again, **CONSENT}).url.path == "/students/1"
    gone = coach.get(f"/students/new?lesson={guest.id}")
    assert gone.status_code == 400
    assert "not here any more" in text_of(gone)
    assert coach.get("/students/new?lesson=../x").status_code == 400


def test_a_lesson_is_given_once_so_that_nobody_is_enrolled_twice(state, coach, guest, form) -> None:
    coach.post("/students", data={**form, **CONSENT})
    answer = coach.post("/students", data={**form, **CONSENT})
    assert answer.status_code == 400
    assert "belongs to student 1 already" in text_of(answer)
    assert enrolled(state) == ["Ann <b>"]
    answer = coach.post(at(guest, "/student"), data={"student": "1"})
    assert answer.status_code == 400
    assert "belongs to student 1 already" in text_of(answer)


def test_without_consent_for_faces_clips_stay_out_and_heads_are_hidden(state, coach, guest, form) -> None:
    answer = coach.post("/students", data={**form, **CONSENT, "scopes": ALL[:3]})
    assert 'name="pictures" value="yes" checked' in answer.text
    assert 'name="clips" value="yes" checked' not in answer.text
    ask = {"day": "2026-11-27", "pictures": "yes"}
    refused = coach.post(at(guest, "/keep"), data={**ask, "clips": "yes"})
    assert refused.status_code == 400
    assert "There is no consent for showing the face" in text_of(refused)
    assert coach.post(at(guest, "/keep"), data=ask).status_code == 200
    with state.open_archive() as archive:
        (filed,) = load_lessons(archive, 1, today=state.today())
        kept = open_lesson(archive, filed.number, today=state.today())
    assert filed.clips == 0
    assert kept.record.faces_hidden
    assert "report.pdf" not in kept.names  # it cannot be drawn over, so it is left out


def test_with_consent_for_faces_the_clips_are_ticked(coach, guest, form) -> None:
    answer = coach.post("/students", data={**form, **CONSENT})
    assert 'name="clips" value="yes" checked' in answer.text


def test_a_student_of_the_archive_is_found_and_the_lesson_is_theirs(state, coach, guest, form) -> None:
    without = {name: value for name, value in form.items() if name != "lesson"}
    coach.post("/students", data={**without, **CONSENT, "name": "Ann Alvarez", "given_by": "Ann Alvarez"})
    assert "Nobody of that name" in text_of(coach.get(at(guest, "/keep"), params={"name": "zed"}))
    assert "no word to look for" in error_of(coach.get(at(guest, "/keep"), params={"name": "?!"}), "name")
    page = coach.get(at(guest, "/keep"), params={"name": "alv"})
    assert "Ann Alvarez" in text_of(page)
    number = re.search(r'<button name="student" value="(\d+)"', page.text)[1]
    answer = coach.post(at(guest, "/student"), data={"student": number})
    assert answer.url.path == at(guest, "/keep")
    assert "File it" in text_of(answer)
    assert state.drafts.load(guest.id).student == 1
    with state.open_archive() as archive:
        assert load_permission(archive, 1).allowed(state.today(), use="filing") == set(ALL)


@pytest.mark.parametrize(("number", "status"), [("", 400), ("x", 400), ("9", 404)])
def test_a_student_who_is_not_there_gets_no_lesson(state, coach, guest, form, number, status) -> None:
    without = {name: value for name, value in form.items() if name != "lesson"}
    coach.post("/students", data={**without, **CONSENT})
    answer = coach.post(at(guest, "/student"), data={"student": number})
    assert answer.status_code == status
    assert state.drafts.load(guest.id) == guest


def test_a_search_before_there_is_an_archive_finds_nobody(coach, guest) -> None:
    assert "Nobody of that name" in text_of(coach.get(at(guest, "/keep"), params={"name": "ann"}))
