"""High dynamic range pictures, tone-mapped for an ordinary screen.

Light is counted in units of the 1000 cd/m² nominal peak of hybrid log-gamma (HLG). Sources:

- ITU-R BT.2100-2: transfer functions of HLG and of perceptual quantisation (PQ), and the HLG system gamma;
- ITU-R BT.2408: 203 cd/m² as the level of reference white, here the white of the result;
- ITU-R BT.2390, "EETF": the curve that rolls highlights off between the two peaks, in PQ;
- ITU-R BT.2087: BT.2020 to BT.709 primaries (inverse of its matrix, four digits);
- IEC 61966-2-1: the sRGB curve of the result.
"""

from functools import cache
from typing import Final, Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from putt_posture.values import Floats

__all__ = ["PEAK_CD_M2", "WHITE_CD_M2", "Transfer", "tone_picture"]

Transfer = Literal["sdr", "hlg", "pq"]
"""How light is coded."""

PEAK_CD_M2: Final = 1000.0
"""Nominal peak of HLG (BT.2100-2, table 5); brighter PQ light is cut here."""

WHITE_CD_M2: Final = 203.0
"""HDR reference white (BT.2408, table 1)."""

_HLG_GAMMA: Final = 1.2
_LUMINANCE_2020: Final = np.array([[0.2627, 0.6780, 0.0593]], dtype=np.float32)
_PRIMARIES_2020_TO_709: Final = np.array(
    [[1.6605, -0.5876, -0.0728], [-0.1246, 1.1329, -0.0083], [-0.0182, -0.1006, 1.1187]], dtype=np.float32
)
_ENCODE_STEPS: Final = 16383
_STRIP_ROWS: Final = 256


def tone_picture(signal: NDArray[np.uint16], *, transfer: Transfer, full_code: int = 65535) -> NDArray[np.uint8]:
    """Tone-map one picture.

    Parameters
    ----------
    signal : (H, W, 3) uint16
        Non-linear R'G'B' with BT.2020 primaries, full range.
    transfer : {"hlg", "pq"}
    full_code : int
        The code of the full signal; anything above it is clipped.

    Returns
    -------
    (H, W, 3) uint8
        sRGB.
    """
    toned = np.empty(signal.shape, dtype=np.uint8)
    to_light, to_code = _light_table(transfer, full_code), _code_table()
    for top in range(0, len(signal), _STRIP_ROWS):  # strips keep the floating-point copies of a 4K picture small
        light = to_light[signal[top : top + _STRIP_ROWS]]
        if transfer == "hlg":
            luminance = cv2.transform(light, _LUMINANCE_2020).reshape(light.shape[:2])
            light *= cv2.pow(luminance, _HLG_GAMMA - 1.0)[:, :, np.newaxis]
        light = cv2.transform(light, _PRIMARIES_2020_TO_709)
        np.clip(light, 0.0, 1.0, out=light)
        steps = np.rint(cv2.sqrt(light) * _ENCODE_STEPS).astype(np.uint16)
        toned[top : top + _STRIP_ROWS] = to_code[steps]
    return toned


@cache
def _light_table(transfer: Transfer, full_code: int) -> NDArray[np.float32]:
    """Light for each 16-bit signal: of the scene for HLG (1 at full signal), of the display for PQ."""
    signal = np.minimum(np.arange(65536) / full_code, 1.0)
    light = _hlg_scene_light(signal) if transfer == "hlg" else _pq_light(signal) / PEAK_CD_M2
    return light.astype(np.float32)


@cache
def _code_table() -> NDArray[np.uint8]:
    """Return the sRGB code for each step of the square root of display light, 0 to the peak."""
    light = np.linspace(0.0, 1.0, _ENCODE_STEPS + 1) ** 2
    toned = np.clip(_roll_off(light * PEAK_CD_M2) / WHITE_CD_M2, 0.0, 1.0)
    srgb = np.where(toned <= 0.0031308, 12.92 * toned, 1.055 * toned ** (1 / 2.4) - 0.055)
    code: NDArray[np.uint8] = np.rint(255 * srgb).astype(np.uint8)
    return code


def _hlg_scene_light(signal: Floats) -> Floats:
    """Inverse opto-electronic transfer function of HLG (BT.2100-2, table 5)."""
    a = 0.17883277
    b, c = 1 - 4 * a, 0.5 - a * np.log(4 * a)
    light: Floats = np.where(signal <= 0.5, signal**2 / 3, (np.exp((signal - c) / a) + b) / 12)
    return light


_M1, _M2 = 2610 / 16384, 2523 / 4096 * 128
_C1, _C2, _C3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32


def _pq_light(signal: Floats) -> Floats:
    """Electro-optical transfer function of PQ, cd/m² (BT.2100-2, table 4)."""
    power = np.asarray(signal) ** (1 / _M2)
    light: Floats = 10000 * (np.maximum(power - _C1, 0) / (_C2 - _C3 * power)) ** (1 / _M1)
    return light


def _pq_signal(light_cd_m2: Floats) -> Floats:
    """Inverse of `_pq_light`."""
    power = (np.asarray(light_cd_m2) / 10000) ** _M1
    signal: Floats = ((_C1 + _C2 * power) / (1 + _C3 * power)) ** _M2
    return signal


def _roll_off(light_cd_m2: Floats) -> Floats:
    """Bring light up to the peak down to reference white at most (BT.2390, EETF without black lift)."""
    peak = _pq_signal(np.array(PEAK_CD_M2))
    signal = _pq_signal(light_cd_m2) / peak
    most = _pq_signal(np.array(WHITE_CD_M2)) / peak
    knee = 1.5 * most - 0.5
    t = np.clip((signal - knee) / (1 - knee), 0.0, 1.0)
    spline = (2 * t**3 - 3 * t**2 + 1) * knee + (t**3 - 2 * t**2 + t) * (1 - knee) + (-2 * t**3 + 3 * t**2) * most
    return _pq_light(np.where(signal < knee, signal, spline) * peak)
