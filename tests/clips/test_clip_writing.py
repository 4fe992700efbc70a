"""A clip that is written: its pictures, times and colours come back, its size is bounded, mistakes are sentences."""

import io

import numpy as np
import pytest
from written_clips import number_of, numbered_picture, patch_colours

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.clips.writing import open_clip_writer
from putt_posture.errors import UsageError

SIZE = (128, 96)
TIMES_S = (0.0, 0.033, 0.067, 0.25, 0.26, 0.4)


def write(path, pictures, times_s, *, most_bytes=1_000_000, size_px=SIZE):
    with (
        path.open("wb") as out,
        open_clip_writer(
            out, size_px=size_px, most_frames=len(times_s), longest_s=times_s[-1], most_bytes=most_bytes
        ) as writer,
    ):
        for picture, time_s in zip(pictures, times_s, strict=True):
            writer.write(picture, time_s=time_s)
    return path


def test_pictures_and_uneven_times_come_back(tmp_path):
    path = write(tmp_path / "clip.mp4", (numbered_picture(each) for each in range(6)), TIMES_S)
    frames = list(iterate_frames(read_clip(path, view="face_on")))
    assert [number_of(frame.picture) for frame in frames] == list(range(6))
    assert [frame.time_s for frame in frames] == pytest.approx(TIMES_S, abs=1e-4)


def test_colours_come_back_within_what_the_codec_rounds(tmp_path):
    colours = np.array([(200, 40, 90), (20, 180, 60), (30, 60, 220), (128, 128, 128)], dtype=np.uint8)
    picture = np.repeat(colours, 32, axis=0)[None].repeat(96, axis=0)
    path = write(tmp_path / "clip.mp4", [picture] * 6, TIMES_S)
    shown = next(iterate_frames(read_clip(path, view="face_on"))).picture
    assert np.abs(patch_colours(shown, 4) - colours).max() <= 4


def test_the_list_of_frames_stands_before_the_pictures(tmp_path):
    data = write(tmp_path / "clip.mp4", (numbered_picture(each) for each in range(6)), TIMES_S).read_bytes()
    assert 0 < data.find(b"moov") < data.find(b"mdat")


@pytest.mark.parametrize("most_bytes", [60_000, 200_000])
def test_noise_stays_below_the_most_bytes(tmp_path, most_bytes):
    chance = np.random.default_rng(1)
    times = np.arange(60) / 30
    pictures = (chance.integers(0, 256, (96, 128, 3), dtype=np.uint8) for _ in times)
    path = write(tmp_path / "clip.mp4", pictures, times, most_bytes=most_bytes)
    assert path.stat().st_size <= most_bytes


@pytest.mark.parametrize(
    ("size", "count", "times", "says"),
    [
        ((127, 96), 1, (0.0, 1.0), "both must be even"),
        ((128, 98), 1, (0.0, 1.0), "came into a clip of"),
        ((128, 96), 2, (0.5, 0.5), "do not increase"),
        ((128, 96), 0, (0.0, 1.0), "without a picture"),
    ],
)
def test_a_mistake_is_one_sentence(size, count, times, says):
    with pytest.raises(UsageError, match=says):
        write_in_memory(times[:count], size_px=size)


def test_more_pictures_than_announced_are_refused():
    with pytest.raises(UsageError, match="More pictures came than the 1"):
        write_in_memory((0.0, 0.1), most_frames=1)


def write_in_memory(times, *, size_px=SIZE, most_frames=2):
    with open_clip_writer(
        io.BytesIO(), size_px=size_px, most_frames=most_frames, longest_s=1.0, most_bytes=100_000
    ) as writer:
        for time_s in times:
            writer.write(numbered_picture(1), time_s=time_s)
