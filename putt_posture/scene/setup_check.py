"""Checks of a setup: the body is in the picture, seen from the right side, at address.

Otherwise every number would be wrong and look certain, so the clip is refused. Lengths are shares of the stature as the
body shows it in the picture, so that a wrong scale or stature does not matter here.

Poses other than an address are recognised by the place of the hands and the tilt of the trunk. The figures "at address"
below are of 120 shots of 60 rendered golfers, with long putters, arm-lock and claw grips among them, and of four
people; the other poses are of the same golfers and people (DEVELOPERS.md).
"""

import math
from typing import Final

import numpy as np

from putt_posture.errors import SetupNotFound, StudentNotFound, WrongView
from putt_posture.joints.axes import body_size_px, forward_of
from putt_posture.values import Floats, Handed, Landmarks, View, median_seen

__all__ = ["check_body", "check_setup", "name_other_pose", "name_why_no_setup", "sees_other_view"]

_CHAIN: Final[dict[View, dict[str, str]]] = {
    "down_the_line": {"hip": "hips", "shoulder": "shoulders"},
    "face_on": {"ankle": "feet", "hip": "hips"},
}
"""Parts that the scale from stature needs, with their names in messages; down the line the trunk alone is enough."""

SIDE_ON_SHARE: Final = 0.06
"""Face on, shoulders narrower than this are seen from the side: 0.2 of stature joint to joint (`camera`), 73° off."""
CHEST_ON_SHARES: Final = {"shoulder": 0.15, "hip": 0.09}
"""Down the line, shoulders and hips wider than these are seen from the front or the back: 0.2 and 0.12 of stature,
49° off. Hips count too, since the shoulders may turn."""
LEGS_SHARE: Final = 0.491
"""Hip to knee to ankle (Drillis and Contini 1966, as printed in Winter 2009, fig. 4.1)."""
MISFIT_REFUSED: Final = 2.75
"""Landmarks with a larger misfit to golfers at address show another pose, or lie on something else. Four people at
address had at most 2.3, rendered golfers 2.69 down the line and 2.68 face on in cross-validation; a takeaway whose
hands have left the ball, tops, impacts and finishes had 2.8 and more (DEVELOPERS.md)."""

SIZE_SHARE: Final[dict[View, float]] = {"down_the_line": 0.80, "face_on": 0.491}
"""The body's size in the model's landmarks: legs and trunk, and legs alone (Drillis and Contini 1966, as printed in
Winter 2009, fig. 4.1, the trunk as rendered golfers have it)."""

ABOVE_ELBOWS: Final = 0.02
"""With the longest putters one hand may be as high as its elbow; the other hangs 0.12 or more below its own. At the top
and in the finish both are 0.01 to 0.14 above."""
_OTHER_VIEW: Final[dict[View, str]] = {
    "face_on": "the student is seen from the side; the chest was needed for the face-on view. "
    "Give this clip to --down-the-line, or film square to the chest.",
    "down_the_line": "the student is seen from the front or the back; the side was needed for the down-the-line view. "
    "Give this clip to --face-on, or film along the target line.",
}
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


def check_body(landmarks: Landmarks, *, file: str) -> None:
    """Refuse a view without the joints that the scale from stature needs.

    Parameters
    ----------
    landmarks : Landmarks
        Of one view; pixels, NaN where hidden.
    file : str
        Name of the clip in messages.

    Raises
    ------
    StudentNotFound
        No frame shows all of these joints.
    """
    chain = _CHAIN[landmarks.view]
    seen = {part: np.isfinite(landmarks.middle(part)).all(axis=1) for part in chain}
    if np.any(np.logical_and.reduce(list(seen.values()))):
        return
    least = min(chain, key=lambda part: int(seen[part].sum()))
    raise StudentNotFound(
        f"{file}: the {chain[least]} are not in the picture, and without them the student's height gives no scale. "
        "Show the whole student from head to feet, or give a known length with --scale-object."
    )


