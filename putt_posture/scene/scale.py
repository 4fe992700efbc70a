"""The scale: how many pixels a centimetre is in the golfer's mid-plane.

In this order: an object of known length in the golfer's plane, the putter's measured length on its shaft, the other
view (whose legs were measured in centimetres), and stature through the body's segments. A bent body is shorter than its
stature, so the lengths of the segments are added up; the height of the outline is not used.
"""

import itertools
import math
from typing import Final

import numpy as np

from putt_posture.values import Estimate, Floats, Landmarks, Segment, View

__all__ = [
    "FRONT_RISE_SHARE",
    "find_scale_from_body",
    "find_scale_from_object",
    "find_scale_from_rise",
    "find_scale_from_trunk",
    "leg_rise_px",
    "trunk_rise_px",
]


CLICK_SD_PX: Final = 2.0
"""Uncertainty of a point that a person clicks, one sigma, px (from memory)."""
TAPE_SHARE_SD: Final = 0.005
"""A putter's length by tape, and its lean out of the picture plane, one sigma, relative."""
PLANE_SHARE_SD: Final = 0.015
"""An object 6 cm off the golfer's plane at 4 m: d / D."""
BENT_BODY_SHARE: Final = 0.943
"""Ankle to knee to hip to shoulder added up at address, relative to the same standing by the body tables: a bent spine
is shorter between its ends, and the landmarks of the ends lie inside the joints (accuracy study, tuning part)."""
SPINE_SHORTER_SHARE: Final = 0.013
"""How much shorter the trunk is at address than standing, shares of the same sum: the spine bends by 2.8 %, and the
landmarks at its ends lie 1.5 % beyond it (accuracy study, tuning part)."""
BODY_SHARE_SD: Final = 0.021
"""Landmark error of that sum, one sigma: 1.8 % between bodies (accuracy study), and 1 % for a difference between people
and renders (judged)."""
FRONT_RISE_SHARE: Final = 0.983
"""Height of the hips above the ankles face on, relative to the same down the line: face on they are found lower
(accuracy study, tuning part)."""
LEGS_SHARE_SD: Final = 0.025
"""Landmark error of that, one sigma (accuracy study)."""
TRUNK_SHARE_SD: Final = 0.07
"""The same for the shoulders' height above the hips: half as high, and face on the shoulders are some 30 cm nearer to
the camera (judged)."""
LEGS_ALONE_SHARE_SD: Final = 0.045
"""Face on alone: knees bend toward the camera by an unknown amount (accuracy study)."""

LEG_UPRIGHT: Final = 0.975 * FRONT_RISE_SHARE
"""Mean cosine of shank and thigh from the vertical with knees bent by 20°, as it is found face on."""


def find_scale_from_object(
    segment: Segment, *, length_cm: float, view: View, what: str, extra_share_sd: float = 0.0
) -> Estimate:
    """Return px/cm from two points a known length apart.

    Parameters
    ----------
    segment : Segment
        Its ends, pixels.
    length_cm : float
    view : View
    what : str
        For the method phrase.
    extra_share_sd : float
        Relative one sigma of the length itself.
    """
    (u0, v0), (u1, v1) = segment
    length_px = math.hypot(u1 - u0, v1 - v0)
    value = length_px / length_cm
    share = math.sqrt(2 * (CLICK_SD_PX / length_px) ** 2 + PLANE_SHARE_SD**2 + extra_share_sd**2)
    return Estimate(
        value=value, standard_uncertainty=share * value, unit="px/cm", view=view, frames=1, method=f"from {what}"
    )


def find_scale_from_body(landmarks: Landmarks, *, legs_and_trunk_cm: float, share_sd: float) -> Estimate:
    """Return px/cm down the line from shank, thigh and trunk added up.

    Parameters
    ----------
    landmarks : Landmarks
        Down the line.
    legs_and_trunk_cm : float
        Ankle to knee to hip to shoulder joint for this student, cm.
    share_sd : float
        Relative one sigma of that length.
    """
    parts = ("ankle", "knee", "hip", "shoulder")
    middles = [landmarks.middle(part) for part in parts]
    path = sum(np.linalg.norm(b - a, axis=1) for a, b in itertools.pairwise(middles))
    return _relative(
        landmarks,
        np.asarray(path),
        BENT_BODY_SHARE * legs_and_trunk_cm,
        math.hypot(share_sd, BODY_SHARE_SD),
        "the student's height",
    )


def find_scale_from_trunk(
    landmarks: Landmarks, *, legs_and_trunk_cm: float, trunk_cm: float, share_sd: float
) -> Estimate:
    """Return px/cm down the line from the trunk alone, where the feet are hidden.

    Parameters
    ----------
    landmarks : Landmarks
        Down the line.
    legs_and_trunk_cm : float
        Ankle to knee to hip to shoulder joint for this student, cm, of which a bent spine takes its share.
    trunk_cm : float
        Hip to shoulder joint, standing, cm.
    share_sd : float
        Relative one sigma of that length.
    """
    bent_cm = trunk_cm - SPINE_SHORTER_SHARE * legs_and_trunk_cm
    missed = BODY_SHARE_SD * legs_and_trunk_cm / bent_cm
    size = np.linalg.norm(landmarks.middle("shoulder") - landmarks.middle("hip"), axis=1)
    return _relative(
        landmarks,
        np.asarray(size),
        bent_cm,
        math.hypot(share_sd, missed),
        "the student's height through the trunk alone",
    )


def find_scale_from_rise(
    landmarks: Landmarks, rise_px: Floats, *, rise_cm: float, share_sd: float, method: str
) -> Estimate:
    """Return px/cm from the height of one part of the body above another.

    Parameters
    ----------
    landmarks : Landmarks
    rise_px : (T,)
        As `leg_rise_px` or `trunk_rise_px` reads it.
    rise_cm : float
        The same height in cm.
    share_sd : float
        Relative one sigma.
    method : str
        Where the length in cm comes from.
    """
    return _relative(landmarks, rise_px, rise_cm, share_sd, method)


def leg_rise_px(landmarks: Landmarks) -> Floats:
    """Return the height of the hip joints above the ankles in the picture, (T,) px.

    Parameters
    ----------
    landmarks : Landmarks
    """
    return np.asarray(landmarks.middle("ankle")[:, 1] - landmarks.middle("hip")[:, 1])


def trunk_rise_px(landmarks: Landmarks) -> Floats:
    """Return the height of the shoulder joints above the hips in the picture, (T,) px.

    Parameters
    ----------
    landmarks : Landmarks
    """
    return np.asarray(landmarks.middle("hip")[:, 1] - landmarks.middle("shoulder")[:, 1])


def _relative(landmarks: Landmarks, sizes_px: Floats, length_cm: float, share: float, method: str) -> Estimate:
    seen = sizes_px[np.isfinite(sizes_px)]
    value = float(np.median(seen)) / length_cm
    return Estimate(
        value=value,
        standard_uncertainty=share * value,
        unit="px/cm",
        view=landmarks.view,
        frames=seen.size,
        method=f"from {method}",
    )
