"""Clips that arrive in pieces: offsets, resuming, the check of the whole clip, limits, hostile names."""

import base64
import hashlib
import threading
import time
from pathlib import Path

import pytest

from putt_posture.server.clip_check import say_rates_differ
from putt_posture.server.drafts import AboutClip
from putt_posture.server.receiving import UploadRefused
from putt_posture.server.uploads import UploadStore

PICTURE = Path(__file__).parents[1] / "landmarks" / "pictures" / "golfer_face_on.jpg"
CLIP = next((Path(__file__).parents[2] / "sample_clips" / "before").glob("*face*.mp4"))
PIECE = {"content-type": "application/offset+octet-stream", "tus-resumable": "1.0.0"}
JSON = {"accept": "application/json"}


def announce(browser, draft, data, *, view="face_on", name="IMG_1.JPG", **more):
    told = {"draft": draft.id, "view": view, "size": len(data), "name": name, **more}
    answer = browser.post("/uploads", json=told, headers=JSON)
    assert answer.status_code == 201, answer.text
    return answer.json()["id"]


def send(browser, id, data, *, offset=0):
    return browser.patch(f"/uploads/{id}", content=data, headers={**PIECE, **JSON, "upload-offset": str(offset)})


def wait_for_check(browser, id):
    until = time.monotonic() + 90.0
    while (told := browser.get(f"/uploads/{id}").json())["state"] == "checking":
        assert time.monotonic() < until
        time.sleep(0.05)
    return told


def names(folder):
    return sorted(each.name for each in folder.rglob("*") if each.is_file())


def test_a_clip_arrives_in_pieces_and_is_taken_into_the_lesson(state, phone, draft):
    data = PICTURE.read_bytes()
    id = announce(phone, draft, data)
    first = send(phone, id, data[:20_000])
    assert (first.status_code, first.headers["upload-offset"]) == (204, "20000")
    assert phone.head(f"/uploads/{id}").headers["upload-offset"] == "20000"
    assert send(phone, id, data[20_000:], offset=20_000).headers["upload-offset"] == str(len(data))
    told = wait_for_check(phone, id)
    assert told["state"] == "whole"
    assert "540 × 960" in told["says"][0]
    kept = state.drafts.load(draft.id)
    place = state.drafts.clips_folder(draft.id) / kept.clips["face_on"]
    assert place.read_bytes() == data
    assert place.stat().st_mode & 0o077 == 0
    assert kept.about["face_on"].name == "IMG_1.JPG"
    assert kept.about["face_on"].sha256 == hashlib.sha256(data).hexdigest()


def test_a_piece_at_another_offset_is_refused_and_nothing_is_written(state, coach, draft):
    id = announce(coach, draft, b"0123456789")
    send(coach, id, b"01234")
    for offset in (0, 4, 6, 10):
        assert send(coach, id, b"56789", offset=offset).status_code == 409
    assert coach.head(f"/uploads/{id}").headers["upload-offset"] == "5"


def test_bytes_that_were_acknowledged_outlive_the_server(state, coach, draft):
    data = PICTURE.read_bytes()
    id = announce(coach, draft, data)
    send(coach, id, data[:30_000])
    state.uploads = UploadStore(state.drafts)  # another run
    state.uploads.resume()
    assert coach.head(f"/uploads/{id}").headers["upload-offset"] == "30000"
    send(coach, id, data[30_000:], offset=30_000)
    assert wait_for_check(coach, id)["state"] == "whole"


def test_bytes_that_were_not_acknowledged_are_sent_again(state, draft):
    """After a power failure a file may have its new length before it has its bytes."""
    store = state.uploads
    id = store.begin(draft=draft.id, view="face_on", size=10, name="a").id
    receiver = store.receive(id, offset=0)
    receiver.write(b"01234")
    receiver.close()
    with (state.drafts.uploads_folder(draft.id) / id[16:] / "data").open("ab") as file:
        file.write(b"\0\0\0")
    assert UploadStore(state.drafts).status(id).offset == 5