def check_setup(
    landmarks: Landmarks, *, handed: Handed, misfit: float, file: str, without_putter: bool = False
) -> None:
    """Refuse a view from the wrong side, or of a moment that is not a setup.

    Parameters
    ----------
    landmarks : Landmarks
        As the model gave them; NaN where hidden, which is no reason to refuse.
    handed : Handed
        For the direction toward the ball or the target.
    misfit : float
        How unlike golfers at address they are, 1 = as usual, from `putt_posture.joints`.
    file : str
        Name of the clip in messages.
    without_putter : bool
        Whether it was filmed without a putter: arms that hang may be behind the feet, where no putter holds them.

    Raises
    ------
    WrongView
        The clip shows the other view.
    SetupNotFound
        The pose is not an address, by its visible parts or by the misfit of all landmarks.
    """
    if sees_other_view(landmarks):
        raise WrongView(f"{file}: {_OTHER_VIEW[landmarks.view]}")
    why_not = name_why_no_setup(landmarks, handed=handed, misfit=misfit, without_putter=without_putter)
    if why_not:
        raise SetupNotFound(
            f"{file}: this is not a putting address: {why_not}. Give the time of one with --setup-at, or a still of "
            "one."
        )


def name_why_no_setup(landmarks: Landmarks, *, handed: Handed, misfit: float, without_putter: bool = False) -> str:
    """Return one clause on why a moment is not a setup, by the pose or by the misfit of all landmarks.

    Parameters
    ----------
    landmarks : Landmarks
        As the model gave them.
    handed : Handed
        For the direction toward the ball or the target.
    misfit : float
        As for `check_setup`.
    without_putter : bool
        As for `check_setup`.

    Returns
    -------
    str
        Empty where nothing speaks against it.
    """
    why_not = name_other_pose(landmarks, handed=handed, without_putter=without_putter)
    if not why_not and misfit > MISFIT_REFUSED:
        return (
            f"shoulders, hips, legs and head together do not fit a golfer at address ({misfit:.1f} times the usual "
            f"misfit; at most {MISFIT_REFUSED:g} was needed). The body is turned or bent differently, or the lines are "
            "on something else"
        )
    return why_not


def name_other_pose(landmarks: Landmarks, *, handed: Handed, without_putter: bool = False) -> str:
    """Return one clause on why a pose is not an address.

    Parameters
    ----------
    landmarks : Landmarks
        As the model gave them; NaN where hidden, which is no reason.
    handed : Handed
        For the direction toward the ball or the target.
    without_putter : bool
        Whether no putter holds the hands in front of the feet.

    Returns
    -------
    str
        Empty where nothing shows another pose.
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


def sees_other_view(landmarks: Landmarks) -> bool:
    """Return whether the student is seen from the side face on, or from the front or the back down the line.

    Parameters
    ----------
    landmarks : Landmarks
        As the model gave them.

    Returns
    -------
    bool
        True where the view is the other one.
    """
    hip, knee, ankle = (landmarks.middle(part) for part in ("hip", "knee", "ankle"))
    legs = median_seen(np.linalg.norm(hip - knee, axis=1) + np.linalg.norm(knee - ankle, axis=1))
    stature_px = legs / LEGS_SHARE
    wide = {
        part: median_seen(np.abs(landmarks.point(f"left_{part}") - landmarks.point(f"right_{part}"))[:, 0]) / stature_px
        for part in CHEST_ON_SHARES
    }
    if landmarks.view == "face_on":
        return wide["shoulder"] < SIDE_ON_SHARE
    return all(wide[part] > least for part, least in CHEST_ON_SHARES.items())


def _both(landmarks: Landmarks, part: str) -> Floats:
    """Return left and right of a part, (2, T, 2) px."""
    return np.stack([landmarks.point(f"left_{part}"), landmarks.point(f"right_{part}")])
