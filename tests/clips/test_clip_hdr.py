"""HDR is toned to the picture that the standards' own formulas give.

Outside truth, worked out here a second time with plain numbers:

- ITU-R BT.2408, table 1: an 18 % grey card is 26 cd/m², 38 % of the HLG and 38 % of the PQ signal; reference
  white is 203 cd/m², 75 % HLG, 58 % PQ (both to a whole per cent);
- ITU-R BT.2100-2: constants of both transfer functions; 10-bit limited range is 64 to 940;
- ITU-R BT.2390: the roll-off spline;
- ITU-R BT.2087-0: matrix from BT.709 to BT.2020;
- IEC 61966-2-1: sRGB.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from written_clips import patch_colours, patches_frame, write_clip

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.clips.hdr import tone_picture

CODE_LEVELS = 1.0
"""Rounding of the 8-bit result, and half a level for the steps of tables and of colour conversion."""

WHOLE_PER_CENT_LEVELS = 3.0
"""The published levels are whole per cents: half a per cent of PQ near 203 cd/m² is 4 % of light, 3 levels."""

COLOUR_LEVELS = 3.0
"""The matrices have four digits, and colour planes are rounded to 10 bits."""

H273_TRANSFER = {"pq": 16, "hlg": 18}


def pq_signal(light: float) -> float:
    power = (light / 10000) ** 0.1593017578125
    return ((0.8359375 + 18.8515625 * power) / (1 + 18.6875 * power)) ** 78.84375


def pq_light(signal: float) -> float:
    power = signal ** (1 / 78.84375)
    return 10000 * (max(power - 0.8359375, 0) / (18.8515625 - 18.6875 * power)) ** (1 / 0.1593017578125)


def hlg_light(signal: float) -> float:
    """Light of a grey on the 1000 cd/m² display."""
    scene = signal**2 / 3 if signal <= 0.5 else (math.exp((signal - 0.55991073) / 0.17883277) + 0.28466892) / 12
    return 1000 * scene**1.2


def srgb_code(light: float) -> float:
    return 255 * (12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055)


def toned_code(light: float) -> float:
    peak, most = pq_signal(1000), pq_signal(203) / pq_signal(1000)
    signal = min(pq_signal(light) / peak, 1.0)
    knee = 1.5 * most - 0.5
    if signal >= knee:
        t = (signal - knee) / (1 - knee)
        signal = (2 * t**3 - 3 * t**2 + 1) * knee + (t**3 - 2 * t**2 + t) * (1 - knee) + (-2 * t**3 + 3 * t**2) * most
    return srgb_code(min(pq_light(signal * peak) / 203, 1.0))


def hdr_clip(path, codes, transfer):
    return write_clip(
        path,
        [patches_frame(codes, pixel_format="yuv420p10le")] * 4,
        codec="libx265",
        pixel_format="yuv420p10le",
        options={
            "x265-params": "log-level=none:lossless=1:colorprim=bt2020:colormatrix=bt2020nc:transfer="
            + {"pq": "smpte2084", "hlg": "arib-std-b67"}[transfer]
        },
        colours={"colorspace": 9, "color_primaries": 9, "color_trc": H273_TRANSFER[transfer], "color_range": 1},
    )


def greys(signals):
    return [(round(64 + 876 * signal), 512, 512) for signal in signals]


@pytest.mark.parametrize("max_side", [None, 128])
@pytest.mark.parametrize("transfer", ["hlg", "pq"])
def test_greys_have_the_levels_of_the_formulas(tmp_path, transfer, max_side):
    signals = [0.0, 0.1, 0.25, 0.38, 0.5, 0.58, 0.75, 1.0]
    clip = read_clip(hdr_clip(tmp_path / "hdr.mp4", greys(signals), transfer), view="face_on")
    assert clip.transfer == transfer
    found = patch_colours(next(iterate_frames(clip, max_side=max_side)).picture, len(signals))
    light = {"hlg": hlg_light, "pq": pq_light}[transfer]
    expected = np.array([toned_code(light((code - 64) / 876)) for code, _, _ in greys(signals)])
    assert np.abs(found - expected[:, None]).max() < CODE_LEVELS


def test_published_levels_of_both_systems_give_one_picture(tmp_path):
    pictures = {}
    for transfer, signals in {"hlg": (0.38, 0.75), "pq": (0.38, 0.58)}.items():
        path = hdr_clip(tmp_path / f"{transfer}.mp4", greys(signals), transfer)
        frame = next(iterate_frames(read_clip(path, view="face_on")))
        pictures[transfer] = patch_colours(frame.picture, 2)
    assert np.abs(pictures["hlg"] - pictures["pq"]).max() < WHOLE_PER_CENT_LEVELS
    grey_card, white = pictures["hlg"].mean(axis=1)
    assert grey_card == pytest.approx(srgb_code(26 / 203), abs=WHOLE_PER_CENT_LEVELS)
    assert white == pytest.approx(toned_code(203), abs=WHOLE_PER_CENT_LEVELS)
    assert white > 217  # reference white still looks white: 90 % of the sRGB range is 229, 85 % is 217


def test_colour_of_the_narrow_gamut_comes_back_through_the_wide_one(tmp_path):
    to_2020 = np.array([[0.6274, 0.3293, 0.0433], [0.0691, 0.9195, 0.0114], [0.0164, 0.0880, 0.8956]])
    colours = np.array([(0.30, 0.05, 0.04), (0.06, 0.25, 0.08), (0.05, 0.08, 0.35), (0.35, 0.22, 0.16)])
    codes = []
    for colour in colours:  # linear, 1 is reference white; all below the knee
        red, green, blue = (pq_signal(203 * light) for light in to_2020 @ colour)
        luma = 0.2627 * red + 0.6780 * green + 0.0593 * blue
        blue_difference, red_difference = (blue - luma) / 1.8814, (red - luma) / 1.4746
        codes.append((round(64 + 876 * luma), round(512 + 896 * blue_difference), round(512 + 896 * red_difference)))
    clip = read_clip(hdr_clip(tmp_path / "colours.mp4", codes, "pq"), view="face_on")
    found = patch_colours(next(iterate_frames(clip)).picture, len(codes))
    expected = np.array([[srgb_code(part) for part in colour] for colour in colours])
    assert np.abs(found - expected).max() < COLOUR_LEVELS


@given(signal=st.integers(0, 65535), transfer=st.sampled_from(["hlg", "pq"]))
def test_a_grey_stays_grey_and_a_brighter_one_is_not_darker(signal, transfer):
    pair = np.array([signal, min(signal + 300, 65535)], dtype=np.uint16)
    toned = tone_picture(np.repeat(pair[:, None, None], 3, axis=2), transfer=transfer)
    assert int(np.ptp(toned, axis=2).max()) <= 1
    assert toned[1, 0, 1] >= toned[0, 0, 1]
