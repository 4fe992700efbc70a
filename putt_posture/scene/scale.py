"""The scale: how many pixels a centimetre is in the golfer's mid-plane.

In this order: an object of known length in the golfer's plane, the putter's measured length on its shaft, the other
view (whose legs were measured in centimetres), and stature through the body's segments. A bent body is shorter than its
stature, so the lengths of the segments are added up; the height of the outline is not used. A length that the coach
typed or drew is compared with the stature.
"""

import itertools
import math
from typing import Final

import numpy as np

from putt_posture.figures import format_given, format_length, format_value
from putt_posture.values import NORMAL_95, VIEW_TITLES, Estimate, Floats, Landmarks, ScaleSource, Segment, View

__all__ = [
    "FRONT_RISE_SHARE",
    "differ",
    "find_scale_from_body",
    "find_scale_from_object",
    "find_scale_from_rise",
    "find_scale_from_trunk",
    "leg_rise_px",
    "trunk_rise_px",
    "warn_of_scale",
]

CLICK_SD_PX: Final = 2.0
"""Uncertainty of a point that a person clicks, one sigma, px (from memory)."""
TAPE_SHARE_SD: Final = 0.005
"""A putter's length by tape, and its lean out of the picture plane, one sigma, as a share."""
PLANE_SHARE_SD: Final = 0.015
"""An object 6 cm off the golfer's plane seen from 4 m, one sigma, as a share: 6 / 400."""
BENT_BODY_SHARE: Final = 0.943
"""Sum of the lengths from ankle to knee to hip to shoulder at address, as a share of the same sum standing, by the body
tables. A bent spine is shorter between its ends, and the landmarks at the ends lie inside the joints (accuracy study,
tuning part)."""
SPINE_SHORTER_SHARE: Final = 0.013
"""How much shorter the trunk is at address than standing, as a share of the same sum: the spine bends by 2.8 %, and the
landmarks at its ends lie 1.5 % beyond it (accuracy study, tuning part)."""
BODY_SHARE_SD: Final = 0.021
"""Landmark error of that sum, one sigma, as a share: 1.8 % between bodies (accuracy study), and 1 % for a difference
between people and renders (judged)."""
FRONT_RISE_SHARE: Final = 0.983
"""Height of the hips above the ankles face on, as a share of the same down the line: face on the hips are found lower
(accuracy study, tuning part)."""
LEGS_SHARE_SD: Final = 0.025
"""Landmark error of that height, one sigma, as a share (accuracy study)."""
TRUNK_SHARE_SD: Final = 0.07
"""The same for the height of the shoulders above the hips: it is half as large, and face on the shoulders are some 30
cm nearer to the camera (judged)."""
LEGS_ALONE_SHARE_SD: Final = 0.045
"""One sigma of a scale from the legs face on alone, as a share: knees bend toward the camera by an unknown amount
(accuracy study)."""

LEG_UPRIGHT: Final = 0.975 * FRONT_RISE_SHARE
"""Mean cosine of shank and thigh from the vertical with knees bent by 20°, as found face on."""


def find_scale_from_object(
    segment: Segment, *, length_cm: float, view: View, what: str, extra_share_sd: float = 0.0
) -> Estimate:
    """Return pixels per cm from two points a known length apart.

    Parameters
    ----------
    segment : Segment
        Both ends, px.
    length_cm : float
        Distance between the two ends, cm.
    view : View
        For the label of the estimate.
    what : str
        What the length is, for the estimate's `method`.
    extra_share_sd : float
        One sigma of the length itself, as a share.

    Returns
    -------
    Estimate
        Pixels per cm.
    """
    (u0, v0), (u1, v1) = segment
    length_px = math.hypot(u1 - u0, v1 - v0)
    value = length_px / length_cm
    share = math.sqrt(2 * (CLICK_SD_PX / length_px) ** 2 + PLANE_SHARE_SD**2 + extra_share_sd**2)
    return Estimate(
        value=value, standard_uncertainty=share * value, unit="px/cm", view=view, frames=1, method=f"from {what}"
    )


