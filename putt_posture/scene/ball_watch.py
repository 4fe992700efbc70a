"""The ball in one frame of a stroke: at rest, gone, hidden, or rolling.

At its place it is told from the floor by its colour in the still. A rolling ball is what differs from the things that
stand still behind it in the ball's own colour; which of such spots are the ball is told by all frames together
(`scene/ball_roll.py`).

All points are crop pixels (`scene/crops.py`).
"""

import math
from typing import Final, Literal

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from scipy.optimize import leastsq

from putt_posture.scene.roll_line import RollLine
from putt_posture.values import Floats, Picture, View

__all__ = ["BallSight", "BallWatch"]

Levels = NDArray[np.float32]
State = Literal["there", "gone", "covered"]
Window = tuple[slice, slice]

_INNER: Final = 0.75
"""Share of the radius within which the place of rest is looked at."""
_ALIKE: Final = 0.35
"""Colours alike by less than this share of the difference between ball and floor are the same."""
_FLOOR_LIGHT: Final = (0.55, 1.3)
"""How dark a shadow makes a floor, and how bright it may be, against what lies round the ball."""
_LIKE_FLOOR: Final = 0.13
_MOSTLY: Final = 0.6
_LEAST_CONTRAST: Final = 25.0
"""Least difference between ball and floor, of 255, with which a ball can be followed."""
_RING: Final = (1.35, 2.2)
_SPOT: Final = 0.38
"""Least score of a spot, 0 to 1: how full of the ball's colour it is, less its surroundings."""
_SPOTS: Final = 3
_NEAR_REST: Final = 5.0
"""How far round its place of rest the ball at rest is looked for, radii."""
_COVERED: Final = 0.3
"""A ball of which more than this share is behind the putter is not read."""
_RIM_PX: Final = 0.8
"""How soft its rim is."""
_SHADES: Final = (0.35, 1.1)
"""Brightness of a ball's sides against its lit one."""
_STRANGE: Final = 0.18
_CHANGED: Final = 0.15
"""Shares of the difference between ball and floor: so far from the ball's colour in any light, and so far from what
stands still, a place is half ball."""
_CORRIDOR_CM: Final = (-3.0, 130.0)
_ASIDE: Final[dict[View, float]] = {"down_the_line": 0.22, "face_on": 0.08}
"""How far to the side of the expected line a ball may roll, as a share of the way in the picture: about 6° on the
ground look like this, from a camera at hip height, and face on a camera roll of 3° that was not found."""
_ASIDE_CM: Final = 2.5


@frozen(kw_only=True, eq=False)
class BallSight:
    """What one frame shows of the ball.

    Attributes
    ----------
    state : {"there", "gone", "covered"}
        Of its place of rest.
    spots_px : (K, 2)
        Places in front of it that look like a ball and are not there in other frames, best first.
    scores : (K,)
        How much, 0 to 1.
    """

    state: State
    spots_px: Floats = field(repr=False)
    scores: Floats = field(repr=False)


