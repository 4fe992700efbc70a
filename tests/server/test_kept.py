"""A measured lesson kept: filed by what is allowed, saved as a file, thrown away, and shown again from the archive."""

import io
import zipfile

import pytest
from drafted import at, give_result
from reading import error_of, text_of

from putt_posture.archive import add_consent, load_lessons, withdraw_consent
from putt_posture.records import read_result_files

ALL = ("filming", "measures", "pictures", "faces")
PLAYER = {
    "name": "Ann", "stature": "178cm", "handed": "right", "adult": "yes", "given_by": "Ann", "scopes": ALL,
    "given_on": "2026-11-01",
}  # fmt: skip


@pytest.fixture
def guest(state, coach, folder):
    """A guest's measured draft."""
    coach.post("/samples/before")
    draft = state.drafts.list()[0]
    give_result(state, draft, folder)
    return draft


@pytest.fixture
def measured(state, coach, guest):
    """A student's measured draft."""
    coach.post("/students", data=PLAYER)
    return state.drafts.change(guest.id, student=1)


def lessons(state):
    with state.open_archive() as archive:
        return load_lessons(archive, 1, today=state.today())


def test_a_lesson_is_filed_with_day_moment_and_what_was_said_and_the_draft_is_gone(state, coach, measured) -> None:
    asked = {"day": "2026-11-26", "moment": "after", "place": "green <3>", "coach": "Kim", "pictures": "yes"}
    answer = coach.post(at(measured, "/keep"), data=asked)
    assert answer.status_code == 200
    assert "Lesson 1 of 26 November 2026" in text_of(answer)
    (filed,) = lessons(state)
    assert (str(filed.day), filed.moment, filed.notes.place, filed.notes.coach) == (
        "2026-11-26", "after", "green <3>", "Kim",
    )  # fmt: skip
    assert filed.notes.misses == measured.interview.misses
    assert filed.has_pictures
    assert state.drafts.list() == []
    assert coach.post(at(measured, "/keep"), data=asked).status_code == 400
    assert len(lessons(state)) == 1


def test_the_page_repeats_what_filing_says(coach, measured) -> None:
    answer = coach.post(at(measured, "/keep"), data={"day": "2026-11-27"})
    assert "The report is named" in text_of(answer)  # the invented report is of another student


@pytest.mark.parametrize(("day", "says"), [("", "Give the day"), ("yesterday", "cannot be read")])
def test_a_day_that_cannot_be_is_said_beside_it_and_nothing_is_filed(state, coach, measured, day, says) -> None:
    answer = coach.post(at(measured, "/keep"), data={"day": day})
    assert answer.status_code == 400
    assert says in error_of(answer, "day")
    assert lessons(state) == ()
    assert state.drafts.load(measured.id) == measured


def test_without_consent_nothing_is_filed_and_the_draft_stays(state, coach, measured) -> None:
    with state.open_archive() as archive:
        withdraw_consent(archive, 1, scopes=("measures",), on=state.today())
    answer = coach.post(at(measured, "/keep"), data={"day": "2026-11-27"})
    assert answer.status_code == 400
    assert "no consent for keeping the measures" in text_of(answer)
    assert lessons(state) == ()
    assert state.drafts.load(measured.id) == measured
    assert "withdrawn 2026-11-27" in text_of(coach.get(at(measured, "/keep")))


def test_a_guest_is_saved_as_one_file_and_not_filed(coach, guest) -> None:
    refused = coach.post(at(guest, "/keep"), data={"day": "2026-11-27"})
    assert refused.status_code == 400
    assert "A guest is not filed" in text_of(refused)
    answer = coach.get(at(guest, "/save"))
    assert "lesson.zip" in answer.headers["content-disposition"]
    with zipfile.ZipFile(io.BytesIO(answer.content)) as pack:
        files = {name.removeprefix("lesson/"): pack.read(name) for name in pack.namelist()}
    assert {"report.html", "measures.json", "stills/face_on.png"} <= files.keys()
    assert read_result_files(files, title="saved").record.student.stature_cm > 0


def test_a_lesson_is_thrown_away_only_when_that_is_confirmed(state, coach, guest) -> None:
    answer = coach.post(at(guest, "/discard"))
    assert "Tick the box" in error_of(answer, "sure")
    assert state.drafts.list() == [guest]
    assert coach.post(at(guest, "/discard"), data={"sure": "yes"}).url.path == "/"
    assert state.drafts.list() == []


def test_a_filed_lesson_is_shown_as_far_as_today_allows(state, coach, measured) -> None:
    coach.post(at(measured, "/keep"), data={"day": "2026-11-27", "pictures": "yes"})
    answer = coach.get("/filed/1")
    assert "What to do first" in text_of(answer) or "At address" in text_of(answer)
    assert "data:image/jpeg" in answer.text
    assert coach.get("/filed/1/files/report.pdf").headers["content-type"] == "application/pdf"
    with state.open_archive() as archive:
        withdraw_consent(archive, 1, scopes=("pictures",), on=state.today())
    answer = coach.get("/filed/1")
    says = text_of(answer)
    assert "so pictures are left out" in says
    assert "data:image" not in answer.text
    assert "<img" not in answer.text
    assert "Every measure" in says
    assert "Lie of the shaft" in says
    assert coach.get("/filed/1/files/report.pdf").status_code == 400
    with state.open_archive() as archive:
        withdraw_consent(archive, 1, scopes=("measures",), on=state.today())
    answer = coach.get("/filed/1")
    assert answer.status_code == 403
    assert "°" not in answer.text
    with state.open_archive() as archive:
        add_consent(
            archive, 1, scopes=ALL, given_on=state.today(), given_by="Ann", relation="self", today=state.today()
        )
    assert "data:image/jpeg" in coach.get("/filed/1").text


def test_a_lesson_that_is_not_filed_is_one_sentence(coach, measured) -> None:
    answer = coach.get("/filed/5")
    assert answer.status_code == 404
    assert "There is no lesson 5" in text_of(answer)
