"""Poses that are not a putting address: where the hands are, and how the trunk is inclined.

Lengths are shares of the stature as legs and trunk show it in the picture. At address means 120 shots of 60 rendered
golfers, with long putters, arm-lock and claw grips among them, and four people; the other poses are of the same people
(DEVELOPERS.md).
"""

import math
from typing import Final

import numpy as np

from putt_posture.joints.axes import body_size_px, forward_of
from putt_posture.values import Floats, Handed, Landmarks, View, median_seen

__all__ = ["name_other_pose"]

SIZE_SHARE: Final[dict[View, float]] = {"down_the_line": 0.80, "face_on": 0.491}
"""The body's size in the model's landmarks: legs and trunk, and legs alone (Drillis and Contini 1966, as printed in
Winter 2009, fig. 4.1, the trunk as rendered golfers have it)."""

ABOVE_ELBOWS: Final = 0.02
"""With the longest putters one hand may be as high as its elbow; the other hangs 0.12 or more below its own. At the top
and in the finish both are 0.01 to 0.14 above."""
HANDS_DOWN: Final = 0.13
"""Hands below the shoulders, mean of both: 0.23 and more at address. With the longest putters the upper hand is at the
breastbone and the lower one at arm's length (common practice), 0.19."""
ABOVE_HIPS: Final = 0.06
"""The lower hand is below the hips at address, by 0.01 and more; a short student with a counterbalanced putter has it
4 cm above. Halfway back and through it is 0.07 to 0.19 above."""
BEHIND_FEET: Final = 0.0
"""Hands before the ankles at address: 0.08 to 0.24; at the top -0.02 to -0.05."""
HANGING_BEHIND_FEET: Final = -0.06
"""Arms that hang without a putter are below the shoulders, which are up to 10 cm behind the ankles of somebody who
stands on the heels (judged)."""
BEYOND_FEET: Final = 0.06
"""Face on the hands are between the ankles at address; with the feet together and the hands pressed forward up to 0.02
outside."""
UPRIGHT_DEG: Final = 10.0
UPRIGHT_ABOVE_HIPS: Final = 0.02
"""Golfers who stand as straight as 14° let their hands hang."""


def name_other_pose(landmarks: Landmarks, *, handed: Handed, without_putter: bool = False) -> str:
    """Return one clause on why a pose is not an address; an empty string where there is no reason.

    Parameters
    ----------
    landmarks : Landmarks
        As the model gave them; NaN gives no reason.
    handed : Handed
    without_putter : bool
        Whether no putter holds the hands in front of the feet.
    """
    stature = median_seen(body_size_px(landmarks)) / SIZE_SHARE[landmarks.view]
    wrists, elbows, ankles = (_both(landmarks, part) for part in ("wrist", "elbow", "ankle"))
    hips, shoulders = landmarks.middle("hip"), landmarks.middle("shoulder")

    def share(lengths_px: Floats) -> float:
        return median_seen(lengths_px) / stature

    below_elbows = share((wrists - elbows)[..., 1].max(axis=0))
    below_shoulders = share(wrists[..., 1].mean(axis=0) - shoulders[:, 1])
    above_hips = share(hips[:, 1] - wrists[..., 1].max(axis=0))
    forward = forward_of(landmarks, handed=handed)
    hand_u, feet_u = wrists[..., 0].mean(axis=0), ankles[..., 0]
    if below_elbows < ABOVE_ELBOWS:
        return "both hands are as high as the elbows or higher, as at the top of a swing or in a finish"
    if below_shoulders < HANDS_DOWN:
        return "the hands are as high as the chest"
    if landmarks.view == "down_the_line":
        lean = forward * median_seen((shoulders - hips)[:, 0]), -median_seen((shoulders - hips)[:, 1])
        if math.degrees(math.atan2(*lean)) < UPRIGHT_DEG and above_hips > UPRIGHT_ABOVE_HIPS:
            return "the trunk is upright and the hands are higher than the hips"
        least = HANGING_BEHIND_FEET if without_putter else BEHIND_FEET
        if share(forward * (hand_u - feet_u.mean(axis=0))) < least:
            return "the hands are behind the feet"
    if above_hips > ABOVE_HIPS:
        return "both hands are higher than the hips, as on the way back or through"
    outside = share(np.maximum(feet_u.min(axis=0) - hand_u, hand_u - feet_u.max(axis=0)))
    if landmarks.view == "face_on" and outside > BEYOND_FEET:
        return "the hands are not between the feet but beyond one of them"
    return ""


def _both(landmarks: Landmarks, part: str) -> Floats:
    """Return left and right of a part, (2, T, 2) px."""
    return np.stack([landmarks.point(f"left_{part}"), landmarks.point(f"right_{part}")])
