"""Pictures come out upright in all twelve ways of turning and mirroring.

Outside truth: FFmpeg's own automatic rotation (its command line, another build than the library's), the
definition of the display matrix in ISO/IEC 14496-12, and Pillow's `ImageOps.exif_transpose`.
"""

import itertools
import shutil
import subprocess
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from written_clips import QUIET, numbered_picture, write_clip

from putt_posture.clips import iterate_frames, read_clip, read_frames_at
from putt_posture.clips.orientation import (
    Orientation,
    orientation_from_exif,
    orientation_from_matrix,
    orientation_from_turn,
)

CODING_NOISE_LEVELS = 6.0
"""Mean difference, 0 to 255, that two ways to enlarge the colour planes may make (a wrong turn makes over 40)."""

TURNS = [(degrees, *flip) for degrees in (0, 90, 180, 270) for flip in ((False, False), (True, False), (False, True))]
ALL = [Orientation(*flags) for flags in itertools.product((False, True), repeat=3)]

needs_ffmpeg = pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="the ffmpeg command is not installed")


def difference(one: np.ndarray, other: np.ndarray) -> float:
    assert one.shape == other.shape
    return float(np.abs(one.astype(int) - other).mean())


def shown_by_ffmpeg(path: Path, width: int, height: int) -> np.ndarray:
    command = ["ffmpeg", "-v", "error", "-i", str(path), "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "rgb24", "-"]
    raw = subprocess.run(command, capture_output=True, check=True).stdout
    return np.frombuffer(raw, np.uint8).reshape(height, width, 3)


@needs_ffmpeg
@pytest.mark.parametrize(("codec", "suffix"), [("libx264", "mp4"), ("libx265", "mov")])
@pytest.mark.parametrize("turn", TURNS, ids=str)
def test_picture_is_the_one_that_ffmpeg_shows(tmp_path, codec, suffix, turn):
    path = write_clip(tmp_path / f"turned.{suffix}", [numbered_picture(0b00101101)] * 3, codec=codec, turn=turn)
    clip = read_clip(path, view="face_on")
    shown = shown_by_ffmpeg(path, clip.width, clip.height)
    first, middle = next(iterate_frames(clip)), read_frames_at(clip, [0.05])[0]
    assert difference(first.picture, shown) < CODING_NOISE_LEVELS
    assert difference(middle.picture, shown) < CODING_NOISE_LEVELS
    assert first.picture.flags.c_contiguous
    assert clip.mirrored == (turn[1] != turn[2])
    assert any("mirrored" in note for note in clip.notes) == clip.mirrored


@needs_ffmpeg
@pytest.mark.parametrize("degrees", [0, 90, 180, 270])
def test_rotation_written_by_the_ffmpeg_command_is_undone(tmp_path, degrees):
    plain = write_clip(tmp_path / "plain.mp4", [numbered_picture(0b00101101)] * 3)
    flagged = tmp_path / "flagged.mp4"
    command = ["ffmpeg", "-v", "error", "-display_rotation", str(degrees), "-i", str(plain), "-c", "copy", str(flagged)]
    done = subprocess.run(command, check=False, capture_output=True)
    if done.returncode:  # the option came with FFmpeg 6
        tag = ["-metadata:s:v:0", f"rotate={degrees}"]
        subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", plain, "-c", "copy", *tag, flagged], check=True)
    clip = read_clip(flagged, view="face_on")
    assert clip.rotation_deg % 180 == degrees % 180  # which way is up to the version; the picture tells
    assert difference(next(iterate_frames(clip)).picture, shown_by_ffmpeg(flagged, clip.width, clip.height)) < (
        CODING_NOISE_LEVELS
    )


def test_small_picture_is_turned_like_the_full_one(tmp_path):
    path = write_clip(tmp_path / "turned.mp4", [numbered_picture(0b00101101)] * 2, turn=(90, True, False))
    clip = read_clip(path, view="face_on")
    full, small = next(iterate_frames(clip)), next(iterate_frames(clip, max_side=64))
    assert (clip.width, clip.height) == (96, 128)
    assert small.picture.shape == (64, 48, 3)
    assert small.scale == 0.5
    halved = full.picture.reshape(64, 2, 48, 2, 3).mean(axis=(1, 3))
    assert difference(small.picture, halved) < CODING_NOISE_LEVELS


@pytest.mark.parametrize("orientation", ALL, ids=str)
def test_turn_puts_each_pixel_where_the_display_matrix_sends_it(orientation):
    flip_x, flip_y = (-1 if orientation.flipped_x else 1), (-1 if orientation.flipped_y else 1)
    matrix = np.array([[0, flip_y], [flip_x, 0]] if orientation.transposed else [[flip_x, 0], [0, flip_y]])
    assert orientation_from_matrix(matrix * 65536) == orientation
    stored = np.arange(15, dtype=np.uint8).reshape(3, 5)
    upright = orientation.turn(stored)
    rows, columns = np.indices(stored.shape)
    sent = np.stack([columns, rows], axis=-1) @ matrix  # (x, y) as a row times [a b; c d]
    sent -= sent.min(axis=(0, 1))
    assert upright.shape[::-1] == orientation.size(5, 3)
    assert np.array_equal(upright[sent[..., 1], sent[..., 0]], stored)


@pytest.mark.parametrize("orientation", ALL, ids=str)
def test_reported_turn_after_unmirroring_brings_the_picture_upright(orientation):
    stored = np.arange(15, dtype=np.uint8).reshape(3, 5)
    unmirrored = stored[:, ::-1] if orientation.mirrored else stored
    expected = np.rot90(unmirrored, -orientation.rotation_deg // 90)
    assert np.array_equal(orientation.turn(stored), expected)
    assert orientation_from_turn(orientation.rotation_deg, mirrored=orientation.mirrored) == orientation


@given(degrees=st.floats(-44, 44), quarter=st.integers(0, 3))
def test_turn_off_a_right_angle_goes_to_the_nearest(degrees, quarter):
    angle = np.deg2rad(quarter * 90 + degrees)
    matrix = [[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]]
    assert orientation_from_matrix(np.array(matrix)).rotation_deg == quarter * 90


@pytest.mark.parametrize("number", [0, 9, None, "6"])
def test_senseless_exif_orientation_means_as_stored(number):
    assert orientation_from_exif(number) == Orientation()


@pytest.mark.parametrize(
    ("aspect", "size"), [(Fraction(4, 3), (171, 96)), (Fraction(1, 2), (128, 192)), (Fraction(1, 1), (128, 96))]
)
def test_pixels_that_are_not_square_are_made_square(tmp_path, aspect, size):
    path = write_clip(tmp_path / "wide.mp4", [numbered_picture(5)] * 2, pixel_aspect=aspect)
    clip = read_clip(path, view="face_on")
    frame = next(iterate_frames(clip))
    assert (clip.width, clip.height) == size
    assert frame.picture.shape == (size[1], size[0], 3)


def test_interlaced_and_odd_sized_clips_are_read(tmp_path):
    options = {**QUIET["libx264"], "x264-params": "interlaced=1:tff=1"}
    interlaced = write_clip(tmp_path / "interlaced.mp4", map(numbered_picture, range(6)), options=options)
    assert len(list(iterate_frames(read_clip(interlaced, view="face_on")))) == 6
    odd = write_clip(tmp_path / "odd.mp4", [numbered_picture(3, width=99, height=77)] * 3, pixel_format="yuv444p")
    clip = read_clip(odd, view="face_on")
    assert next(iterate_frames(clip)).picture.shape == (77, 99, 3)
    assert next(iterate_frames(clip, max_side=33)).picture.shape == (26, 33, 3)
