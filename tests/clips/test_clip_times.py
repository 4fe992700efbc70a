"""Frames carry the times that were written, whatever the order they are stored in.

Outside truth: the time stamps given to the encoder, and the number that each picture carries.
"""

import shutil
import subprocess

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from written_clips import QUIET, TICKS_A_SECOND, number_of, numbered_picture, write_clip

from putt_posture.clips import iterate_frames, read_clip, read_frames_at
from putt_posture.errors import UsageError

TICK_S = 1.5 / TICKS_A_SECOND
"""Rounding of a time to the clock of an MP4 file, and again to the clock of the test's encoder."""

MILLISECOND_S = 0.00101
"""Rounding to the clock of a Matroska file, 1 ms."""

needs_ffmpeg = pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="the ffmpeg command is not installed")


def numbers_and_times(clip, **options):
    frames = list(iterate_frames(clip, **options))
    return [number_of(frame.picture) for frame in frames], np.array([frame.time_s for frame in frames])


@pytest.mark.parametrize(
    ("codec", "suffix", "tolerance"),
    [
        ("libx264", "mp4", TICK_S),
        ("libx265", "mov", TICK_S),
        ("libx264", "mkv", MILLISECOND_S),
        ("libx264", "ts", TICK_S),
    ],
)
def test_variable_rate_with_a_gap_keeps_its_times(tmp_path, codec, suffix, tolerance):
    gaps = np.tile([1 / 30, 1 / 24, 1 / 60, 1 / 30], 10)
    gaps[17] = 0.8
    times = np.concatenate([[0.0], np.cumsum(gaps)])
    path = write_clip(tmp_path / f"uneven.{suffix}", map(numbered_picture, range(41)), codec=codec, times_s=times)
    clip = read_clip(path, view="face_on")
    numbers, found = numbers_and_times(clip)
    assert numbers == list(range(41))
    assert np.abs(found - times).max() < tolerance
    assert clip.variable_rate
    assert clip.rate_hz == pytest.approx(40 / times[-1], rel=1e-3)


@pytest.mark.parametrize("codec", ["libx264", "libx265"])
def test_frames_stored_out_of_order_come_in_order(tmp_path, codec):
    options = {"libx264": {"bf": "4", "b-pyramid": "normal", "g": "20"}}.get(
        codec, {"x265-params": "log-level=none:bframes=4:keyint=20:open-gop=1"}
    )
    path = write_clip(tmp_path / "b.mp4", map(numbered_picture, range(60)), codec=codec, options=options)
    clip = read_clip(path, view="face_on")
    numbers, times = numbers_and_times(clip)
    assert numbers == list(range(60))
    assert np.abs(times - np.arange(60) / 30).max() < TICK_S
    assert not clip.variable_rate
    assert clip.rate_hz == pytest.approx(30, rel=1e-3)
    assert clip.duration_s == pytest.approx(2.0, abs=1e-3)
    for number in (0, 19, 20, 21, 41, 59):  # around key frames
        assert number_of(read_frames_at(clip, [number / 30])[0].picture) == number


def test_clip_that_starts_late_counts_from_its_first_frame(tmp_path):
    times = 7.25 + np.arange(20) / 25
    path = write_clip(tmp_path / "late.mkv", map(numbered_picture, range(20)), times_s=times)
    clip = read_clip(path, view="face_on")
    numbers, found = numbers_and_times(clip)
    assert numbers == list(range(20))
    assert np.abs(found - np.arange(20) / 25).max() < MILLISECOND_S
    assert clip.duration_s == pytest.approx(0.8, abs=0.01)


@needs_ffmpeg
def test_frames_cut_away_by_an_edit_list_are_not_shown(tmp_path, plain_clip):
    cut = tmp_path / "cut.mp4"
    subprocess.run(["ffmpeg", "-v", "error", "-ss", "1.5", "-i", plain_clip, "-c", "copy", cut], check=True)
    clip = read_clip(cut, view="face_on")
    numbers, times = numbers_and_times(clip)
    assert numbers == list(range(45, 90))
    assert np.abs(times - np.arange(45) / 30).max() < TICK_S
    assert clip.duration_s == pytest.approx(1.5, abs=1e-3)
    assert not clip.notes


def test_bare_stream_without_times_is_taken_at_its_nominal_rate(tmp_path):
    path = write_clip(tmp_path / "bare.h264", map(numbered_picture, range(30)), rate_hz=25)
    clip = read_clip(path, view="face_on")
    numbers, times = numbers_and_times(clip)
    assert numbers == list(range(30))
    assert np.allclose(np.diff(times), 1 / 25)
    assert number_of(read_frames_at(clip, [0.8])[0].picture) == 20


