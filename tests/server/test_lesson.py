"""A lesson in one sitting: begun, told, measured again when its input changed, swapped, thrown away."""

import pytest
from attrs import evolve
from drafted import Stored, at, give_result
from reading import errors_of, text_of, typed_in

from putt_posture.archive import add_consent, withdraw_consent
from putt_posture.errors import ProcessStopped, StudentNotFound, SwappedViews, WrongView
from putt_posture.server.measuring import DraftJob, Outcome, find_outcome, prepare
from putt_posture.services import LessonJob
from putt_posture.values import Interview, Student

GUEST = {"name": "Guest & Co", "stature": "178cm", "handed": "left", "putter_length": "34in"}
PLAYER = {"name": "Ann", "stature": "170cm", "handed": "right", "adult": "yes"}
ALLOWED = {"scopes": ["filming", "measures"], "given_by": "Ann"}


@pytest.fixture
def draft(state, coach):
    """A guest's draft with the sample clips."""
    coach.post("/samples/before")
    return state.drafts.list()[0]


def test_the_first_page_shows_what_can_be_begun(coach) -> None:
    says = text_of(coach.get("/"))
    for each in ("Find a student by name", "Enrol a new student", "Film or drop clips of a guest", "Parker Puttwell"):
        assert each in says
    assert "Lessons at hand" not in says


def test_a_sample_can_be_tried_at_once_with_its_clips_and_answers(state, coach) -> None:
    answer = coach.post("/samples/left_hander")
    draft = state.drafts.list()[0]
    assert answer.url.path == at(draft, "/input")
    assert draft.student is None
    assert (draft.who.name, draft.who.handed) == ("Lena Leftwing", "left")
    assert draft.interview.misses == "pushes the short ones"
    assert {view: (state.drafts.clips_folder(draft.id) / name).is_file() for view, name in draft.clips.items()} == {
        "down_the_line": True,
        "face_on": True,
    }
    assert "Lessons at hand" in text_of(coach.get("/"))
    assert coach.post("/samples/..%2f..").status_code == 404


def test_a_guest_is_begun_with_typed_units_and_is_not_filed(state, coach) -> None:
    coach.post("/lessons", data=GUEST)
    draft = state.drafts.list()[0]
    assert draft.who == Student(stature_cm=178, handed="left", name="Guest & Co", putter_length_cm=86.36)
    assert draft.student is None


def test_a_guest_who_cannot_be_begins_nothing_and_everything_typed_stays(state, coach) -> None:
    answer = coach.post("/lessons", data={**GUEST, "stature": "178", "putter_length": "3"})
    assert answer.status_code == 400
    assert set(errors_of(answer)) == {"stature"}
    assert typed_in(answer, "name") == "Guest & Co"
    assert typed_in(answer, "putter_length") == "3"
    assert state.drafts.list() == []


def test_a_lesson_of_a_student_takes_body_and_hand_from_the_archive(state, coach) -> None:
    coach.post("/students", data={**PLAYER, **ALLOWED})
    coach.post("/lessons", data={"student": "1", "moment": "after"})
    draft = state.drafts.list()[0]
    assert (draft.student, draft.moment, draft.who.stature_cm) == (1, "after", 170)
    assert coach.post("/lessons", data={"student": "9"}).status_code == 404
    assert coach.post("/lessons", data={"student": "1 OR 1=1"}).status_code == 404
    assert len(state.drafts.list()) == 1


def test_what_was_said_is_kept_and_said_back(state, coach, draft) -> None:
    said = {"misses": "pulls under 2 m", "weak_putts": "lag", "limits": "bad back"}
    answer = coach.post(at(draft, "/input"), data={**GUEST, **said, "step": "", "moment": "check"})
    says = text_of(answer)
    assert "Understood: misses to the right, under 2 m" in says  # a left-hander's pull
    assert "Limits: back" in says
    now = state.drafts.load(draft.id)
    assert now.interview == Interview(**said)
    assert (now.who.name, now.moment) == ("Guest & Co", "check")


