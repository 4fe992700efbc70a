"""What one view shows, from which its scene is read."""

import numpy as np
from attrs import field, frozen

from putt_posture.values import Estimate, Floats, Given, Landmarks, Picture, PictureFinds
from putt_posture.values.showing import brief

__all__ = ["Seen"]


@brief
@frozen(kw_only=True, eq=False)
class Seen:
    """What one view shows: landmarks, the still, what the coach gave, and the name of the clip in messages.

    Attributes
    ----------
    landmarks : Landmarks
        In the setup frames, pixels.
    picture : (H, W, 3) uint8 or None
        The still, RGB; None where it was erased. Then `kept` says what was found in it.
    given : Given
        What the coach typed and drew for this view.
    file : str
        Name of the clip in messages.
    roll : Estimate or None
        Camera roll as found in the picture, deg, whatever the coach gave; None where it was not searched for yet.
    yaw : Estimate or None
        How far the camera stood off square, deg; None where it is not known.
    still_index : int or None
        Index of the frame of the landmarks that is the still; None where it is not known.
    kept : PictureFinds or None
        What was found in the picture earlier; None where it was not read yet.
    resolution_px : float
        Size of the smallest detail that the picture shows, px.
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