def test_an_offset_is_told_only_once_it_is_on_the_disk(state, draft, monkeypatch):
    synced = []
    monkeypatch.setattr("os.fsync", lambda number: synced.append(number))
    store = state.uploads
    id = store.begin(draft=draft.id, view="face_on", size=10, name="a").id
    receiver = store.receive(id, offset=0)
    receiver.write(b"01234")
    synced.clear()
    assert store.status(id).offset == 5
    assert len(synced) == 2  # the bytes, and their number
    assert receiver.close() == 5


def test_a_clip_that_was_whole_at_a_restart_is_checked_then(state, coach, draft):
    data = PICTURE.read_bytes()
    id = announce(coach, draft, data)
    receiver = state.uploads.receive(id, offset=0)
    receiver.write(data)
    receiver.close()  # and the server is stopped before the check
    state.uploads = UploadStore(state.drafts)
    state.uploads.resume()
    assert wait_for_check(coach, id)["state"] == "whole"


@pytest.mark.parametrize("done", ["moved", "taken"])
def test_a_check_that_was_stopped_is_done_again(state, coach, draft, monkeypatch, done):
    """The server is stopped after the clip was moved to its place, or after the lesson had taken it."""
    data = PICTURE.read_bytes()
    id = announce(coach, draft, data)
    stop = "_take" if done == "moved" else "_write_verdict"

    def stopped(*_given):
        raise OSError("stopped")

    with monkeypatch.context() as patch:
        patch.setattr(UploadStore, stop, stopped)
        send(coach, id, data)
        folder, until = state.drafts.clips_folder(draft.id), time.monotonic() + 60.0
        while not names(folder) or (done == "taken" and not state.drafts.load(draft.id).clips):
            assert time.monotonic() < until
            time.sleep(0.05)
        state.uploads._checks.shutdown(wait=True)
    state.uploads = UploadStore(state.drafts)
    state.uploads.resume()
    assert wait_for_check(coach, id)["state"] == "whole"
    assert names(folder) == [state.drafts.load(draft.id).clips["face_on"]]


def test_a_piece_that_is_sent_once_more_takes_over_from_one_that_hangs(state, draft):
    """The phone lost its network and is back; the old connection still stands."""
    store = state.uploads
    id = store.begin(draft=draft.id, view="face_on", size=10, name="a").id
    old = store.receive(id, offset=0)
    old.write(b"012")
    new = store.receive(id, offset=store.status(id).offset)
    with pytest.raises(UploadRefused):
        old.write(b"XXX")
    new.write(b"3456789")
    assert old.close() == 10
    assert new.close() == 10
    assert (state.drafts.uploads_folder(draft.id) / id[16:] / "data").read_bytes() == b"0123456789"


def test_more_bytes_than_announced_are_refused(coach, draft):
    id = announce(coach, draft, b"01234")
    assert send(coach, id, b"0123456789").status_code == 413
    assert coach.head(f"/uploads/{id}").headers["upload-offset"] == "0"


def test_what_is_no_clip_is_refused_in_a_sentence_and_erased(state, coach, draft):
    data = b"<html>not a clip</html>"
    id = announce(coach, draft, data, name="evil.mp4")
    send(coach, id, data)
    told = wait_for_check(coach, id)
    assert told["state"] == "refused"
    assert told["says"] == [
        "evil.mp4 is not a video or picture that can be read. Pick the clip as the phone stored it."
    ]
    until = time.monotonic() + 60.0
    while names(state.drafts.clips_folder(draft.id)):  # the verdict is written first, so that no stop loses it
        assert time.monotonic() < until
        time.sleep(0.05)
    assert "data" not in names(state.drafts.uploads_folder(draft.id))
    assert state.drafts.load(draft.id).clips == {}


def test_a_clip_with_other_bytes_than_announced_is_refused(coach, draft):
    data = PICTURE.read_bytes()
    id = announce(coach, draft, data, digest=hashlib.sha256(b"other").hexdigest())
    send(coach, id, data)
    told = wait_for_check(coach, id)
    assert told["state"] == "refused"
    assert "other bytes than were sent" in told["says"][0]


