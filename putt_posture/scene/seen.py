"""What one view brings to the reading of its scene."""

import numpy as np
from attrs import field, frozen

from putt_posture.scene.given import Given
from putt_posture.values import Estimate, Floats, Landmarks, Picture
from putt_posture.values.showing import brief

__all__ = ["Seen"]


@brief
@frozen(kw_only=True, eq=False)
class Seen:
    """What one view shows: landmarks, the still that stands for it, what the coach gave, and what to call the clip.

    Attributes
    ----------
    landmarks : Landmarks
    picture : (H, W, 3) uint8
    given : Given
    file : str
    roll : Estimate or None
        Camera roll, deg; None where it is still to be found.
    yaw : Estimate or None
        How far the camera stood off square, deg; None where it is not known.
    still_index : int or None
        Which frame of the landmarks the picture is; None where it may be any.
    """

    landmarks: Landmarks
    picture: Picture = field(repr=False)
    given: Given
    file: str = "The clip"
    still_index: int | None = None
    roll: Estimate | None = None
    yaw: Estimate | None = None

    def hands_px(self) -> Floats:
        """Return the hand centre in the setup that the picture shows, (2,) px; NaN where a hand is hidden."""
        centres = self.landmarks.hand_centre()
        if self.still_index is not None:
            setups = self.landmarks.setup_index
            centres = centres[setups == setups[self.still_index]]
        seen = centres[np.isfinite(centres).all(axis=1)]
        return np.median(seen, axis=0) if len(seen) else np.full(2, np.nan)
