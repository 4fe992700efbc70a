"""The page of the stroke: what it is sent, clips in parts, events placed by hand, no face where heads are hidden."""

import io
import shutil
import zipfile

import av
import pytest
from attrs import evolve
from drafted import give_result
from stroke_lesson import begin_stroke_draft, make_stroke_folder_once

from putt_posture.archive import withdraw_consent
from putt_posture.records import read_result_folder
from putt_posture.server.giving import send_bytes
from putt_posture.services import stroke_clips
from putt_posture.services.correcting import open_folder_for_correcting

JSON = {"accept": "application/json"}
PLAYER = {
    "name": "Ann", "stature": "178cm", "handed": "right", "adult": "yes", "given_by": "Ann",
    "scopes": ("filming", "measures", "pictures", "faces"), "given_on": "2026-11-01",
}  # fmt: skip


@pytest.fixture(scope="session")
def stored(run_folder, detections_folder):
    """The result folder of a lesson with a practice stroke and a putt in each view, and its sample."""
    return make_stroke_folder_once(run_folder, cache=detections_folder)


@pytest.fixture
def draft(state, stored):
    return begin_stroke_draft(state, *stored)


@pytest.fixture
def at(draft):
    return f"/lessons/{draft.id}/stroke"


@pytest.fixture
def found(coach, at):
    return coach.get(f"{at}/found", headers=JSON).json()


def putt(answer, view="face_on"):
    return next(each for each in answer["views"][view]["strokes"] if each["kind"] == "putt")


def placed(found, event, time_s, *, view="face_on", number=2):
    given = dict(found["given"])
    given[view] = {**given[view], "event_times": [{"stroke": number, "event": event, "time_s": time_s}]}
    return given


def number(answer, name):
    return next(row for row in answer["rows"] if row["name"] == name)


def test_the_page_is_there_for_the_coach_alone_with_its_scripts(coach, phone, at) -> None:
    page = coach.get(at)
    assert page.status_code == 200
    assert "script-src 'self'" in page.headers["content-security-policy"]
    assert "media-src 'self'" in page.headers["content-security-policy"]
    for part in ("page.js", "bar.js", "player.js", "shown.js", "in_step.js", "stroke.css"):
        assert coach.get(f"/static/stroke/{part}").status_code == 200
    assert phone.get(at).status_code in (403, 404)


def test_strokes_events_and_numbers_are_sent_as_they_are_kept(found) -> None:
    """The hands were swung by a closed form from 1.9 s on: 0.67 s back, 0.32 s through (`made_up`)."""
    strokes = found["views"]["face_on"]["strokes"]
    assert [(each["number"], each["kind"]) for each in strokes] == [(1, "practice"), (2, "putt")]
    assert "stays where it is" in strokes[0]["why"]
    assert found["views"]["face_on"]["shown"] == 1
    times = {name: event["time_s"] for name, event in putt(found)["events"].items()}
    assert times["top"] == pytest.approx(1.9 + 0.67, abs=0.03)
    assert times["impact"] == pytest.approx(1.9 + 0.99, abs=0.01)
    assert not any(event["by_hand"] for event in putt(found)["events"].values())
    clip = putt(found)["clip"]
    assert clip["slower"] == 0.5
    assert clip["start_s"] < times["start"] < times["finish"] < clip["end_s"]
    assert not any(row["other"] for row in found["rows"])


def test_an_event_placed_by_hand_moves_numbers_and_clip_and_can_be_put_back(coach, at, found) -> None:
    moved = putt(found)["events"]["top"]["time_s"] - 0.1
    answer = coach.post(f"{at}/measure", json={"given": placed(found, "top", moved)}, headers=JSON).json()
    top = putt(answer)["events"]["top"]
    assert top["by_hand"]
    assert top["time_s"] == pytest.approx(moved)
    assert number(answer, "backswing_time")["other"]
    assert number(answer, "backswing_time")["found"] == number(found, "backswing_time")["now"]
    assert putt(answer)["clip"]["url"] != putt(found)["clip"]["url"]
    again = coach.post(f"{at}/measure", json={"given": found["given"]}, headers=JSON).json()
    assert again["views"] == found["views"]
    assert again["rows"] == found["rows"]