def test_a_second_clip_of_a_view_takes_the_place_of_the_first(state, coach, draft):
    for name in ("one.jpg", "two.jpg"):
        data = PICTURE.read_bytes()
        id = announce(coach, draft, data, name=name)
        send(coach, id, data)
        assert wait_for_check(coach, id)["state"] == "whole"
    kept = state.drafts.load(draft.id)
    assert kept.about["face_on"].name == "two.jpg"
    assert names(state.drafts.clips_folder(draft.id)) == [kept.clips["face_on"]]


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("../../../etc/passwd", "passwd"),
        ("C:\\clips\\a.mp4", "a.mp4"),
        ("/dev/null", "null"),
        ("a\x00b\x1b[31m.mov", "a\\u0000b\\u001b[31m.mov"),
        ("gpj.\u202eexe", "gpj.\\u202eexe"),
        ("<script>alert(1)</script>.mp4", "script>.mp4"),
        ("", "clip"),
        ("x" * 5000, "x" * 80),
        ("CON.mp4", "CON.mp4"),
        ("a.exe", "a.exe"),
    ],
)
def test_the_name_of_a_clip_is_only_shown(state, coach, draft, name, shown):
    id = announce(coach, draft, b"12345", name=name)
    assert coach.get(f"/uploads/{id}").json()["name"] == shown
    place = state.uploads._place(state.uploads.find(id))
    assert place.parent == state.drafts.clips_folder(draft.id)
    assert place.name.removesuffix(".mp4").removesuffix(".mov") == f"face_on-{id[16:]}"


@pytest.mark.parametrize(
    "told",
    [
        "not json",
        [],
        {"draft": "0" * 16, "view": "face_on", "size": 5, "name": "a"},
        {"draft": "../..", "view": "face_on", "size": 5, "name": "a"},
        {"view": "face_on", "size": 5, "name": "a"},
        {"draft": "here", "view": "from above", "size": 5, "name": "a"},
        {"draft": "here", "view": "face_on", "size": 0, "name": "a"},
        {"draft": "here", "view": "face_on", "size": -1, "name": "a"},
        {"draft": "here", "view": "face_on", "size": True, "name": "a"},
        {"draft": "here", "view": "face_on", "size": 1e9, "name": "a"},
        {"draft": "here", "view": "face_on", "size": 2_000_000_001, "name": "a"},
        {"draft": "here", "view": "face_on", "size": 5, "name": 7},
        {"draft": "here", "view": "face_on", "size": 5, "name": "a", "digest": "zz"},
    ],
)
def test_a_wrong_announcement_is_refused_in_a_sentence(state, coach, draft, told):
    if isinstance(told, dict) and told.get("draft") == "here":
        told = {**told, "draft": draft.id}
    answer = coach.post("/uploads", json=told, headers=JSON)
    assert answer.status_code in (400, 413)
    assert answer.json()["says"].endswith(".")
    assert list(state.drafts.uploads_folder(draft.id).iterdir()) == []


def test_headers_that_cannot_be_read_are_refused(coach, draft):
    id = announce(coach, draft, b"01234")
    for offset in ("", "-1", "x", "1.5", "٣", "9" * 30):
        headers = {**PIECE, "upload-offset": offset.encode()}
        assert coach.patch(f"/uploads/{id}", content=b"0", headers=headers).status_code in (400, 409)
    assert coach.patch(f"/uploads/{id}", content=b"0", headers={"upload-offset": "0"}).status_code == 415


def test_whatever_speaks_tus_can_send_a_clip(coach, draft):
    told = {"draft": draft.id, "view": "face_on", "filename": "Übung.jpg"}
    metadata = ",".join(f"{key} {base64.b64encode(value.encode()).decode()}" for key, value in told.items())
    answer = coach.post("/uploads", headers={"upload-length": "5", "upload-metadata": metadata, **PIECE})
    assert answer.status_code == 201
    assert answer.headers["tus-resumable"] == "1.0.0"
    place = answer.headers["location"]
    assert coach.patch(place, content=b"01", headers={**PIECE, "upload-offset": "0"}).headers["upload-offset"] == "2"
    told = coach.head(place)
    assert (told.headers["upload-offset"], told.headers["upload-length"]) == ("2", "5")
    assert coach.get(place).json()["name"] == "Übung.jpg"
    assert coach.delete(place).status_code == 204
    assert coach.head(place).status_code == 404


