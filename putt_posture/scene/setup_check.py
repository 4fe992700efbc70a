"""Checks of a setup: the body is in the picture, seen from the right side, at address.

Otherwise every number would be wrong and look certain, so the clip is refused. Shares are of the stature as the legs
show it in the picture, so that a wrong scale or stature does not matter here.
"""

from typing import Final

import numpy as np

from putt_posture.errors import SetupNotFound, StudentNotFound
from putt_posture.scene.other_pose import name_other_pose
from putt_posture.values import Handed, Landmarks, View, median_seen

__all__ = ["check_body", "check_setup"]


_CHAIN: Final[dict[View, dict[str, str]]] = {
    "down_the_line": {"hip": "hips", "shoulder": "shoulders"},
    "face_on": {"ankle": "feet", "hip": "hips"},
}
"""Parts that the scale from stature needs, and what to call them; down the line the trunk alone gives one."""

SIDE_ON_SHARE: Final = 0.06
"""Face on, shoulders narrower than this are seen from the side: 0.2 of stature joint to joint (`camera`), 73° off."""
CHEST_ON_SHARES: Final = {"shoulder": 0.15, "hip": 0.09}
"""Down the line, shoulders and hips wider than these are seen from the front or the back: 0.2 and 0.12 of stature,
49° off. Hips count too, since the shoulders may turn."""
LEGS_SHARE: Final = 0.491
"""Hip to knee to ankle (Drillis and Contini 1966, as printed in Winter 2009, fig. 4.1)."""
MISFIT_REFUSED: Final = 2.75
"""Landmarks with a larger misfit to golfers at address show something else, or lie on something else. Four people at
address had at most 2.3, rendered golfers 2.69 down the line and 2.68 face on in cross-validation; a takeaway whose
hands have left the ball, tops, impacts and finishes had 2.8 and more (DEVELOPERS.md)."""


def check_body(landmarks: Landmarks, *, file: str) -> None:
    """Refuse a view without the joints that the scale from stature needs.

    Parameters
    ----------
    landmarks : Landmarks
    file : str
        What to call the clip.

    Raises
    ------
    StudentNotFound
        No frame shows them all.
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
        As the model gave them; what is hidden is NaN and gives no reason to refuse.
    handed : Handed
    misfit : float
        How well they fit golfers at address, from `putt_posture.joints`.
    file : str
        What to call the clip.
    without_putter : bool
        Whether it was filmed without a putter: arms that hang may be behind the feet, where no putter holds them.

    Raises
    ------
    StudentNotFound
        The clip shows the other view.
    SetupNotFound
        The pose is not an address, by its visible parts or since the landmarks as a whole do not fit one.
    """
    _check_side(landmarks, file=file)
    against = name_other_pose(landmarks, handed=handed, without_putter=without_putter)
    if not against and misfit > MISFIT_REFUSED:
        against = (
            f"shoulders, hips, legs and head together do not fit a golfer at address ({misfit:.1f} times the usual "
            f"misfit; at most {MISFIT_REFUSED:g} was needed). The body is turned or bent differently, or the lines are "
            "on something else"
        )
    if against:
        raise SetupNotFound(
            f"{file}: this is not a putting address: {against}. Give the time of one with --setup-at, or a still of "
            "one."
        )


def _check_side(landmarks: Landmarks, *, file: str) -> None:
    hip, knee, ankle = (landmarks.middle(part) for part in ("hip", "knee", "ankle"))
    legs = median_seen(np.linalg.norm(hip - knee, axis=1) + np.linalg.norm(knee - ankle, axis=1))
    stature_px = legs / LEGS_SHARE
    wide = {
        part: median_seen(np.abs(landmarks.point(f"left_{part}") - landmarks.point(f"right_{part}"))[:, 0]) / stature_px
        for part in CHEST_ON_SHARES
    }
    if landmarks.view == "face_on" and wide["shoulder"] < SIDE_ON_SHARE:
        raise StudentNotFound(
            f"{file}: the student is seen from the side; the chest was needed for the face-on view. "
            "Give this clip to --down-the-line, or film square to the chest."
        )
    if landmarks.view == "down_the_line" and all(wide[part] > least for part, least in CHEST_ON_SHARES.items()):
        raise StudentNotFound(
            f"{file}: the student is seen from the front or the back; the side was needed for the down-the-line view. "
            "Give this clip to --face-on, or film along the target line."
        )