def test_what_cannot_be_read_is_said_beside_its_field_and_the_draft_stays(state, coach, draft) -> None:
    answer = coach.post(
        at(draft, "/input"), data={**GUEST, "putter_length": "300cm", "misses": "left", "step": "dance"}
    )
    assert answer.status_code == 400
    assert set(errors_of(answer)) == {"putter_length", "step"}
    assert "left" in answer.text
    assert state.drafts.load(draft.id) == draft


def test_without_a_clip_nothing_is_measured(state, coach) -> None:
    coach.post("/lessons", data=GUEST)
    draft = state.drafts.list()[0]
    answer = coach.post(at(draft, "/input"), data={**GUEST, "then": "measure"})
    assert answer.status_code == 400
    assert "There is no clip yet" in text_of(answer)
    assert state.work.find_going_on(draft.id) is None


def test_without_consent_a_student_is_not_measured_for_the_archive(state, coach, draft) -> None:
    coach.post("/students", data=PLAYER)
    state.drafts.change(draft.id, student=1)
    answer = coach.post(at(draft, "/input"), data={"then": "measure"})
    assert answer.status_code == 400
    assert "no consent" in text_of(answer)
    with state.open_archive() as archive:
        add_consent(
            archive, 1, scopes=("filming", "measures", "pictures"), given_on=state.today(), given_by="Ann",
            relation="self", today=state.today(),
        )  # fmt: skip
        job = prepare(state, state.drafts.load(draft.id), archive=archive)
    assert job.lesson.hide_faces  # the face was not allowed


def test_a_result_is_shown_by_the_parts_of_its_own_report(state, coach, draft, folder) -> None:
    assert coach.get(at(draft)).url.path == at(draft, "/input")
    give_result(state, draft, folder)
    answer = coach.get(at(draft))
    assert answer.url.path == at(draft)
    says = text_of(answer)
    assert says.index("At address") < says.index("The putter") < says.index("Every measure")
    assert answer.text.count("<main") == answer.text.count("</main>") == 1
    assert "script" not in answer.text.split("<main")[1]
    assert 'aria-current="page">Result' in answer.text
    assert "measured" in text_of(coach.get("/"))


def test_a_report_that_this_program_did_not_write_is_refused(state, coach, draft, folder) -> None:
    give_result(state, draft, folder)
    report = state.drafts.result_folder(draft.id) / "report.html"
    report.write_text(report.read_text().replace("</main>", "<script>alert(1)</script></main>"))
    answer = coach.get(at(draft))
    assert answer.status_code == 400
    assert "not as this program writes it" in text_of(answer)
    assert "<script>alert" not in answer.text


def test_a_measured_lesson_whose_input_changes_is_to_be_measured_again(state, coach, draft, folder) -> None:
    give_result(state, draft, folder)
    assert not find_outcome(state, draft).is_stale
    state.drafts.change(draft.id, moment="after")
    assert not find_outcome(state, state.drafts.load(draft.id)).is_stale
    for changed in (
        {"who": evolve(draft.who, putter_length_cm=84.0)},
        {"interview": Interview(misses="right")},
        {"without_putter": True},
    ):
        state.drafts.save(evolve(draft, **changed))
        assert find_outcome(state, state.drafts.load(draft.id)).is_stale, changed
    assert "Measure it again" in text_of(coach.get(at(draft)))
    assert "to be measured again" in text_of(coach.get("/"))
    assert "measured first" in text_of(coach.get(at(draft, "/keep")))


@pytest.mark.parametrize("kind", [SwappedViews, WrongView])
def test_clips_that_show_the_other_view_are_noticed_and_can_be_swapped(state, coach, draft, kind) -> None:
    job = prepare(state, draft, archive=None)
    wrong = kind("face_on.mp4: the student is seen from the side.")
    with pytest.raises(kind):
        evolve(job, lesson=Stored(out=job.out, error=wrong)).run()
    says = text_of(coach.get(at(draft, "/input")))
    assert "the student is seen from the side" in says
    assert says.count("Swap the two clips") == 1
    coach.post(at(draft, "/swap"))
    now = state.drafts.load(draft.id)
    assert now.clips == {"down_the_line": draft.clips["face_on"], "face_on": draft.clips["down_the_line"]}
    assert now.about["face_on"] == draft.about["down_the_line"]


