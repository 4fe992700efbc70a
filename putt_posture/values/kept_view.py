"""One view of a kept lesson as it was seen: the still with the student's outline and joints in it."""

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.values.arrays import Floats
from putt_posture.values.clip import Picture
from putt_posture.values.landmarks import LANDMARK_INDEX
from putt_posture.values.record import ViewRecord

__all__ = ["KeptView"]


@frozen(kw_only=True, eq=False)
class KeptView:
    """One view of a kept lesson as it was seen.

    Attributes
    ----------
    record : ViewRecord
    still : (H, W, 3) uint8
        The still without marks, RGB; it shows `record.still_box_px` of the full-size picture.
    outline : (h, w) uint8
        How surely each full-size pixel of `outline_box_px` is the student, 0 to 255.
    outline_box_px : (int, int, int, int)
        u0, v0, u1, v1 in the full-size picture.
    joints_px : (33, 2)
        Joint centres in the still's frame, full-size pixels, in the order of `LANDMARK_NAMES`; NaN where unseen.
    """

    record: ViewRecord
    still: Picture = field(repr=False)
    outline: NDArray[np.uint8] = field(repr=False)
    outline_box_px: tuple[int, int, int, int]
    joints_px: Floats = field(repr=False)

    def joint(self, name: str) -> Floats:
        """Return one joint, (2,) full-size pixels; NaN where unseen."""
        place: Floats = self.joints_px[LANDMARK_INDEX[name]]
        return place

    def middle(self, *names: str) -> Floats:
        """Return the middle of those of these joints that are seen, (2,) full-size pixels; NaN where none is."""
        places = [place for name in names if np.isfinite(place := self.joint(name)).all()]
        return np.asarray(np.mean(places, axis=0)) if places else np.full(2, np.nan)