def test_the_result_shows_the_clips_of_the_stroke_and_sends_them_in_parts(coach, draft) -> None:
    page = coach.get(f"/lessons/{draft.id}").text
    address = f"/lessons/{draft.id}/files/stroke_face_on.mp4"
    assert f'src="{address}"' in page
    assert 'src="stroke_' not in page
    assert f'href="/lessons/{draft.id}/stroke"' in page
    part = coach.get(address, headers={"range": "bytes=0-99"})
    assert (part.status_code, part.headers["content-type"], len(part.content)) == (206, "video/mp4", 100)
    assert coach.get(f"/lessons/{draft.id}/files/other.mp4", headers=JSON).status_code == 404


def test_the_lesson_that_is_saved_holds_the_clips_of_the_stroke_too(state, coach, draft) -> None:
    answer = coach.get(f"/lessons/{draft.id}/save")
    with zipfile.ZipFile(io.BytesIO(answer.content)) as pack:
        saved = pack.read("lesson/stroke_face_on.mp4")
    assert saved == (state.drafts.result_folder(draft.id) / "stroke_face_on.mp4").read_bytes()


def test_charts_are_drawn_of_the_stroke_that_was_chosen(coach, at, found) -> None:
    charts = [
        coach.post(f"{at}/charts?stroke={each}", json={"given": found["given"]}, headers=JSON).json() for each in (1, 2)
    ]
    assert set(charts[0]) >= {"stroke_times", "stroke_from_front"}
    assert all(svg.startswith("<?xml") for svg in charts[0].values())
    assert charts[0]["stroke_from_front"] != charts[1]["stroke_from_front"]
    assert "by the setup" in charts[1]["stroke_from_above"]  # the arc that the setup tends to give


def test_what_is_placed_is_kept_in_the_lesson_and_nothing_else_changes(state, coach, draft, at, found) -> None:
    moved = putt(found)["events"]["top"]["time_s"] - 0.1
    before = read_result_folder(state.drafts.result_folder(draft.id)).record.measures
    answer = coach.post(f"{at}/keep", json={"given": placed(found, "top", moved)}, headers=JSON)
    assert answer.status_code == 200, answer.text
    opened = open_folder_for_correcting(state.drafts.result_folder(draft.id))
    (event,) = opened.given["face_on"].event_times
    assert (event.stroke, event.event, event.time_s) == (2, "top", pytest.approx(moved))
    assert (state.drafts.result_folder(draft.id) / "stroke_face_on.mp4").is_file()
    after = read_result_folder(state.drafts.result_folder(draft.id)).record.measures
    assert {name: each.value for name, each in after.items() if each} == {
        name: each.value for name, each in before.items() if each
    }


def test_the_clip_of_a_stroke_plays_and_is_sent_in_parts(coach, found) -> None:
    url = putt(found)["clip"]["url"]
    whole = coach.get(url)
    assert whole.status_code == 200
    assert (whole.headers["content-type"], whole.headers["accept-ranges"]) == ("video/mp4", "bytes")
    with av.open(io.BytesIO(whole.content)) as container:
        times = [float(frame.time) for frame in container.decode(video=0)]
    clip = putt(found)["clip"]
    assert times[-1] == pytest.approx((clip["end_s"] - clip["start_s"]) / clip["slower"], abs=0.05)
    part = coach.get(url, headers={"range": "bytes=100-299"})
    assert part.status_code == 206
    assert part.content == whole.content[100:300]
    assert part.headers["content-range"] == f"bytes 100-299/{len(whole.content)}"