class BallWatch:
    """Looks for the ball in one frame after the other.

    Parameters
    ----------
    shown : (H, W, 3) uint8
        A crop in which the ball is at rest.
    behind : (H, W, 3) uint8
        What stands still, without the ball where it leaves.
    line : RollLine
    radius_px : float
        Of the ball.
    view : View
        Down the line the head may hide the lower half of the ball.
    """

    def __init__(self, shown: Picture, behind: Picture, *, line: RollLine, radius_px: float, view: View) -> None:
        self.line, self.radius_px, self._aside = line, radius_px, _ASIDE[view]
        height, width = shown.shape[:2]
        v, u = np.mgrid[:height, :width] + 0.5
        away = np.hypot(u - line.rest_px[0], v - line.rest_px[1]) / radius_px
        self._disc = away < _INNER
        ring = (away > _RING[0]) & (away < _RING[1])
        if view == "down_the_line":
            self._disc &= v < line.rest_px[1]
            ring &= v < line.rest_px[1]
        self._shown = shown[self._disc].astype(np.float64)
        self._behind = behind.astype(np.float32)
        around = shown[ring].astype(np.float64)
        self._floor = np.median(around, axis=0) if len(around) else np.zeros(3)
        spread = np.linalg.norm(around - self._floor, axis=1) if len(around) else np.zeros(1)
        self._lit = np.median(self._shown, axis=0) if len(self._shown) else np.ones(3)
        self.colour = self._lit - self._floor
        self.contrast = float(np.linalg.norm(self.colour))
        self._floor_limit = max(_LIKE_FLOOR * self.contrast, 2.5 * float(np.median(spread)))
        self._corridor = self._find_corridor(shown.shape[1::-1])
        self._near_rest = self._cut_to_rest(self._corridor)

    @property
    def clear(self) -> bool:
        """Whether the ball differs enough from the floor to be followed."""
        return self.contrast >= _LEAST_CONTRAST

    def state(self, crop: Picture) -> State:
        """Return whether the ball is at its place of rest.

        Parameters
        ----------
        crop : (H, W, 3) uint8
        """
        now = crop[self._disc].astype(np.float64)
        limit = _ALIKE * self.contrast
        if (np.linalg.norm(now - self._shown, axis=1) < limit).mean() > _MOSTLY:
            return "there"
        # A shadow takes light from a floor, and little of its colour; a dark shoe is darker than that.
        floor = self._floor
        light = np.clip(now @ floor / max(float(floor @ floor), 1.0), *_FLOOR_LIGHT)
        apart = np.linalg.norm(now - light[:, None] * floor, axis=1)
        return "gone" if (apart < self._floor_limit).mean() > _MOSTLY else "covered"

    def look(self, crop: Picture, hidden: NDArray[np.bool_] | None = None) -> BallSight:
        """Look for the ball in a frame: at rest, or else rolling.

        Parameters
        ----------
        crop : (H, W, 3) uint8
        hidden : (H, W) bool, optional
            Where the putter is in it: a ball that it touches is not read, since only a part of it shows.
        """
        state = self.state(crop)
        spots, scores = (
            (np.empty((0, 2)), np.empty(0)) if state == "there" else self._spots(crop, hidden, self._corridor)
        )
        return BallSight(state=state, spots_px=spots, scores=scores)

    def rest_px(self, crop: Picture, hidden: NDArray[np.bool_] | None = None) -> Floats | None:
        """Return the centre of the ball at rest, found as that of a rolling one; None where it does not show whole.

        Parameters
        ----------
        crop : (H, W, 3) uint8
        hidden : (H, W) bool, optional
        """
        spots, _ = self._spots(crop, hidden, self._near_rest)
        near = [spot for spot in spots if np.linalg.norm(spot - self.line.rest_px) < self.radius_px]
        return near[0] if near else None

    def _find_corridor(self, size: tuple[int, int]) -> tuple[Window, NDArray[np.bool_]]:
        """Return the window in which a ball may roll, and where in it."""
        first, last = (self.line.px_at(cm) for cm in _CORRIDOR_CM)
        along, rest = self.line.along, self.line.rest_px
        across = np.array([-along[1], along[0]])
        wide = _ASIDE_CM * self.line.px_per_cm
        corners = [
            rest + way * along + side * (wide + self._aside * max(way, 0)) * across
            for way in (first, last)
            for side in (-1, 1)
        ]
        margin = 2.5 * self.radius_px
        low = np.clip(np.floor(np.min(corners, axis=0) - margin), 0, np.array(size) - 1).astype(int)
        high = np.clip(np.ceil(np.max(corners, axis=0) + margin), low + 1, size).astype(int)
        v, u = np.mgrid[low[1] : high[1], low[0] : high[0]] + 0.5
        way = (u - rest[0]) * along[0] + (v - rest[1]) * along[1]
        aside = np.abs((u - rest[0]) * across[0] + (v - rest[1]) * across[1])
        inside = (way >= first) & (way <= last) & (aside <= wide + self._aside * np.maximum(way, 0))
        return (slice(low[1], high[1]), slice(low[0], high[0])), inside

    def _cut_to_rest(self, place: tuple[Window, NDArray[np.bool_]]) -> tuple[Window, NDArray[np.bool_]]:
        """Return the part of a window round the place of rest."""
        window, inside = place
        parts = []
        for side, middle in zip(window, self.line.rest_px[::-1], strict=True):
            first = min(max(int(middle - _NEAR_REST * self.radius_px) - side.start, 0), side.stop - side.start - 1)
            last = max(math.ceil(middle + _NEAR_REST * self.radius_px) + 1 - side.start, first + 1)
            parts.append(slice(first, min(last, side.stop - side.start)))
        rows, columns = (
            slice(side.start + part.start, side.start + part.stop) for side, part in zip(window, parts, strict=True)
        )
        return (rows, columns), inside[parts[0], parts[1]]

    def _spots(
        self, crop: Picture, hidden: NDArray[np.bool_] | None, place: tuple[Window, NDArray[np.bool_]]
    ) -> tuple[Floats, Floats]:
        window, inside = place
        ball = self._ballness(crop[window], self._behind[window])
        free = np.ones(ball.shape, np.float32) if hidden is None else (~hidden[window]).astype(np.float32)
        radius = self.radius_px
        # The putter may be as light as the ball: it counts neither for nor against one.
        shown, around = _mean(free, _disc_kernel(0.9 * radius)), _mean(free, _ring_kernel(radius))
        full = _mean(free * ball, _disc_kernel(0.9 * radius)) / np.maximum(shown, 1e-3)
        empty = _mean(free * ball, _ring_kernel(radius)) / np.maximum(around, 1e-3)
        scores = np.where(inside & (shown > 1 - _COVERED), full - np.clip(empty, 0, 1), 0.0)
        spots, kept = [], []
        left = scores.copy()
        corner = np.array([window[1].start, window[0].start], dtype=np.float64)
        for _ in range(_SPOTS):
            row, column = np.unravel_index(int(left.argmax()), left.shape)
            if left[row, column] < _SPOT:
                break
            at = np.array([column + 0.5, row + 0.5])
            spots.append(_fit_disc(ball, free, at, radius * self.line.nearness(at + corner)) + corner)
            kept.append(float(left[row, column]))
            cv2.circle(left, (int(column), int(row)), math.ceil(2 * radius), 0.0, -1)
        return np.reshape(np.array(spots), (-1, 2)), np.array(kept)

    def _ballness(self, crop: Picture, behind: Levels) -> Levels:
        """Return how much each place has changed and looks like the ball, in light or shadow, 0 to 1."""
        colour = self._lit.astype(np.float32)
        now = crop.astype(np.float32)
        shade = np.clip(now @ colour / float(colour @ colour), *_SHADES)
        strange = _squares(now - shade[..., None] * colour) / (_STRANGE * self.contrast) ** 2
        changed = _squares(now - behind) / (_CHANGED * self.contrast) ** 2
        return np.asarray(changed / (1 + changed) / (1 + strange), dtype=np.float32)


