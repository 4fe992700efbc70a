"""Colours come out as they were put in, for each matrix, range and depth of the code.

Outside truth: code values worked out in the test from the luma weights and levels of ITU-R BT.601-7,
BT.709-6 and BT.2020-2, stored without loss.
"""

import av
import numpy as np
import pytest
from av.video.reformatter import ColorRange
from written_clips import EXACT, patch_colours, patches_frame, write_clip

from putt_posture.clips import iterate_frames, read_clip

ROUNDING_LEVELS = 2.5
"""8-bit limited codes step by 1.16 levels in luma and up to 2.1 in blue (BT.709); half of that, and rounding."""

WEIGHTS = {"601": (0.299, 0.114), "709": (0.2126, 0.0722), "2020": (0.2627, 0.0593)}
"""Red and blue luma weights: BT.601-7 §2.5.1, BT.709-6 §3.2, BT.2020-2 table 4."""

H273 = {"601": 6, "709": 1, "2020": 9}
"""Matrix coefficients of ITU-T H.273, table 4."""

COLOURS = np.array([(192, 64, 48), (48, 160, 80), (48, 80, 192), (128, 128, 128), (235, 235, 235), (20, 20, 20)])


def codes(colours, matrix, *, full_range, bits=8):
    red_weight, blue_weight = WEIGHTS[matrix]
    red, green, blue = colours.T / 255
    luma = red_weight * red + (1 - red_weight - blue_weight) * green + blue_weight * blue
    blue_difference = (blue - luma) / (2 - 2 * blue_weight)
    red_difference = (red - luma) / (2 - 2 * red_weight)
    unit = 2 ** (bits - 8)
    if full_range:
        scaled = (luma * 255, blue_difference * 255 + 128, red_difference * 255 + 128)
    else:
        scaled = (luma * 219 + 16, blue_difference * 224 + 128, red_difference * 224 + 128)
    return np.rint(unit * np.stack(scaled, axis=1)).astype(int).tolist()


@pytest.mark.parametrize("full_range", [False, True], ids=["limited", "full"])
@pytest.mark.parametrize("matrix", ["601", "709", "2020"])
def test_colours_survive_each_matrix_and_range(tmp_path, matrix, full_range):
    frame = patches_frame(codes(COLOURS, matrix, full_range=full_range))
    colours = {"colorspace": H273[matrix], "color_range": 2 if full_range else 1, "color_primaries": 1, "color_trc": 1}
    path = write_clip(tmp_path / "patches.mp4", [frame], options=EXACT["libx264"], colours=colours)
    clip = read_clip(path, view="face_on")
    for max_side in (None, 96):
        picture = next(iterate_frames(clip, max_side=max_side)).picture
        assert np.abs(patch_colours(picture, len(COLOURS)) - COLOURS).max() < ROUNDING_LEVELS


@pytest.mark.parametrize(("height", "matrix"), [(480, "601"), (720, "709")])
def test_untagged_clip_is_taken_by_its_size(tmp_path, height, matrix):
    frame = patches_frame(codes(COLOURS, matrix, full_range=False), patch=128, height=height)
    path = write_clip(tmp_path / "untagged.mp4", [frame], options=EXACT["libx264"])
    picture = next(iterate_frames(read_clip(path, view="face_on"), max_side=192)).picture
    assert np.abs(patch_colours(picture, len(COLOURS)) - COLOURS).max() < ROUNDING_LEVELS


@pytest.mark.parametrize("full_range", [False, True], ids=["limited", "full"])
def test_ten_bit_standard_range_stays_as_it_is(tmp_path, full_range):
    frame = patches_frame(codes(COLOURS, "709", full_range=full_range, bits=10), pixel_format="yuv420p10le")
    colours = {"colorspace": 1, "color_range": 2 if full_range else 1, "color_primaries": 1, "color_trc": 1}
    params = "log-level=none:lossless=1:range=" + ("full" if full_range else "limited")
    path = write_clip(
        tmp_path / "deep.mp4",
        [frame] * 4,
        codec="libx265",
        pixel_format="yuv420p10le",
        options={"x265-params": params},
        colours=colours,
    )
    clip = read_clip(path, view="face_on")
    picture = next(iterate_frames(clip)).picture
    assert (clip.transfer, clip.codec, clip.pixel_format) == ("sdr", "hevc", "yuv420p10le")
    assert np.abs(patch_colours(picture, len(COLOURS)) - COLOURS).max() < ROUNDING_LEVELS


@pytest.mark.parametrize(
    ("codec", "suffix", "pixel_format", "name"),
    [
        ("prores_ks", "mov", "yuv422p10le", "prores"),
        ("libsvtav1", "mp4", "yuv420p", "av1"),
        ("libvpx-vp9", "webm", "yuv420p", "vp9"),
        ("mjpeg", "avi", "yuvj420p", "mjpeg"),
    ],
)
def test_other_codes_of_phones_and_editors_are_read(tmp_path, monkeypatch, codec, suffix, pixel_format, name):
    monkeypatch.setenv("SVT_LOG", "0")
    if codec not in av.codecs_available:
        pytest.skip(f"this build of PyAV cannot write {codec}")
    frame = av.VideoFrame.from_ndarray(np.repeat(np.repeat(COLOURS[None].astype(np.uint8), 32, 1), 64, 0), "rgb24")
    matrix = "ITU601" if name == "mjpeg" else "ITU709"  # JPEG is BT.601 (ITU-T T.871)
    converted = [frame.reformat(format=pixel_format, dst_colorspace=matrix) for _ in range(5)]
    colours = {
        "colorspace": 5 if name == "mjpeg" else 1,
        "color_range": int(ColorRange.JPEG if "j" in pixel_format else ColorRange.MPEG),
    }
    path = write_clip(tmp_path / f"clip.{suffix}", converted, codec=codec, pixel_format=pixel_format, colours=colours)
    clip = read_clip(path, view="face_on")
    frames = list(iterate_frames(clip))
    assert clip.codec == name
    assert len(frames) == 5
    assert np.abs(patch_colours(frames[-1].picture, 6) - COLOURS).max() < 12  # lossy: a wrong matrix is further off
