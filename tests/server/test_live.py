"""The page of live numbers without a browser: who may see it, what it takes, and what is held."""

import json
import struct
import sys
import time
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from starlette.websockets import WebSocketDisconnect

sys.path.append(str(Path(__file__).parents[1] / "live"))

from attrs import evolve
from camera_frames import as_jpeg, read_camera

from putt_posture.archive import open_archive
from putt_posture.clips import read_clip
from putt_posture.errors import UsageError
from putt_posture.server.live_exchange import SAID, read_frame_message, read_held_message
from putt_posture.server.routes import live
from putt_posture.services import enrol
from putt_posture.values import VIEW_TITLES, Student

WHO = Student(stature_cm=173, handed="right", sex="male")
PATIENCE_S = 60
ROOT = Path(live.__file__).parents[2]


@pytest.fixture
def guest(state):
    return state.drafts.begin(WHO, now=datetime.now(UTC))


@pytest.fixture(scope="module")
def still():
    """The pictures of a still moment, in the size of a camera."""
    return [as_jpeg(frame) for frame in read_camera("rebuild", "down_the_line", [(4.0, 4.6)], size=(960, 720))]


def pack(pictures, **about):
    told = {"view": "down_the_line", "handed": "right", "without_putter": True,
            "times_ms": [1000 + 70 * number for number in range(len(pictures))],
            "sizes": [len(each) for each in pictures]} | about  # fmt: skip
    head = json.dumps(told).encode()
    return struct.pack("<I", len(head)) + head + b"".join(pictures)


def connect(coach, address):
    return coach.websocket_connect(f"ws://{coach.base_url.netloc.decode()}{address}")


def wait_until_whole(coach, upload):
    until = time.monotonic() + PATIENCE_S
    while (status := coach.get(f"/uploads/{upload}").json())["state"] == "checking" and time.monotonic() < until:
        time.sleep(0.1)
    return status


def test_the_page_says_that_live_pictures_are_forgotten_and_offers_view_hand_and_putter(coach, guest):
    page = coach.get(f"/lessons/{guest.id}/live").text
    assert "Live pictures are shown and forgotten." in page
    for name in ("camera", "view", "handed", "putter"):
        assert f'name="{name}"' in page
    assert "<script type" in page
    assert "no camera; " not in page


def test_what_is_held_becomes_a_clip_of_the_lesson_that_is_read_like_any_other(coach, state, guest, still):
    answer = coach.post(f"/lessons/{guest.id}/live/hold", content=pack(still))
    assert answer.status_code == 201
    assert wait_until_whole(coach, answer.json()["upload"])["state"] == "whole"
    draft = state.drafts.load(guest.id)
    assert draft.without_putter
    clip = read_clip(state.drafts.clips_folder(draft.id) / draft.clips["down_the_line"], view="down_the_line")
    assert (clip.width, clip.height) == (960, 720)
    assert clip.duration_s == pytest.approx(0.07 * len(still), abs=0.01)


def test_a_guest_who_putts_left_handed_on_the_live_page_does_so_in_the_lesson(coach, state, guest, still):
    coach.post(f"/lessons/{guest.id}/live/hold", content=pack(still, handed="left", without_putter=False))
    draft = state.drafts.load(guest.id)
    assert draft.who.handed == "left"
    assert not draft.without_putter


def test_nothing_is_held_of_a_student_without_consent(coach, state, still):
    with open_archive(state.archive, make=True) as archive:
        number = enrol(archive, evolve(WHO, name="Avery Archer"), today=date(2026, 11, 27), adult=True)
    draft = state.drafts.begin(WHO, now=datetime.now(UTC), student=number)
    answer = coach.post(f"/lessons/{draft.id}/live/hold", content=pack(still), headers={"accept": "application/json"})
    assert answer.status_code == 403
    assert "There is no consent for" in answer.json()["says"]
    assert state.drafts.load(draft.id).clips == {}
    assert state.uploads.list(draft.id) == ()


def test_pictures_that_are_none_are_refused_and_leave_nothing(coach, state, guest):
    answer = coach.post(
        f"/lessons/{guest.id}/live/hold", content=pack([b"MZ" * 40] * 4), headers={"accept": "application/json"}
    )
    assert answer.status_code == 400
    assert "no JPEG" in answer.json()["says"]
    assert state.uploads.list(guest.id) == ()


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"\x00\x00\x00",
        struct.pack("<I", 2**31) + b"{}",
        struct.pack("<I", 2) + b"{}",
        pack([b"abc"], sizes=[4]),
        pack([b"abc"], sizes=[-3]),
        pack([b"abc"], sizes=["3"]),
        pack([b"abc"], view="../../etc"),
        pack([b"abc"], times_ms=[float("nan")]),
        pack([b"abc"], times_ms=["x"]),
        pack([b"abc", b"def"], times_ms=[1.0]),
        pack([b"abc"])[:-1],
    ],
)
def test_a_held_message_that_is_not_as_described_is_refused(body):
    with pytest.raises(UsageError, match="did not arrive whole"):
        read_held_message(body)


@pytest.mark.parametrize("data", [b"", bytes(8), struct.pack("<d", float("inf")) + b"\xff\xd8\xff", bytes(5_000_000)])
def test_a_frame_message_without_time_or_picture_is_refused(data):
    with pytest.raises(UsageError):
        read_frame_message(data)


def test_a_frame_is_answered_with_its_own_time_and_what_is_seen(coach, guest, still):
    with connect(coach, f"/lessons/{guest.id}/live/frames?view=down_the_line&putter=without") as socket:
        socket.send_bytes(struct.pack("<d", 123.0) + still[0])
        seen = socket.receive_json()
    assert seen["t"] == 123.0
    assert seen["state"] == "searching"
    assert seen["says"] == "Looking for the student."
    assert seen["points"] is None
    assert seen["steps"] == []


@pytest.mark.parametrize("sent", [struct.pack("<d", 1.0) + b"no picture", b"short"])
def test_a_picture_that_is_none_ends_the_exchange_with_a_sentence(coach, guest, sent):
    with connect(coach, f"/lessons/{guest.id}/live/frames") as socket:
        socket.send_bytes(sent)
        assert "Open the page again" in (error := socket.receive_json()["error"]) or "smaller size" in error
        with pytest.raises(WebSocketDisconnect):
            socket.receive_json()


def test_no_more_cameras_are_followed_than_the_computer_can(coach, guest, monkeypatch):
    monkeypatch.setattr(live, "_going_on", live.threading.BoundedSemaphore(1))
    live._going_on.acquire()
    with connect(coach, f"/lessons/{guest.id}/live/frames") as socket:
        assert socket.receive_json() == {"error": live._TOO_MANY}


def test_what_is_said_often_is_said_by_the_library_in_these_words():
    rooms = [ROOT / "live", ROOT / "server" / "routes"]
    text = "".join(path.read_text(encoding="utf-8") for room in rooms for path in sorted(room.glob("*.py")))
    views = {f"{VIEW_TITLES[view].lower()}. Choose that one." for view in VIEW_TITLES}
    for sentence in SAID:
        said = next((sentence.removesuffix(view) for view in views if sentence.endswith(view)), sentence)
        assert said in text, sentence


def test_a_view_that_there_is_not_is_refused(coach, guest):
    with connect(coach, f"/lessons/{guest.id}/live/frames?view=above") as socket:
        assert "Open it again" in socket.receive_json()["error"]