def find_scale_from_body(landmarks: Landmarks, *, legs_and_trunk_cm: float, share_sd: float) -> Estimate:
    """Return pixels per cm down the line from shank, thigh and trunk added up.

    Parameters
    ----------
    landmarks : Landmarks
        Down the line.
    legs_and_trunk_cm : float
        Ankle to knee to hip to shoulder joint for this student, cm.
    share_sd : float
        One sigma of that length, as a share.

    Returns
    -------
    Estimate
        Pixels per cm; the median over the frames.
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
    """Return pixels per cm down the line from the trunk alone, where the feet are hidden.

    Parameters
    ----------
    landmarks : Landmarks
        Down the line.
    legs_and_trunk_cm : float
        Ankle to knee to hip to shoulder joint for this student, cm; a bent trunk is shorter by a share of it.
    trunk_cm : float
        Hip to shoulder joint, standing, cm.
    share_sd : float
        One sigma of that length, as a share.

    Returns
    -------
    Estimate
        Pixels per cm; the median over the frames.
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
    """Return pixels per cm from the height of one part of the body above another.

    Parameters
    ----------
    landmarks : Landmarks
        For the view.
    rise_px : (T,)
        As `leg_rise_px` or `trunk_rise_px` returns it; px, NaN where hidden.
    rise_cm : float
        The same height in cm.
    share_sd : float
        One sigma of that height, as a share.
    method : str
        Where the length in cm comes from.

    Returns
    -------
    Estimate
        Pixels per cm; the median over the frames.
    """
    return _relative(landmarks, rise_px, rise_cm, share_sd, method)


def leg_rise_px(landmarks: Landmarks) -> Floats:
    """Return the height of the hip joints above the ankles in the picture, (T,) px.

    Parameters
    ----------
    landmarks : Landmarks
        Of one view; pixels, NaN where hidden.

    Returns
    -------
    (T,)
        Px, + = upward; NaN where hidden.
    """
    return np.asarray(landmarks.middle("ankle")[:, 1] - landmarks.middle("hip")[:, 1])


def trunk_rise_px(landmarks: Landmarks) -> Floats:
    """Return the height of the shoulder joints above the hips in the picture, (T,) px.

    Parameters
    ----------
    landmarks : Landmarks
        Of one view; pixels, NaN where hidden.

    Returns
    -------
    (T,)
        Px, + = upward; NaN where hidden.
    """
    return np.asarray(landmarks.middle("hip")[:, 1] - landmarks.middle("shoulder")[:, 1])


def differ(scale: Estimate, stature: Estimate) -> float:
    """Return the logarithm of the ratio of two scales; 0 where their uncertainties allow the difference.

    Parameters
    ----------
    scale, stature : Estimate
        Pixels per cm of one picture, with independent errors.

    Returns
    -------
    float
        Positive where `scale` is the larger.
    """
    apart = math.log(scale.value / stature.value)
    allowed = math.hypot(scale.standard_uncertainty / scale.value, stature.standard_uncertainty / stature.value)
    return apart if abs(apart) > NORMAL_95 * allowed else 0.0


def warn_of_scale(
    scale: Estimate, source: ScaleSource, stature: Estimate, *, view: View, stature_cm: float, length_cm: float
) -> tuple[str, ...]:
    """Return a sentence where a length that was drawn disagrees with the stature by more than their uncertainties.

    Parameters
    ----------
    scale : Estimate
        Pixels per cm by the length. This scale is used in any case, since the coach gave it.
    source : ScaleSource
        ``object`` or ``putter``: which length it is.
    stature : Estimate
        Pixels per cm by the stature.
    view : View
        Of the picture.
    stature_cm : float
        As typed, cm.
    length_cm : float
        Length of the object or putter as typed, cm.

    Returns
    -------
    tuple of str
        One sentence, or empty.
    """
    apart = differ(scale, stature)
    if apart == 0.0:
        return ()
    looks_cm = math.exp(apart) * length_cm
    tall_cm = math.exp(-apart) * stature_cm
    what, option = {
        "putter": ("the putter", "--shaft-at, --putter-length"),
        "object": ("the known length", "--scale-object"),
    }[source]
    lengths = [
        format_length(each) if source == "putter" else format_given(each, "cm") for each in (length_cm, looks_cm)
    ]
    return (
        f"{VIEW_TITLES[view]} {what} of {lengths[0]} looks {lengths[1]} long by the student's height, and by it the "
        f"student looks {format_value(tall_cm, 'cm')} tall, but {format_given(stature_cm, 'cm')} was typed; they "
        f"differ by more than their uncertainties allow. The scale is from {what}; check {option} and --height.",
    )


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
