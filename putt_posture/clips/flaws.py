"""Doubled frames, missing frames and cuts, seen in the pictures and their times.

A doubled frame repeats the picture before it; a rate that was made even has them. A cut goes from one take to another:
either everything changes at once, or the student alone jumps before a background that stays.
"""

from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.values import Floats, Picture

__all__ = ["FlawWatch", "Flaws"]

_SMALL_PX: Final = 160
"""Longer side of the pictures that are compared, pixels."""
_AROUND: Final = 4
"""A change is compared with those of so many frames before and after."""
_DOUBLED: Final = 0.12
"""A change below this share of the upper quartiles before and after is none. At the top of a swing, where true frames
change least, it is 0.17 and more (a turn at constant acceleration, without noise), but for one frame at most."""
_LEAST_CHANGE: Final = 0.05
"""Where less than this changes around, grey levels, nothing moves, and a doubled frame would be no loss."""
_MISSING: Final = 1.6
"""A spacing of more than this many median ones lacks a frame."""
_OTHER_SCENE: Final = 0.6
"""Two pictures with a lower correlation show different things."""
_JUMP: Final = 3.5
_LEAST_JUMP: Final = 3.0
"""Around the student a cut changes this many times as much as any frame near it, and this many grey levels."""


@frozen(kw_only=True, eq=False)
class Flaws:
    """What is wrong with the frames of a part of a clip.

    Attributes
    ----------
    times_s : (N,)
        Clip times of all frames.
    doubled : (N,) bool
        Whether a frame repeats the one before.
    missing : int
        How many frames are missing between the first and the last, by their times.
    gap_s : float
        The longest spacing of two frames that differ, s.
    cuts_s : tuple of float
        Clip times of the first frames after a cut.
    """

    times_s: Floats
    doubled: NDArray[np.bool_] = field(repr=False)
    missing: int
    gap_s: float
    cuts_s: tuple[float, ...]


class FlawWatch:
    """Compares each frame with the one before; push each once, in order of time.

    Parameters
    ----------
    scale : float
        Pixels of the frames that are pushed per full-size pixel.
    box_px : (u0, v0, u1, v1)
        Around the student, the putter and the ball, pixels of the full size.
    """

    def __init__(self, *, scale: float, box_px: tuple[float, float, float, float]) -> None:
        self._scale = scale
        self._box = box_px
        self._last: NDArray[np.float32] | None = None
        self._times: list[float] = []
        self._change: list[float] = []
        self._likeness: list[float] = []

    def push(self, picture: Picture, *, time_s: float) -> None:
        """Compare the next frame.

        Parameters
        ----------
        picture : (h, w, 3) uint8
        time_s : float
            Clip time.
        """
        shrink = _SMALL_PX / max(picture.shape[:2])
        small = cv2.resize(picture, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
        grey = cv2.cvtColor(small, cv2.COLOR_RGB2GRAY).astype(np.float32)
        u0, v0, u1, v1 = (round(edge * self._scale * shrink) for edge in self._box)
        if self._last is None:
            change, likeness = np.nan, 1.0
        else:
            difference = np.abs(grey - self._last)
            part = difference[max(v0, 0) : max(v1, 1), max(u0, 0) : max(u1, 1)]
            change = float((part if part.size else difference).mean())
            spread = float(grey.std() * self._last.std())
            product = float(((grey - grey.mean()) * (self._last - self._last.mean())).mean())
            likeness = product / spread if spread > 0 else 1.0
        self._times.append(time_s)
        self._change.append(change)
        self._likeness.append(likeness)
        self._last = grey

    def finish(self) -> Flaws:
        """Return what was wrong in all frames that were pushed."""
        times, change = np.array(self._times), np.array(self._change)
        doubled = _doubled(change)
        kept = times[~doubled]
        gaps = np.diff(kept)
        usual = float(np.median(gaps)) if len(gaps) else np.nan
        long = gaps[gaps > _MISSING * usual]
        return Flaws(
            times_s=times,
            doubled=doubled,
            missing=int(np.round(long / usual - 1).sum()) if len(long) else 0,
            gap_s=float(gaps.max()) if len(gaps) else 0.0,
            cuts_s=tuple(times[_cuts(times, change, np.array(self._likeness), doubled)].tolist()),
        )


def _doubled(change: Floats) -> NDArray[np.bool_]:
    doubled = np.zeros(len(change), dtype=bool)
    for at in range(1, len(change)):
        sides = change[max(at - _AROUND, 0) : at], change[at + 1 : at + 1 + _AROUND]
        known = [side[np.isfinite(side)] for side in sides]
        upper = min((float(np.percentile(side, 75)) for side in known if len(side)), default=0.0)
        doubled[at] = upper > _LEAST_CHANGE and change[at] < _DOUBLED * upper
    return doubled


def _cuts(times: Floats, change: Floats, likeness: Floats, doubled: NDArray[np.bool_]) -> list[int]:
    cuts = []
    kept = np.flatnonzero(~doubled)
    usual = float(np.median(np.diff(times[kept]))) if len(kept) > 1 else np.nan
    for place, at in enumerate(kept.tolist()):
        if likeness[at] < _OTHER_SCENE:
            cuts.append(at)
            continue
        around = _others(change[kept], place, _AROUND)
        if len(around) and np.isfinite(change[at]):
            longer = max((times[at] - times[kept[place - 1]]) / usual, 1.0)  # after missing frames more has changed
            jumps = change[at] > max(_JUMP * longer * float(around.max()), _LEAST_JUMP)
            cuts += [at] if jumps else []
    return cuts


def _others(change: Floats, at: int, reach: int) -> Floats:
    """Return the changes around one, without it."""
    around = np.concatenate([change[max(at - reach, 0) : at], change[at + 1 : at + 1 + reach]])
    known: Floats = around[np.isfinite(around)]
    return known