def test_a_cancelled_upload_leaves_nothing(state, coach, draft):
    id = announce(coach, draft, b"0123456789")
    send(coach, id, b"01234")
    assert coach.delete(f"/uploads/{id}").status_code == 204
    assert names(state.drafts.uploads_folder(draft.id)) == []
    assert send(coach, id, b"56789", offset=5).status_code == 404


def test_an_upload_into_a_lesson_that_is_thrown_away_ends(state, draft):
    store = state.uploads
    id = store.begin(draft=draft.id, view="face_on", size=10, name="a").id
    receiver = store.receive(id, offset=0)
    receiver.write(b"01234")
    state.drafts.erase(draft.id)
    with pytest.raises(UploadRefused):
        receiver.close()
    with pytest.raises(UploadRefused, match="not known any more"):
        store.status(id)
    assert not state.drafts.clips_folder(draft.id).exists()


def test_room_on_the_disk_is_kept_free_for_all_that_was_announced(state, coach, draft):
    from collections import namedtuple

    usage = namedtuple("usage", "free")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("shutil.disk_usage", lambda _place: usage(1_000_000_000 + 1500))
        announce(coach, draft, b"x" * 1000)
        told = {"draft": draft.id, "view": "face_on", "size": 1000, "name": "b.mov"}
        answer = coach.post("/uploads", json=told, headers=JSON)
    assert answer.status_code == 507
    assert "not enough room" in answer.json()["says"]


def test_a_full_disk_is_told_and_the_upload_goes_on_later(state, coach, draft, monkeypatch):
    import errno
    import os

    id = announce(coach, draft, b"0123456789")
    send(coach, id, b"01234")

    def full(_number):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr("os.fsync", full)
        answer = send(coach, id, b"567", offset=5)
    assert answer.status_code == 507
    assert "no space left" in answer.json()["says"]
    assert coach.head(f"/uploads/{id}").headers["upload-offset"] == "5"
    assert send(coach, id, b"56789", offset=5).headers["upload-offset"] == "10"


def test_so_many_pieces_are_received_at_once_and_no_more(state, draft):
    store = UploadStore(state.drafts, most_at_once=2)
    ids = [store.begin(draft=draft.id, view="face_on", size=10, name="a").id for _ in range(3)]
    receivers = [store.receive(id, offset=0) for id in ids[:2]]
    with pytest.raises(UploadRefused) as refused:
        store.receive(ids[2], offset=0)
    assert refused.value.status == 503
    receivers[0].close()
    store.receive(ids[2], offset=0).close()
    receivers[1].close()


def test_two_clips_that_arrive_at_once_are_both_taken(state, coach, draft):
    """Each changes the same draft."""
    data = {"face_on": PICTURE.read_bytes(), "down_the_line": CLIP.read_bytes()}
    ids = {view: announce(coach, draft, each, view=view) for view, each in data.items()}
    threads = [threading.Thread(target=send, args=(coach, ids[view], each)) for view, each in data.items()]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {wait_for_check(coach, id)["state"] for id in ids.values()} == {"whole"}
    assert set(state.drafts.load(draft.id).clips) == set(data)
    said = " ".join(state.drafts.load(draft.id).about["down_the_line"].says)
    assert "30 frames a second" in said
    assert "h264" in said


def test_a_rate_that_fell_is_told():
    fast, slow = (AboutClip(name="a", sha256="", rate_hz=rate) for rate in (59.94, 29.97))
    assert "has 30 frames a second, and the face-on clip has 59.9" in say_rates_differ(
        "down_the_line", slow, "face_on", fast
    )
    assert say_rates_differ("down_the_line", fast, "face_on", slow) == ""
    assert say_rates_differ("down_the_line", AboutClip(name="a", sha256=""), "face_on", fast) == ""
