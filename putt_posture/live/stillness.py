"""When the student stands still: the moments that can be held and measured."""

from typing import Final

import numpy as np
from attrs import define, field

from putt_posture.values import LANDMARK_INDEX, Floats

__all__ = ["LEAST_STILL_S", "StillnessWatch"]

STILL_SPEED: Final = 0.03
"""Speed below which a joint is still, lengths of the body a second: 4 cm/s. At rest all but two of a rendered golfer's
joints seem to move at less than 0.025, by the noise of the model; in a slow change of the posture three move at more
than 0.03, in a stroke at 0.1 to 0.2."""
MOST_JUMPING: Final = 2
"""So many joints may be faster: the model's guess of a hidden arm jumps while the body is still."""
LEAST_STILL_S: Final = 0.5
"""Shorter stillness is the turn of a swing or a pause in a waggle, s (as in `setups.quiet`)."""
LOST_S: Final = 0.5
"""Without the student for longer, the stillness is over, s."""
_JOINTS: Final = [
    LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in ("shoulder", "wrist", "hip", "ankle")
]


@define
class StillnessWatch:
    """Tell since when the student stands still, and which stretch was the last.

    Attributes
    ----------
    last_s : (float, float) or None
        Start and end of the stillness that goes on, or of the last one that was long enough.
    """

    last_s: tuple[float, float] | None = field(default=None, init=False)
    _since_s: float | None = field(default=None, init=False)
    _seen_s: float = field(default=-np.inf, init=False)

    def push(self, speed_px: Floats, *, time_s: float, size_px: float) -> bool:
        """Take the speed of the landmarks in the next frame with the student and say whether they stand still.

        Parameters
        ----------
        speed_px : (33, 2)
            Smoothed, pixels a second.
        time_s : float
        size_px : float
            The body's size.

        Returns
        -------
        bool
            Whether the student has been still for long enough.
        """
        speeds = np.linalg.norm(speed_px[_JOINTS], axis=1) / max(size_px, 1.0)
        moving = int((speeds > STILL_SPEED).sum())
        if time_s - self._seen_s > LOST_S or moving > MOST_JUMPING:
            self._since_s = None
        elif self._since_s is None:
            self._since_s = time_s
        self._seen_s = time_s
        if self._since_s is None or time_s - self._since_s < LEAST_STILL_S:
            return False
        self.last_s = (self._since_s, time_s)
        return True
