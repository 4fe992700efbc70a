"""Lessons whose clips are in a bucket: loaded where they are needed, and removed."""

import stat
import subprocess
import sys
import tempfile
from datetime import date
from pathlib import Path

import av
import pytest
from attrs import frozen
from written_clips import numbered_picture

from putt_posture.buckets import read_bucket_url
from putt_posture.errors import UnreadableClip
from putt_posture.services import BucketJob, JobResult, clips_at_hand, find_day_of_clips, stand_ins


@pytest.fixture
def scratch(tmp_path, monkeypatch):
    """The folder for temporary files, of this test alone."""
    folder = tmp_path / "scratch"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


@pytest.fixture
def stored_clip(bucket_server, bucket):
    def store(name, content=b"a clip"):
        return read_bucket_url(bucket_server.put(bucket, name, content)).look()

    return store


def left_in(folder):
    return [path for path in folder.rglob("*") if path.is_file()]


def test_clips_are_there_for_this_user_alone_and_gone_afterwards(stored_clip, scratch, tmp_path):
    local = tmp_path / "front.mov"
    local.write_bytes(b"here")
    with clips_at_hand({"down_the_line": stored_clip("12/side.mov"), "face_on": local}) as clips:
        assert clips["down_the_line"].name == "side.mov"
        assert clips["down_the_line"].read_bytes() == b"a clip"
        assert clips["face_on"] == local
        for place in (clips["down_the_line"], *clips["down_the_line"].parents):
            if place == scratch:
                break
            if place.name.startswith(".putt-posture-") or place.is_file():
                assert stat.S_IMODE(place.stat().st_mode) & 0o077 == 0
    assert left_in(scratch) == []
    assert local.exists()


def test_two_clips_of_the_same_name_do_not_meet(stored_clip, scratch):
    sources = {"down_the_line": stored_clip("a/clip.mov", b"side"), "face_on": stored_clip("b/clip.mov", b"front")}
    with clips_at_hand(sources) as clips:
        assert [clips[view].read_bytes() for view in sources] == [b"side", b"front"]


def test_nothing_is_left_where_one_of_two_clips_cannot_be_loaded(stored_clip, bucket, scratch):
    sources = {"down_the_line": stored_clip("side.mov"), "face_on": read_bucket_url(f"{bucket}/none.mov")}
    with pytest.raises(UnreadableClip, match="was not found"), clips_at_hand(sources):
        pass
    assert left_in(scratch) == []


_KILLED = """
import os, sys, tempfile
from putt_posture.buckets import read_bucket_url
from putt_posture.services import clips_at_hand
tempfile.tempdir = sys.argv[1]
with clips_at_hand({"face_on": read_bucket_url(sys.argv[2])}):
    os._exit(9)
"""


def test_what_a_killed_process_left_is_removed_by_the_next_one(stored_clip, scratch):
    clip = stored_clip("side.mov")
    ended = subprocess.run([sys.executable, "-c", _KILLED, str(scratch), str(clip)], check=False, timeout=300)
    assert ended.returncode == 9
    assert [path.name for path in left_in(scratch) if path.suffix == ".mov"] == ["side.mov"]
    with clips_at_hand({"face_on": clip}):
        assert [path.name for path in left_in(scratch) if path.suffix == ".mov"] == ["side.mov"]
    assert left_in(scratch) == []


@frozen
class _Reads:
    """A job that says what its clips hold."""

    clips: dict

    def run(self, *, progress=None):
        return JobResult(job=self, files={view: path.read_bytes() for view, path in self.clips.items()})


def test_a_job_is_done_with_its_clips_at_hand_and_gives_back_the_job_that_was_given(stored_clip, scratch):
    sources = {"face_on": stored_clip("front.mov")}
    job = _Reads(clips=stand_ins(sources))
    result = BucketJob(job=job, sources=sources).run()
    assert result.files == {"face_on": b"a clip"}
    assert result.job is job
    assert left_in(scratch) == []


@pytest.mark.parametrize("index_first", [True, False])
def test_the_day_is_read_from_the_ends_of_a_long_clip(stored_clip, scratch, tmp_path, monkeypatch, index_first):
    path = tmp_path / "side.mov"
    with av.open(str(path), "w", options={"movflags": "faststart"} if index_first else {}) as container:
        container.metadata["creation_time"] = "2026-11-07T12:00:00Z"
        stream = container.add_stream("libx264", rate=30, options={"crf": "0"})
        stream.width, stream.height, stream.pix_fmt = 128, 96, "yuv420p"
        for number in range(120):
            container.mux(stream.encode(av.VideoFrame.from_ndarray(numbered_picture(number), "rgb24")))
        container.mux(stream.encode(None))
    clip = stored_clip("side.mov", path.read_bytes())
    monkeypatch.setattr("putt_posture.services.bucket_clips._ENDS_BYTES", path.stat().st_size // 4)
    found = find_day_of_clips({"down_the_line": clip}, today=date(2026, 11, 27))
    assert found.day == date(2026, 11, 7)
    assert left_in(scratch) == []


def test_a_day_that_was_given_needs_no_clip(bucket):
    sources = {"face_on": read_bucket_url(f"{bucket}/none.mov")}
    assert find_day_of_clips(sources, given=date(2026, 11, 7), today=date(2026, 11, 27)).day == date(2026, 11, 7)


def test_clips_of_this_disk_are_taken_as_they_are(tmp_path):
    with clips_at_hand({"face_on": tmp_path / "front.mov"}) as clips:
        assert clips == {"face_on": tmp_path / "front.mov"}
    assert stand_ins({"face_on": Path("front.mov")}) == {"face_on": Path("front.mov")}