def _mean(values: Levels, kernel: Floats) -> Levels:
    return np.asarray(cv2.filter2D(values, -1, kernel / kernel.sum(), borderType=cv2.BORDER_CONSTANT))


def _disc_kernel(radius: float) -> Floats:
    return np.asarray(_kernel(radius) <= radius, dtype=np.float64)


def _ring_kernel(radius: float) -> Floats:
    away = _kernel(2.0 * radius)
    return np.asarray((away > 1.4 * radius) & (away < 2.0 * radius), dtype=np.float64)


def _squares(difference: Levels) -> Levels:
    """Return the sum of the squares of three channels."""
    return np.asarray(np.einsum("...c,...c->...", difference, difference))


def _kernel(radius: float) -> Floats:
    """Return the distance from the middle of a square of that half-width, px."""
    half = math.ceil(radius)
    v, u = np.mgrid[-half : half + 1, -half : half + 1]
    return np.asarray(np.hypot(u, v))


def _fit_disc(values: Levels, free: Levels, start: Floats, radius: float) -> Floats:
    """Return the centre of the disc near a place that is most like the values where they are free, (2,) px."""
    height, width = values.shape
    reach = 1.7 * radius
    low = np.maximum(np.floor(start - reach), 0).astype(int)
    high = np.minimum(np.ceil(start + reach) + 1, [width, height]).astype(int)
    v, u = np.mgrid[low[1] : high[1], low[0] : high[0]] + 0.5
    part, weight = values[low[1] : high[1], low[0] : high[0]], free[low[1] : high[1], low[0] : high[0]]

    def disc(guess: Floats) -> Floats:
        away = np.hypot(u - guess[0], v - guess[1])
        return np.asarray(1 / (1 + np.exp(np.clip((away - radius) / _RIM_PX, -30, 30))))

    def residuals(guess: Floats) -> Floats:
        return np.asarray((weight * (part - guess[2] * disc(guess))).ravel())

    def slopes(guess: Floats) -> Floats:
        full, away = disc(guess), np.maximum(np.hypot(u - guess[0], v - guess[1]), 1e-9)
        rim = guess[2] * full * (1 - full) / _RIM_PX / away
        columns = [(u - guess[0]) * rim, (v - guess[1]) * rim, full]
        return np.stack([-(weight * each).ravel() for each in columns], axis=1)

    # `least_squares` does the same in three times the time: that of its own book-keeping.
    found, *_ = leastsq(residuals, [*start, 0.8], Dfun=slopes, diag=[1.0, 1.0, 1 / 0.3], maxfev=15, full_output=True)
    at = np.asarray(found[:2])
    return at if np.linalg.norm(at - start) < radius else start
