"""Where the camera stood: its distance, which way the student faces from there, and where the ground is seen.

Distances are cm, angles deg. For the ground the camera is taken as level, so that the horizon is in the middle of the
picture. Warnings say where the camera was in a bad place.
"""

import math
from typing import Final, Literal

import numpy as np

from putt_posture.figures import format_value
from putt_posture.values import VIEW_TITLES, Estimate, Landmarks, Scene, Student, View, median_seen, side_of

__all__ = [
    "assumed_yaw",
    "camera_drop",
    "find_distance",
    "find_forward",
    "ground_v_at",
    "warn_of_camera",
    "warn_of_side",
]

YAW_SD_DEG: Final = 4.0
"""One sigma of how far off square a careful coach puts the camera, deg (from memory; about ±8° at 95 %)."""

_EQUIVALENT_FOCAL_MM: Final = 50.0
"""35 mm equivalent of a phone's video at the twofold zoom that the filming page asks for; the main camera alone has 24
to 26 mm, a threefold zoom 77 (from memory)."""
_FULL_FRAME_DIAGONAL_MM: Final = 43.27
_FOCAL_SHARE_SD: Final = 0.40
_GIVEN_SHARE_SD: Final = 0.03

OFF_SQUARE_DEG: Final = 8.0
"""A larger yaw than a careful coach leaves, deg; it is corrected, with a warning."""
NEAR_CM: Final = 260.0
"""A camera nearer than this gets a warning, even where its distance is a guess, cm."""
LOW_CM: Final = 45.0
HIGH_CM: Final = 170.0
NARROW_SHARE: Final = 0.14
"""Face on, shoulders narrower than this share of stature mean that the camera is far off square
(joint to joint is about 0.2 of stature: ANSUR II 2012 biacromial breadth 0.24 less the joints' depth)."""
WIDE_SHARE: Final = 0.09
"""Down the line, shoulders farther apart than this share of stature, and hips farther than half of it, mean the
same."""
_OFF_SQUARE: Final[dict[View, str]] = {
    "down_the_line": "Down the line the shoulders and hips are seen wide apart, so the camera was well off the line; "
    "put it on a line through the hands, parallel to the target line.",
    "face_on": "Face on the shoulders look narrow, so the camera was well to one side; put it square to the chest.",
}


def assumed_yaw(view: View) -> Estimate:
    """Return the yaw of a camera about which nothing is known, deg: square, with the uncertainty of a careful coach.

    Parameters
    ----------
    view : View
        For the label of the estimate.

    Returns
    -------
    Estimate
        0 ± 4 deg (one sigma).
    """
    return Estimate(value=0.0, standard_uncertainty=YAW_SD_DEG, unit="deg", view=view, method="taken as square")


