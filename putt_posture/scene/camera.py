"""The camera's place: distance, and warnings where it was bad.

Distances are cm, angles deg.
"""

import math
from typing import Final

import numpy as np

from putt_posture.figures import format_value
from putt_posture.values import VIEW_TITLES, Estimate, Landmarks, View, median_seen

__all__ = ["assumed_yaw", "find_distance", "warn_of_camera"]

YAW_SD_DEG: Final = 4.0
"""One sigma of how far off square a careful coach puts the camera, deg (from memory; about ±8° at 95 %)."""

_EQUIVALENT_FOCAL_MM: Final = 50.0
"""35 mm equivalent of a phone's video at the twofold zoom that the filming page asks for; the main camera alone has 24
to 26 mm, a threefold zoom 77 (from memory)."""
_FULL_FRAME_DIAGONAL_MM: Final = 43.27
_FOCAL_SHARE_SD: Final = 0.40
_GIVEN_SHARE_SD: Final = 0.03

OFF_SQUARE_DEG: Final = 8.0
"""A yaw beyond that of a careful coach, deg; it is corrected, with a warning."""
NEAR_CM: Final = 260.0
"""Nearer than this even a guess from the field of view gets a warning, cm."""
LOW_CM: Final = 45.0
HIGH_CM: Final = 170.0
NARROW_SHARE: Final = 0.14
"""Face on, shoulders narrower than this share of stature mean that the camera is far off square
(joint to joint is about 0.2 of stature: ANSUR II 2012 biacromial breadth 0.24 less the joints' depth)."""
WIDE_SHARE: Final = 0.09
"""Down the line, shoulders and hips seen wider apart than this and half this share of stature mean the same."""


def assumed_yaw(view: View) -> Estimate:
    """Return the yaw of a camera of which nothing is known, deg: square, with the uncertainty of a careful coach.

    Parameters
    ----------
    view : View
    """
    return Estimate(value=0.0, standard_uncertainty=YAW_SD_DEG, unit="deg", view=view, method="taken as square")


def find_distance(landmarks: Landmarks, *, px_per_cm: float, given_cm: float | None) -> Estimate:
    """Return the distance from camera to golfer, cm: as typed, or guessed from a phone's usual field of view.

    Parameters
    ----------
    landmarks : Landmarks
    px_per_cm : float
        Scale, pixels per cm.
    given_cm : float or None
        Distance that the coach typed, cm.
    """
    if given_cm is not None:
        value, share, method = given_cm, _GIVEN_SHARE_SD, "given"
    else:
        diagonal = math.hypot(*landmarks.size_px)
        value = _EQUIVALENT_FOCAL_MM / _FULL_FRAME_DIAGONAL_MM * diagonal / px_per_cm
        share, method = _FOCAL_SHARE_SD, "guessed from a phone's usual field of view"
    return Estimate(
        value=value,
        standard_uncertainty=share * value,
        unit="cm",
        view=landmarks.view,
        frames=len(landmarks.times_s),
        method=method,
    )


def warn_of_camera(
    landmarks: Landmarks, *, px_per_cm: float, stature_cm: float, ground_v_px: float, distance: Estimate, yaw: Estimate
) -> tuple[str, ...]:
    """Return warnings on how to film better: too near, too low or high, off square, feet or head cut off.

    Parameters
    ----------
    landmarks : Landmarks
    px_per_cm : float
        Scale, pixels per cm.
    stature_cm : float
        Barefoot height, cm.
    ground_v_px : float
        v of the ground under the feet, px.
    distance : Estimate
        Camera to golfer, cm.
    yaw : Estimate
        Camera off square, deg.
    """
    warnings = []
    name = VIEW_TITLES[landmarks.view]
    if distance.value < NEAR_CM:
        warnings.append(
            f"{name} the camera seems to have been about {format_value(distance.value / 100, 'm')} away "
            f"({distance.method}), where near limbs look too large; stand 4 to 6 m away and zoom in, or give "
            "--camera-distance if it was farther."
        )
    height = (ground_v_px - landmarks.size_px[1] / 2) / px_per_cm
    if np.isfinite(landmarks.middle("ankle")).any() and not LOW_CM <= height <= HIGH_CM:
        low = "low" if height < LOW_CM else "high"
        warnings.append(
            f"{name} the middle of the picture is about {max(height, 0):.0f} cm above the ground, so the camera was "
            f"too {low} or tilted; hold it level at hip height, 90 to 100 cm."
        )
    if _off_square(landmarks, px_per_cm=px_per_cm, stature_cm=stature_cm):
        warnings.append(_OFF_SQUARE[landmarks.view])
    elif abs(yaw.value) > OFF_SQUARE_DEG:
        warnings.append(_say_yaw(name, landmarks.view, yaw.value))
    for part, what in (("ankle", "feet are"), ("foot_index", "feet are"), ("ear", "head is")):
        if np.isnan(landmarks.middle(part)).all():
            warnings.append(f"{name} the {what} cut off or hidden; show the whole student from head to feet.")
    return tuple(dict.fromkeys(warnings))


def _say_yaw(name: str, view: View, yaw_deg: float) -> str:
    if view == "down_the_line":
        side, place = "the ball" if yaw_deg > 0 else "the student's heels", "on a line through the hands"
    else:
        side, place = ("" if yaw_deg > 0 else "the side away from ") + "the target", "square to the chest"
    return (
        f"{name} the camera was about {format_value(abs(yaw_deg), 'deg')} off square, toward {side}. That was "
        f"corrected, but it is better to put it {place}."
    )


_OFF_SQUARE: Final[dict[View, str]] = {
    "down_the_line": "Down the line the shoulders and hips are seen wide apart, so the camera was well off the line; "
    "put it on a line through the hands, parallel to the target line.",
    "face_on": "Face on the shoulders look narrow, so the camera was well to one side; put it square to the chest.",
}


def _off_square(landmarks: Landmarks, *, px_per_cm: float, stature_cm: float) -> bool:
    def spread(part: str) -> float:
        apart = np.abs(landmarks.point(f"left_{part}")[:, 0] - landmarks.point(f"right_{part}")[:, 0])
        return median_seen(apart) / px_per_cm / stature_cm

    if landmarks.view == "face_on":
        return spread("shoulder") < NARROW_SHARE
    return spread("shoulder") > WIDE_SHARE and spread("hip") > WIDE_SHARE / 2
