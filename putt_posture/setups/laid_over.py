"""A stroke of one clip laid over the other clip: when the motion there is most like it.

How much moves in the picture rises and falls with the speed of the hands, from whatever side they are filmed. Down the
line, where hands move toward the camera and a short putt hardly turns the body, that shows a stroke and its time better
than the place of any point. Times are real seconds.
"""

from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.setups.quiet import Activity, Stretch
from putt_posture.values import Floats

__all__ = ["LEAST_LIKE", "LaidOver", "lay_over"]

LEAST_LIKE: Final = 0.9
"""Least correlation. Of twelve rendered strokes in two views, the two of one performance have 0.94 and more."""
_STEP_S: Final = 1 / 120
_BEFORE_S: Final = 0.4
_AFTER_S: Final = 0.3
"""Stillness before the start and after the finish that belongs to the pattern, s."""


@frozen(kw_only=True)
class LaidOver:
    """Where a stroke of one clip lies best over another clip.

    Attributes
    ----------
    shift_s : float
        Added to a time of the clip that shows the stroke it gives that of the other, s.
    like : float
        Correlation of the motion there.
    """

    shift_s: float
    like: float


def lay_over(
    giver: Activity, stroke_s: Stretch, taker: Activity, *, least_shift_s: float, most_shift_s: float
) -> LaidOver | None:
    """Find where the motion of a stroke lies best over another clip.

    Parameters
    ----------
    giver : Activity
        Of the clip that shows the stroke.
    stroke_s : (float, float)
        Its start and finish.
    taker : Activity
        Of the other clip.
    least_shift_s, most_shift_s : float
        Shifts that are tried.

    Returns
    -------
    LaidOver or None
        None where no shift puts all of the stroke into the other clip while the student is at address there.
    """
    if not (len(giver.times_s) and len(taker.times_s)):
        return None
    times_s = np.arange(stroke_s[0] - _BEFORE_S, stroke_s[1] + _AFTER_S, _STEP_S)
    times_s = times_s[(times_s >= giver.times_s[0]) & (times_s <= giver.times_s[-1])]
    lags = np.arange(least_shift_s, most_shift_s + _STEP_S / 2, _STEP_S)
    begins, ends = stroke_s[0] + lags, np.minimum(stroke_s[1], giver.times_s[-1]) + lags
    lags = lags[(begins >= taker.times_s[0]) & (ends <= taker.times_s[-1])]
    if not len(lags) or len(times_s) < 2:
        return None
    moves = _moves(giver, times_s)
    first_s = float(times_s[0] + lags[0])
    others = _moves(taker, first_s + _STEP_S * np.arange(len(times_s) + len(lags) - 1, dtype=np.float64))
    there = _there(taker, stroke_s, lags)
    like = np.where(there, _correlate(moves, others), -1.0)
    best = int(np.argmax(like))
    return LaidOver(shift_s=float(lags[best]), like=float(like[best])) if there.any() else None


def _moves(activity: Activity, times_s: Floats) -> Floats:
    """Return how much more moves than in stillness, as a root so that its size counts less; outside of the clip 0."""
    over = np.sqrt(np.maximum(np.nan_to_num(activity.level - activity.floor), 0.0))
    return np.interp(times_s, activity.times_s, over, left=0.0, right=0.0)


def _there(taker: Activity, stroke_s: Stretch, lags: Floats) -> Floats:
    """Return at which shifts the student is at address for the first two thirds of the stroke."""
    away = np.concatenate(([0], np.cumsum(~taker.at_address)))
    until_s = stroke_s[0] + (stroke_s[1] - stroke_s[0]) * 2 / 3
    first, last = (np.searchsorted(taker.times_s, at_s + lags) for at_s in (stroke_s[0], until_s))
    return np.asarray(away[last] == away[first])


def _correlate(pattern: Floats, values: Floats) -> Floats:
    """Return the correlation of a pattern with every place of a longer row of values; 0 where nothing varies."""
    count = len(pattern)
    even = pattern - pattern.mean()
    along = np.correlate(values, even, mode="valid")
    sums, squares = (np.concatenate(([0.0], np.cumsum(each))) for each in (values, values**2))
    varies = squares[count:] - squares[:-count] - (sums[count:] - sums[:-count]) ** 2 / count
    spread = np.sqrt(np.maximum(varies, 0.0) * float(even @ even))
    return np.divide(along, spread, out=np.zeros_like(along), where=spread > 1e-9)
