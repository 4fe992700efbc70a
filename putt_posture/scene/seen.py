"""What one view brings to the reading of its scene."""

import numpy as np
from attrs import field, frozen

from putt_posture.values import Estimate, Floats, Given, Landmarks, Picture, PictureFinds
from putt_posture.values.showing import brief

__all__ = ["Seen"]


@brief
@frozen(kw_only=True, eq=False)
class Seen:
    """What one view shows: landmarks, the still that stands for it, what the coach gave, and what to call the clip.

    Attributes
    ----------
    landmarks : Landmarks
    picture : (H, W, 3) uint8 or None
        None where it was erased; then `kept` says what was found in it.
    given : Given
    file : str
    roll : Estimate or None
        Camera roll as the picture tells it, deg, whatever was given; None where it is still to be looked for.
    yaw : Estimate or None
        How far the camera stood off square, deg; None where it is not known.
    still_index : int or None
        Which frame of the landmarks the picture is; None where it may be any.
    kept : PictureFinds or None
        What was found in the picture when it was there; None where it is still to be looked at.
    resolution_px : float
        How coarse the picture is, pixels.
    """

    landmarks: Landmarks
    picture: Picture | None = field(repr=False)
    given: Given
    file: str = "The clip"
    still_index: int | None = None
    roll: Estimate | None = None
    yaw: Estimate | None = None
    kept: PictureFinds | None = None
    resolution_px: float = 1.0

    def hands_px(self) -> Floats:
        """Return the hand centre in the setup that the picture shows, (2,) px; NaN where a hand is hidden."""
        centres = self.landmarks.hand_centre()
        if self.still_index is not None:
            setups = self.landmarks.setup_index
            centres = centres[setups == setups[self.still_index]]
        seen = centres[np.isfinite(centres).all(axis=1)]
        return np.median(seen, axis=0) if len(seen) else np.full(2, np.nan)