@pytest.mark.parametrize(
    ("asked", "status", "sent"),
    [
        ("bytes=0-3", 206, b"0123"), ("bytes=8-", 206, b"89"), ("bytes=-3", 206, b"789"), ("bytes=5-99", 206, b"56789"),
        ("bytes=10-", 416, b""), ("bytes=-0", 416, b""), ("bytes=4-2", 200, b"0123456789"),
        ("bytes=0-1,4-5", 200, b"0123456789"), ("lines=0-1", 200, b"0123456789"), ("bytes=-", 200, b"0123456789"),
    ],
)  # fmt: skip
def test_the_part_that_was_asked_for_is_sent(asked, status, sent) -> None:
    """RFC 9110, 14.1.2 and 14.2."""
    from starlette.requests import Request

    request = Request({"type": "http", "headers": [(b"range", asked.encode())]})
    answer = send_bytes(request, b"0123456789", media_type="video/mp4")
    assert (answer.status_code, answer.body) == (status, sent)


def test_an_address_that_is_none_gets_a_sentence(coach, at) -> None:
    for path, status in (
        ("clips/face_on/9.mp4", 404),
        ("clips/from_above/1.mp4", 404),
        ("clips/face_on/2.mp4?by-hand=top", 400),
        ("frames/face_on/2/soon.jpg", 400),
    ):
        answer = coach.get(f"{at}/{path}", headers=JSON)
        assert answer.status_code == status, path
        assert answer.json()["says"]


def test_a_frame_is_sent_with_its_lines(coach, found) -> None:
    answer = coach.get(f"{putt(found)['still']}/2.57.jpg")
    assert (answer.status_code, answer.headers["content-type"]) == (200, "image/jpeg")
    assert len(answer.content) < 100_000


def test_where_heads_are_hidden_no_frame_is_sent_and_the_clip_hides_them(stored, monkeypatch) -> None:
    folder, sample = stored
    opened = evolve(open_folder_for_correcting(folder), faces_hidden=True)
    asked = []
    real = stroke_clips.draw_overlay_clip

    def draw(filmed, *, hide_head=False):
        asked.append(hide_head)
        return real(filmed, hide_head=False)

    monkeypatch.setattr(stroke_clips, "draw_overlay_clip", draw)
    stroke_clips.draw_stroke_clip(opened, opened.found, sample.clips, "face_on", 2)
    assert asked == [True]
    with pytest.raises(stroke_clips.NotAllowed, match="Heads are hidden"):
        stroke_clips.draw_stroke_frame(opened, opened.found, sample.clips, "face_on", 2, time_s=2.5)


def test_without_its_clip_a_stroke_has_events_and_no_pictures(state, coach, draft, at) -> None:
    for path in state.drafts.clips_folder(draft.id).iterdir():
        path.unlink()
    found = coach.get(f"{at}/found", headers=JSON).json()
    assert putt(found)["clip"] is None
    assert putt(found)["still"] is None
    assert putt(found)["events"]["impact"]["time_s"]
    assert coach.get(f"{at}/clips/face_on/2.mp4", headers=JSON).status_code == 400


def test_clips_of_a_filed_lesson_are_there_as_far_as_the_consents_allow(state, coach, draft, stored) -> None:
    coach.post("/students", data=PLAYER)
    mine = state.drafts.change(draft.id, student=1)
    shutil.rmtree(state.drafts.result_folder(draft.id))
    with state.open_archive() as archive:
        give_result(state, mine, stored[0], archive=archive)
    kept = coach.post(
        f"/lessons/{draft.id}/keep", data={"day": "2026-11-27", "moment": "before", "pictures": "yes", "clips": "yes"}
    )
    assert kept.status_code == 200, kept.text
    found = coach.get("/filed/1/stroke/found", headers=JSON).json()
    assert coach.get(putt(found)["clip"]["url"]).headers["content-type"] == "video/mp4"
    with state.open_archive() as archive:
        withdraw_consent(archive, 1, scopes=("faces",), on=state.today())
    hidden = coach.get("/filed/1/stroke/found", headers=JSON).json()
    assert putt(hidden)["clip"] is None
    assert putt(hidden)["still"] is None
    assert coach.get(putt(found)["clip"]["url"], headers=JSON).status_code == 400
