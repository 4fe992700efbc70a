"""Reading a long clip takes no more memory than a short one, and a picture not handed out is never made."""

import gc
import hashlib
import subprocess
import sys
import weakref

import numpy as np
import pytest
from written_clips import numbered_picture, write_clip

from putt_posture.clips import MotionReader, frames, iterate_frames, read_clip, read_samples, streams
from putt_posture.clips.raster import Rasterizer

GROWTH_KB = 20_000
"""Peak memory may differ by this between runs; the longer clip has 300 more frames of 518 kB, 155 MB in all."""

PEAK = """
import resource, sys
from putt_posture.clips import MotionReader, read_clip, read_samples
clip = read_clip(sys.argv[1], view="face_on")
motion = MotionReader(clip)
count = sum(1 for frame in read_samples(clip, motion=motion))
print(count, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // (1024 if sys.platform == "darwin" else 1))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no peak memory in the standard library")
def test_peak_memory_is_that_of_a_short_clip(tmp_path):
    picture = numbered_picture(9, width=720, height=480)
    peaks = {}
    for count in (60, 360):
        options = {"preset": "ultrafast", "crf": "30"}
        path = write_clip(tmp_path / f"{count}.mp4", (picture for _ in range(count)), options=options)
        done = subprocess.run([sys.executable, "-c", PEAK, path], capture_output=True, text=True, check=True)
        read, peaks[count] = map(int, done.stdout.split())
        assert read == count
    assert peaks[360] - peaks[60] < GROWTH_KB


def test_only_the_frame_just_handed_out_is_alive(plain_clip):
    clip = read_clip(plain_clip, view="face_on")
    gc.disable()  # nothing may wait for the collector of cycles
    try:
        alive: list[weakref.ref] = []
        for frame in iterate_frames(clip):
            alive.append(weakref.ref(frame))
            assert sum(reference() is not None for reference in alive) <= 2
    finally:
        gc.enable()
    assert len(alive) == 90


def test_frames_that_are_not_handed_out_are_not_converted(plain_clip, monkeypatch):
    made = []
    convert = Rasterizer.picture
    monkeypatch.setattr(Rasterizer, "picture", lambda self, frame: made.append(frame.pts) or convert(self, frame))
    clip = read_clip(plain_clip, view="face_on")
    assert len(list(iterate_frames(clip, rate_hz=5))) == 15
    assert len(made) == 15


def test_motion_sees_every_frame_in_the_same_pass(plain_clip, monkeypatch):
    openings = []
    open_stream = frames.open_stream
    monkeypatch.setattr(frames, "open_stream", lambda path: openings.append(path) or open_stream(path))
    clip = read_clip(plain_clip, view="face_on")
    motion = MotionReader(clip)
    samples = list(read_samples(clip, rate_hz=3, max_side=64, motion=motion))
    assert len(openings) == 1
    assert len(samples) == 9
    assert len(motion.grid().times_s) == 89


@pytest.mark.parametrize("codec", ["libx264", "libx265"])
def test_one_thread_decodes_the_same_frames_as_several(tmp_path, monkeypatch, codec):
    path = write_clip(tmp_path / "clip.mp4", (numbered_picture(number) for number in range(40)), codec=codec)
    clip = read_clip(path, view="face_on")
    with streams.open_stream(path) as opened:
        assert opened.stream.thread_type.name == "SLICE"
    by_one = list(iterate_frames(clip))
    monkeypatch.setattr(streams, "_ONE_THREAD_PX", 0)
    with streams.open_stream(path) as opened:
        assert opened.stream.thread_type.name == "AUTO"
    by_several = list(iterate_frames(clip))
    assert [frame.time_s for frame in by_one] == [frame.time_s for frame in by_several]
    for one, other in zip(by_one, by_several, strict=True):
        np.testing.assert_array_equal(one.picture, other.picture)


def test_reading_may_stop_early(plain_clip):
    stream = iterate_frames(read_clip(plain_clip, view="face_on"))
    next(stream)
    stream.close()


def test_digest_is_that_of_the_whole_file(plain_clip):
    assert read_clip(plain_clip, view="face_on").sha256 == hashlib.sha256(plain_clip.read_bytes()).hexdigest()