def find_distance(landmarks: Landmarks, *, px_per_cm: float, given_cm: float | None) -> Estimate:
    """Return the distance from camera to golfer, cm: as typed, or guessed from a phone's usual field of view.

    Parameters
    ----------
    landmarks : Landmarks
        For view, picture size and number of frames.
    px_per_cm : float
        Scale, pixels per cm.
    given_cm : float or None
        Distance that the coach typed, cm.

    Returns
    -------
    Estimate
        Cm; one sigma is 3 % where typed, 40 % where guessed.
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
        Of one view; pixels, NaN where hidden.
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

    Returns
    -------
    tuple of str
        Sentences; empty where the camera was in a good place.
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


def find_forward(landmarks: Landmarks, student: Student) -> Literal[-1, 1]:
    """Return the sign of the picture's u axis along the axis that the view measures.

    Down the line: +1 where the ball side is to the right (toes are in front of heels, knees of ankles, ears and
    wrists of hips). Face on: +1 where the lead side, toward the target, is to the right.

    Parameters
    ----------
    landmarks : Landmarks
        Of one view; pixels, NaN where hidden.
    student : Student
        For handedness, face on.

    Returns
    -------
    {-1, 1}
        +1 also where nothing shows the direction.
    """
    if landmarks.view == "face_on":
        lead, trail = side_of("lead", student.handed), side_of("trail", student.handed)
        spreads = [
            landmarks.point(f"{lead}_{part}")[:, 0] - landmarks.point(f"{trail}_{part}")[:, 0]
            for part in ("shoulder", "hip", "ankle")
        ]
    else:
        pairs = (("foot_index", "heel"), ("foot_index", "heel"), ("knee", "ankle"), ("ear", "hip"), ("wrist", "hip"))
        spreads = [landmarks.middle(front)[:, 0] - landmarks.middle(rear)[:, 0] for front, rear in pairs]
    return 1 if np.nansum([median_seen(spread) for spread in spreads]) >= 0 else -1


def warn_of_side(landmarks: Landmarks, student: Student, *, forward: int) -> tuple[str, ...]:
    """Return a sentence where the student faces the other way than their handedness says.

    A right-hander filmed from behind the trail side faces the right edge of the picture, a left-hander the left;
    face on a right-hander's lead side is on the right of the picture.

    Parameters
    ----------
    landmarks : Landmarks
        For the view.
    student : Student
        For handedness.
    forward : {-1, 1}
        As `find_forward` returns it.

    Returns
    -------
    tuple of str
        One sentence, or empty; always empty face on.
    """
    if landmarks.view == "face_on":
        return ()
    expected = 1 if student.handed == "right" else -1
    if forward == expected:
        return ()
    seen, hand = ("left", "right") if forward == -1 else ("right", "left")
    return (
        f"Down the line the student faces {seen}, which a {hand}-hander filmed from behind the trail side does not: "
        "either the camera was on the target side, or the clip is mirrored without saying so, or --handed is wrong. "
        "The measures seen from the side are right; lead and trail, and left and right, may be swapped.",
    )


def camera_drop(scene: Scene, size_px: tuple[int, int]) -> float:
    """Return how steeply the camera looks down on the ground at the feet: camera height over distance.

    Parameters
    ----------
    scene : Scene
        Scale, ground and distance.
    size_px : (int, int)
        Width and height of the picture.

    Returns
    -------
    float
        A ratio, 0 or more.
    """
    below = scene.ground_v_px.value - size_px[1] / 2
    return max(below, 0.0) / (scene.px_per_cm.value * scene.distance_cm.value)


def ground_v_at(u: float, scene: Scene, size_px: tuple[int, int], *, ahead_cm: float = 0.0) -> float:
    """Return the v of the ground at a place, px.

    Parameters
    ----------
    u : float
        Across the picture, px; a rolled camera tilts the ground about the picture's middle.
    scene : Scene
        Ground, distance and roll.
    size_px : (int, int)
        Width and height of the picture.
    ahead_cm : float
        How much nearer to the camera than the feet the place is, cm.

    Returns
    -------
    float
        Px, down from the top of the picture.
    """
    middle = size_px[1] / 2
    below = scene.ground_v_px.value - middle
    nearer = scene.distance_cm.value / (scene.distance_cm.value - ahead_cm)
    return middle + below * nearer + (u - size_px[0] / 2) * math.tan(math.radians(scene.roll.value))


def _say_yaw(name: str, view: View, yaw_deg: float) -> str:
    if view == "down_the_line":
        side, place = "the ball" if yaw_deg > 0 else "the student's heels", "on a line through the hands"
    else:
        side, place = ("" if yaw_deg > 0 else "the side away from ") + "the target", "square to the chest"
    return (
        f"{name} the camera was about {format_value(abs(yaw_deg), 'deg')} off square, toward {side}. That was "
        f"corrected, but it is better to put it {place}."
    )


def _off_square(landmarks: Landmarks, *, px_per_cm: float, stature_cm: float) -> bool:
    def spread(part: str) -> float:
        apart = np.abs(landmarks.point(f"left_{part}")[:, 0] - landmarks.point(f"right_{part}")[:, 0])
        return median_seen(apart) / px_per_cm / stature_cm

    if landmarks.view == "face_on":
        return spread("shoulder") < NARROW_SHARE
    return spread("shoulder") > WIDE_SHARE and spread("hip") > WIDE_SHARE / 2