@pytest.mark.parametrize("suffix", ["mp4", "mkv"])
def test_slow_clip_or_one_with_a_long_last_frame_is_not_taken_as_cut_short(tmp_path, suffix):
    slow = write_clip(tmp_path / f"slow.{suffix}", map(numbered_picture, range(4)), rate_hz=2)
    assert read_clip(slow, view="face_on").notes == ()
    times = [*np.arange(30) / 30, 2.4]
    paused = write_clip(tmp_path / f"paused.{suffix}", map(numbered_picture, range(31)), times_s=times)
    clip = read_clip(paused, view="face_on")
    assert clip.notes == ()
    assert clip.duration_s == pytest.approx(2.4, abs=0.1)


@pytest.mark.parametrize("rate_hz", [24, 60, 120, 240])
def test_rate_and_duration_are_those_written(tmp_path, rate_hz):
    path = write_clip(tmp_path / "rate.mp4", map(numbered_picture, range(48)), rate_hz=rate_hz)
    clip = read_clip(path, view="down_the_line")
    assert clip.rate_hz == pytest.approx(rate_hz, rel=1e-3)
    assert clip.duration_s == pytest.approx(48 / rate_hz, rel=1e-3)
    assert clip.view == "down_the_line"


def test_stretched_slow_motion_runs_slower_than_the_world(plain_clip):
    clip = read_clip(plain_clip, view="face_on", capture_rate_hz=240)
    assert clip.time_stretch == pytest.approx(8, rel=1e-3)
    assert clip.real_seconds(2.0) == pytest.approx(0.25, rel=1e-3)
    assert read_clip(plain_clip, view="face_on", capture_rate_hz=29.97).time_stretch == 1.0


@pytest.mark.parametrize("rate_hz", [25, 0, -240, float("nan")])
def test_capture_rate_below_the_stored_rate_is_refused(plain_clip, rate_hz):
    with pytest.raises(UsageError, match=r"capture rate .* below the 30 that plain\.mp4 stores"):
        read_clip(plain_clip, view="face_on", capture_rate_hz=rate_hz)


@pytest.mark.parametrize(("rate_hz", "expected"), [(10, range(0, 90, 3)), (15, range(0, 90, 2)), (1, (0, 30, 60))])
def test_thinning_takes_an_even_grid_of_times(plain_clip, rate_hz, expected):
    numbers, _ = numbers_and_times(read_clip(plain_clip, view="face_on"), rate_hz=rate_hz)
    assert numbers == list(expected)


def test_thinning_of_an_uneven_clip_goes_by_time_not_by_count(tmp_path):
    times = np.concatenate([np.arange(60) / 60, 1 + np.arange(30) / 15])
    path = write_clip(tmp_path / "uneven.mp4", map(numbered_picture, range(90)), times_s=times)
    _, found = numbers_and_times(read_clip(path, view="face_on"), rate_hz=5)
    assert len(found) == 15
    assert np.abs(found - np.arange(15) / 5).max() <= 1 / 30 + TICK_S  # half the widest spacing of frames


def test_start_and_stop_are_both_included(plain_clip):
    clip = read_clip(plain_clip, view="face_on")
    numbers, times = numbers_and_times(clip, start_s=1.4, stop_s=1.5)
    assert numbers == [42, 43, 44, 45]
    assert times[0] == pytest.approx(1.4, abs=TICK_S)
    assert numbers_and_times(clip, start_s=2.9)[0] == [87, 88, 89]


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(times=st.lists(st.floats(-1, 5), min_size=1, max_size=5))
def test_nearest_frame_is_found_for_any_times_in_any_order(plain_clip, times):
    clip = read_clip(plain_clip, view="face_on")
    frames = read_frames_at(clip, times, max_side=64)
    for time, frame in zip(times, frames, strict=True):
        best = min(max(time, 0.0), 89 / 30)
        assert abs(frame.time_s - best) <= 0.5 / 30 + TICK_S
        assert number_of(frame.picture) == round(frame.time_s * 30)


def test_times_far_apart_are_reached_by_a_jump(tmp_path):
    options = {**QUIET["libx264"], "g": "15"}
    path = write_clip(tmp_path / "long.mp4", map(numbered_picture, range(240)), rate_hz=10, options=options)
    clip = read_clip(path, view="face_on")
    frames = read_frames_at(clip, [22.0, 0.3, 11.1, 11.2, 30.0])
    assert [number_of(frame.picture) for frame in frames] == [220, 3, 111, 112, 239]


def test_no_times_give_no_frames_and_a_time_that_is_not_a_number_is_refused(plain_clip):
    clip = read_clip(plain_clip, view="face_on")
    assert read_frames_at(clip, []) == []
    with pytest.raises(UsageError, match="not a number"):
        read_frames_at(clip, [float("nan")])


@pytest.mark.parametrize("options", [{"rate_hz": 0}, {"rate_hz": float("nan")}, {"max_side": 0}])
def test_senseless_rate_or_size_is_refused_at_once(plain_clip, options):
    with pytest.raises(UsageError, match="must be"):
        iterate_frames(read_clip(plain_clip, view="face_on"), **options)