def test_other_trouble_offers_no_swap_as_a_remedy_and_leaves_the_earlier_result(state, coach, draft, folder) -> None:
    give_result(state, draft, folder)
    job = prepare(state, draft, archive=None)
    with pytest.raises(StudentNotFound):
        evolve(job, lesson=Stored(out=job.out, error=StudentNotFound("No person was found."))).run()
    outcome = find_outcome(state, draft)
    assert outcome == Outcome(input=outcome.input, trouble="No person was found.", has_result=True)
    assert "No person was found." in text_of(coach.get(at(draft)))
    assert isinstance(job, DraftJob)
    assert isinstance(job.lesson, LessonJob)
    with pytest.raises(ProcessStopped):
        evolve(job, lesson=Stored(out=job.out, error=ProcessStopped("It stopped."))).run()


def test_a_clip_is_taken_out(state, coach, draft) -> None:
    name = draft.clips["face_on"]
    coach.post(at(draft, "/clips/face_on/remove"))
    now = state.drafts.load(draft.id)
    assert set(now.clips) == set(now.about) == {"down_the_line"}
    assert not (state.drafts.clips_folder(draft.id) / name).exists()
    assert coach.post(at(draft, "/clips/..%2fresult/remove")).status_code in (200, 404)
    assert state.drafts.load(draft.id) == now


def test_only_files_that_the_program_writes_are_sent(state, coach, draft, folder) -> None:
    assert coach.get(at(draft, "/files/report.html")).status_code == 400
    give_result(state, draft, folder)
    (state.drafts.result_folder(draft.id) / "secret.txt").write_text("x")
    still = coach.get(at(draft, "/files/stills/down_the_line.png"))
    assert still.headers["content-type"] == "image/png"
    report = coach.get(at(draft, "/files/report.html"))
    assert "sandbox" in report.headers["content-security-policy"]
    for name in ("secret.txt", "..%2fdraft.json", "stills%2f..%2fmeasures.json", "%2fetc%2fpasswd"):
        assert coach.get(at(draft, f"/files/{name}")).status_code in (400, 404), name


def test_a_draft_that_is_not_there_is_one_sentence(coach) -> None:
    for name in ("0" * 16, "x" * 16, "..%2f" + "0" * 16, "0" * 15 + "%00", "\u0660" * 16):
        for more in ("", "/input", "/keep", "/measuring"):
            assert coach.get(f"/lessons/{name}{more}").status_code in (400, 404), name


def test_the_page_of_a_hostile_name_holds_it_as_text(state, coach) -> None:
    coach.post("/lessons", data={**GUEST, "name": "<script>alert(1)</script>{{ 7*7 }}\u202e"})
    draft = state.drafts.list()[0]
    for path in ("/", at(draft, "/input"), at(draft, "/keep")):
        page = coach.get(path)
        assert "<script>alert" not in page.text
        assert "{{ 7*7 }}" in text_of(page)


def test_measuring_without_work_goes_on_to_where_there_is_something(state, coach, draft, folder) -> None:
    assert coach.get(at(draft, "/measuring")).url.path == at(draft, "/input")
    give_result(state, draft, folder)
    assert coach.get(at(draft, "/measuring")).url.path == at(draft)
    assert coach.post(at(draft, "/cancel")).url.path == at(draft, "/input")


def test_what_the_coach_may_not_show_any_more_is_not_measured(state, coach, draft) -> None:
    coach.post("/students", data={**PLAYER, **ALLOWED})
    state.drafts.change(draft.id, student=1)
    with state.open_archive() as archive:
        withdraw_consent(archive, 1, scopes=("measures",), on=state.today())
    answer = coach.post(at(draft, "/measure"))
    assert answer.status_code == 403
    assert state.work.find_going_on(draft.id) is None
