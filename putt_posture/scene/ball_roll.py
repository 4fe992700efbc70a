"""The one smooth roll of a ball that its spots in many frames lie on.

Of all spots that look like a ball those count that lie on one roll which begins where the ball was. When it left is
found from that roll, taken back to the place of rest, so that it is known better than to a frame.

All points are crop pixels (`scene/crops.py`); a roll is in cm along the ground from the place of rest.
"""

import math
from typing import Final

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from scipy.optimize import least_squares

from putt_posture.scene.ball_watch import BallSight
from putt_posture.scene.roll_line import RollLine
from putt_posture.values import Floats

__all__ = ["Roll", "fit_roll"]

_SLOWEST_CM_S: Final = 8.0
"""Also in slow motion that plays eight times slower."""
_FASTEST_CM_S: Final = 600.0
_BRAKE_SHARE: Final = (0.25, 0.25)
"""Deceleration over speed, and one sigma, 1/s: rolling takes 0.55 m/s² off 2.2 m/s (Stimpmeter at 10 ft); a ball that
slides at first loses up to two sevenths of its speed in its first third of a metre."""
_FITS_CM: Final = 1.2
_LEAST_SPOTS: Final = 3
_USED_CM: Final = 60.0
"""The first motion is found from this much of the roll."""
_SURELY_MOVED_CM: Final = 3.0
_SPOT_SD_PX: Final = 0.25
_REST_SD_PX: Final = 0.25


@frozen(kw_only=True, eq=False)
class Roll:
    """One smooth roll away from the place of rest.

    Attributes
    ----------
    leaves_s, leaves_sd_s : float
        Clip time of the first motion and its one sigma, by what was seen alone.
    speed_cm_s : float
        At the start; of clip time.
    points_px : (N, 2)
        The ball in each frame; NaN where it was not seen rolling.
    sd_px : float
        One sigma of them.
    spots : int
        How many frames it is found from.
    """

    leaves_s: float
    leaves_sd_s: float
    speed_cm_s: float
    points_px: Floats = field(repr=False)
    sd_px: float
    spots: int


def fit_roll(
    times_s: Floats, sights: list[BallSight], line: RollLine, *, after_s: float, before_s: float
) -> Roll | None:
    """Find the roll that most spots lie on; None where there is none.

    Parameters
    ----------
    times_s : (N,)
        Of the frames.
    sights : list of BallSight
        In the same order.
    line : RollLine
        The way that a ball goes on the ground from its place of rest.
    after_s, before_s : float
        Between these the ball leaves.

    Returns
    -------
    Roll or None
        None where too few spots lie on one roll.
    """
    frames = np.repeat(np.arange(len(sights)), [len(each.spots_px) for each in sights])
    if len(frames) == 0:
        return None
    spots = np.concatenate([each.spots_px for each in sights])
    gone = line.gone_cm(spots)
    moved = gone > _SURELY_MOVED_CM
    frames, spots, gone = frames[moved], spots[moved], gone[moved]
    start = _best_start(times_s[frames], frames, gone, after_s=after_s, before_s=before_s)
    if start is None:
        return None
    leaves, speed = start
    for _ in range(3):
        off = np.abs(gone - _gone_by(times_s[frames], leaves, speed, _BRAKE_SHARE[0]))
        fits = (times_s[frames] > leaves) & (off < _FITS_CM + 0.06 * gone)
        used = [k for k in np.flatnonzero(fits) if off[k] == off[frames == frames[k]].min()]
        if len(used) < _LEAST_SPOTS:
            return None
        used.sort(key=lambda k: times_s[frames[k]])
        near = [k for k in used if gone[k] < _USED_CM]
        near = near if len(near) >= _LEAST_SPOTS else used[:_LEAST_SPOTS]
        leaves, speed, brake, sd_s, sd_cm = _fit(times_s[frames[near]], gone[near], line)
    points = np.full((len(times_s), 2), np.nan)
    off = np.abs(gone - _gone_by(times_s[frames], leaves, speed, brake))
    for k in used:
        if gone[k] >= _USED_CM or off[k] < max(4 * sd_cm, 0.5 * _FITS_CM):
            points[frames[k]] = spots[k]
    return Roll(
        leaves_s=leaves,
        leaves_sd_s=sd_s,
        speed_cm_s=speed,
        points_px=points,
        sd_px=max(_SPOT_SD_PX, min(sd_cm * line.px_per_cm_along(), 2.0)),
        spots=int(np.isfinite(points[:, 0]).sum()),
    )


def _best_start(
    times: Floats, frames: NDArray[np.int_], gone: Floats, *, after_s: float, before_s: float
) -> tuple[float, float] | None:
    """Return time and speed of the roll through two spots that most others fit."""
    best, best_count = None, _LEAST_SPOTS - 1.0
    for one in range(len(gone)):
        later = np.flatnonzero((times > times[one]) & (gone > gone[one]))
        for other in later[:40]:
            speed = (gone[other] - gone[one]) / (times[other] - times[one])
            if not _SLOWEST_CM_S < speed < _FASTEST_CM_S:
                continue
            leaves = times[one] - gone[one] / speed
            slack = 0.02 + 3.0 / speed
            if not after_s - slack < leaves < before_s + slack:
                continue
            off = np.abs(gone - _gone_by(times, leaves, speed, 0.0))
            fits = (off < _FITS_CM + 0.08 * gone) & (times > leaves)
            count = len(np.unique(frames[fits])) - 0.01 * float(off[fits].mean()) if fits.any() else 0.0
            if count > best_count:
                best, best_count = (float(leaves), float(speed)), count
    return best


def _gone_by(times: Floats, leaves: float, speed: float, brake: float) -> Floats:
    since = np.maximum(times - leaves, 0.0)
    # It does not roll back.
    since = np.minimum(since, 1 / brake) if brake > 0 else since
    return np.asarray(speed * (since - brake * since**2 / 2))


def _fit(times: Floats, gone: Floats, line: RollLine) -> tuple[float, float, float, float, float]:
    """Return time, speed and brake of the roll, one sigma of the time, and of a spot, cm."""
    px = line.px_per_cm_along()
    spot_cm, rest_cm = _SPOT_SD_PX / px, _REST_SD_PX / px
    brake, brake_sd = _BRAKE_SHARE
    slope, _ = np.polyfit(times, gone, 1)
    guess = [float(times[0] - gone[0] / max(slope, _SLOWEST_CM_S)), float(max(slope, _SLOWEST_CM_S)), brake, 0.0]

    def residuals(one: Floats) -> Floats:
        # The last is how far the place of rest is off.
        off = (gone - one[3] - _raw(times, *one[:3])) / spot_cm
        return np.concatenate([off, [(one[2] - brake) / brake_sd, one[3] / rest_cm]])

    found = least_squares(residuals, guess, loss="soft_l1", x_scale=[0.01, 50.0, 0.2, 0.2])
    off = residuals(found.x)[: len(gone)]
    scale = max(1.0, 1.48 * float(np.median(np.abs(off))), math.sqrt(2 * found.cost / max(len(gone) - 1, 1)))
    jacobian = np.asarray(found.jac)
    covariance = np.linalg.pinv(jacobian.T @ jacobian)
    return (
        float(found.x[0]),
        float(found.x[1]),
        float(found.x[2]),
        scale * math.sqrt(float(covariance[0, 0])),
        scale * spot_cm,
    )


def _raw(times: Floats, leaves: float, speed: float, brake: float) -> Floats:
    since = times - leaves
    return np.asarray(speed * (since - brake * since**2 / 2))
