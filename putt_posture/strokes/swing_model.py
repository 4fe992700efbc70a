"""One swing laid over a series of places: start, top, impact and what is not known of its shape.

A swing goes back from rest to the top, may wait there, and goes through to the place of the address. Each part is a
polynomial of the fifth degree by its ends, as in a minimum jerk movement (Flash and Hogan 1985), but with accelerations
at the ends that are free within what quarter sines, half cosines, constant accelerations and minimum jerk movements
have. Given the times, all else is linear and normal and is integrated out; so the unknown shape is a part of the
uncertainty of the times. The times are averaged over their posterior, by importance sampling with points that are
the same in each run. Places are negative at the top; times are real seconds.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from scipy.linalg import solve_triangular
from scipy.optimize import minimize
from scipy.special import ndtri

from putt_posture.values import Floats

__all__ = ["AFTER_IMPACT_S", "SwingFit", "fit_finish", "fit_swing"]

AFTER_IMPACT_S: Final = 0.1
"""Frames that long after impact are used, s."""
_BACK_S: Final = (0.67, 0.3)
_THROUGH_S: Final = (0.317, 0.3)
_HELD_S: Final = (0.25, 0.7)
"""Median, and one sigma of the logarithm. 99 tour players took 670 ± 90 ms back and 317 ± 35 ms through (a 2007 study,
as a newsletter quotes it); students are let differ by twice as much and more."""
_HELD_SHARE: Final = 0.05
"""Swings with a pause at the top, judged."""
_BACKS: Final = ((0.0, 0.0, 0.65), (4.5, 4.5, 0.35))
_THROUGHS: Final = ((0.0, 1.875, 0.0, 0.4), (2.47, 1.571, 0.0, 0.3), (2.0, 2.0, 2.0, 0.3))
"""Shapes: a minimum jerk movement (Flash and Hogan 1985), a half cosine or constant accelerations on the way back; half
of a minimum jerk movement, a quarter sine, constant acceleration on the way through. Accelerations at the ends, and the
speed at impact, as shares of length / duration² and length / duration (computed); then their odds, judged."""
_BACK_SD: Final = (1.0, 1.0)
_SKEW: Final = (0.0, 0.015)
_THROUGH_SD: Final = (0.8, 0.15, 0.8)
"""One sigma of these about a shape; of how early the middle of the backswing's way comes, as a share of its time."""
_AFTER: Final = ((1.7, 0.4), (-1.0, 2.0))
"""Speed after impact and how it falls, in the same shares: mean and one sigma."""
_FINISH_SHAPE: Final = ((1.0, 0.4), (1.75, 0.4), (0.5, 1.5), (2.0, 1.5), (0.3, 0.5), (0.0, 5.0))
"""Mean and one sigma of the way after impact, the speed at impact, how it slows there and at the end, how the putter
comes back, and the place of impact; in the same shares. Half of a minimum jerk movement ends with 0, a quarter sine
with 2.5."""
_UNLIKELY: Final = 8.0
"""Swings with a pause so many nats below those without one are left out, but for the best of them."""
_GRID_MISSES: Final = 25.0
"""On the rough grid a shape may score so many nats less than another and be the better one between its points."""
_FIRST_STEP: Final = 0.04
_SAMPLES: Final = 128
_SAMPLED_WIDER: Final = 1.3
_USED: Final = 8
"""Degrees of freedom that a swing takes up, about."""

_Timing = NDArray[np.float64]
"""(K, 4): start, log of the backswing, log of the way through, log of the pause (-inf for none)."""


@frozen(kw_only=True, eq=False)
class SwingFit:
    """What the frames tell of the times of a swing.

    Attributes
    ----------
    times_s : (3,)
        Start, top (the end of a pause there) and impact, posterior means.
    covariance : (3, 3)
        Of these, s².
    by_shape_s : (3,)
        The part of their one sigma that comes from not knowing which shape it is, s.
    length : float
        From address to top, in the unit of the places, positive.
    misfit : float
        Root mean square of what the swing leaves over, same unit.
    tightness : float
        Root mean square of that in standard deviations of the noise; near 1 where the model holds.
    held : float
        Posterior probability of a pause at the top.
    """

    times_s: Floats
    covariance: Floats = field(repr=False)
    by_shape_s: Floats = field(repr=False)
    length: float
    misfit: float
    tightness: float
    held: float


def fit_swing(
    times_s: Floats,
    places: Floats,
    covariance: Floats,
    *,
    length: float,
    top_s: float,
    around_s: float,
    comes_back: float,
    known: Mapping[int, tuple[float, float]] | None = None,
) -> SwingFit:
    """Fit a swing.

    Parameters
    ----------
    times_s : (N,)
    places : (N,)
        All of them seen; negative at the top.
    covariance : (N, N)
        Of the places without the swing, unit squared.
    length : float
        Rough length of the backswing, in the unit of the places.
    top_s : float
        Roughly when the top is.
    around_s : float
        Roughly when impact is.
    comes_back : float
        One sigma of the place at impact about the one at address, as a share of `length`.
    known : mapping of int to (float, float), optional
        Times that are known otherwise, with one sigma: 0 the start, 1 the top, 2 impact.

    Returns
    -------
    SwingFit
    """
    problem = _Problem(times_s, places, covariance, length=length, comes_back=comes_back, known=known or {})
    back = np.geomspace(0.38, 1.5, 10)
    tops = top_s + np.array([-0.08, -0.03, 0.02, 0.07])
    through = np.clip(around_s - top_s, 0.12, 0.8) * np.array([0.75, 0.9, 1.05, 1.25])
    grid = np.array(
        [(top - b, np.log(b), np.log(d), -np.inf) for top in tops for b in back for d in through], dtype=np.float64
    )
    held = np.array(
        [(top - pause - b, np.log(b), np.log(d), np.log(pause))
         for top in tops for b in back[:7] for d in through for pause in (0.12, 0.3, 0.7)],
        dtype=np.float64,
    )  # fmt: skip
    found = _sample_all(problem, grid)
    paused = _sample_all(problem, held, most=1)
    if paused[0].score > max(each.score for each in found) - _UNLIKELY:
        paused = _sample_all(problem, held)
    found += paused
    weights = np.concatenate([each.log_weights for each in found])
    weights = np.exp(weights - weights.max())
    weights /= weights.sum()
    events = _events(np.concatenate([each.timings for each in found]))
    mean = weights @ events
    best = max(found, key=lambda each: each.score)
    misfit, tightness, size = problem.residual(best.mode, best.shape)
    ends = np.cumsum([0, *(len(each.timings) for each in found)])
    shares = np.add.reduceat(weights, ends[:-1])
    centres = np.add.reduceat(weights[:, None] * events, ends[:-1]) / np.maximum(shares, 1e-12)[:, None]
    pauses = np.concatenate([np.isfinite(each.timings[:, 3]) for each in found])
    return SwingFit(
        times_s=mean,
        covariance=(events - mean).T @ (weights[:, None] * (events - mean)),
        by_shape_s=np.sqrt(shares @ (centres - mean) ** 2),
        length=size,
        misfit=misfit,
        tightness=tightness,
        held=float(weights[pauses].sum()),
    )


def fit_finish(
    times_s: Floats, places: Floats, covariance: Floats, *, impact_s: float, length: float, around_s: float
) -> tuple[float, float]:
    """Return when the farthest point after impact is reached, and one sigma, s.

    Parameters
    ----------
    times_s : (N,)
        After impact.
    places : (N,)
        Growing toward the finish.
    covariance : (N, N)
        Of the places without the swing, unit squared.
    impact_s : float
    length : float
        Rough way from impact to the farthest point, in the unit of the places.
    around_s : float
        Roughly when that is.
    """
    takes = (around_s - impact_s) * np.geomspace(0.6, 1.6, 81)[:, None]
    share = np.clip((times_s - impact_s) / takes, 0, 1)
    past = np.clip((times_s - impact_s) / takes - 1, 0, None)
    columns = [
        _eased(share),
        share - share**3 * (6 - 8 * share + 3 * share**2),
        -_accelerates(share),
        -_accelerates(1 - share),
        -0.5 * past**2,
        np.ones_like(share),
    ]
    mean, sd = length * np.array(_FINISH_SHAPE).T
    whitener = _whitener(covariance)
    seen = np.matmul(whitener, np.stack(columns, axis=2))
    score = _evidence(seen, whitener @ places, mean[:, None], sd)[:, 0]
    weights = np.exp(score - score.max())
    weights /= weights.sum()
    ends = impact_s + takes[:, 0]
    middle = float(weights @ ends)
    return middle, float(np.sqrt(weights @ (ends - middle) ** 2))


@frozen(kw_only=True, eq=False)
class _Samples:
    """Timings around the best one of one shape, with the logs of their weights."""

    shape: int
    mode: Floats
    score: float
    timings: _Timing
    log_weights: Floats


def _sample_all(problem: "_Problem", grid: _Timing, *, most: int = 6) -> list[_Samples]:
    """Return samples for the shapes that may have made these places, for the likely ones only."""
    scores = problem.scores(grid)
    of_shape = scores.max(axis=0)
    likely = [shape for shape in np.argsort(-of_shape)[:most] if of_shape[shape] >= of_shape.max() - _GRID_MISSES]
    return [_sample(problem, grid[int(np.argmax(scores[:, shape]))], int(shape)) for shape in likely]


def _events(timing: _Timing) -> Floats:
    """Return start, top and impact (K, 3)."""
    start, top = timing[:, 0], timing[:, 0] + np.exp(timing[:, 1]) + np.exp(timing[:, 3])
    return np.stack([start, top, top + np.exp(timing[:, 2])], axis=1)


def _sample(problem: "_Problem", begin: Floats, shape: int) -> _Samples:
    """Find the best timing of one shape from a rough one, and sample around it."""
    free = 3 if np.isinf(begin[3]) else 4
    begin = begin[:free]

    def full(part: Floats) -> _Timing:
        return np.concatenate([part, np.full((len(part), 4 - free), -np.inf)], axis=1)

    def score(part: Floats) -> Floats:
        return problem.scores(full(part), shapes=slice(shape, shape + 1))[:, 0]

    # Nelder and Mead's first simplex has steps of a twentieth of each number.
    found = minimize(
        lambda at: -float(score(begin[None] + _FIRST_STEP * (20 * at[None] - 20))[0]),
        np.ones(free),
        method="Nelder-Mead",
        options={"xatol": 2e-4, "fatol": 1e-3, "maxfev": 300},  # type: ignore[call-overload]
    )
    mode = begin + _FIRST_STEP * (20 * found.x - 20)
    # Curvature at the mode, from one batch of neighbours.
    steps = np.array([0.006, 0.012, 0.012, 0.05])[:free]
    pairs = [(i, j) for i in range(free) for j in range(i, free)]
    near = [mode]
    for i, j in pairs:
        for signs in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
            near.append(mode + signs[0] * steps * np.eye(free)[i] + signs[1] * steps * np.eye(free)[j])
    scores = score(np.array(near))
    bend = np.zeros((free, free))
    for number, (i, j) in enumerate(pairs):
        plus_plus, plus_minus, minus_plus, minus_minus = scores[1 + 4 * number : 5 + 4 * number]
        if i == j:
            bend[i, i] = -(plus_plus - 2 * scores[0] + minus_minus) / (4 * steps[i] ** 2)
        else:
            bend[i, j] = bend[j, i] = -(plus_plus - plus_minus - minus_plus + minus_minus) / (4 * steps[i] * steps[j])
    widths, axes = np.linalg.eigh(bend * steps[:, None] * steps[None])
    widths = np.maximum(widths, 0.01)  # at least as narrow as ten steps
    root = _SAMPLED_WIDER * (steps[:, None] * axes) / np.sqrt(widths)
    points = _normal_points(_SAMPLES, free)
    samples = mode + points @ root.T
    drawn = -0.5 * np.sum(points**2, axis=1) - float(np.linalg.slogdet(root)[1])
    return _Samples(
        shape=shape,
        mode=full(mode[None])[0],
        score=float(scores[0]),
        timings=full(samples),
        log_weights=score(samples) - drawn,
    )


def _normal_points(count: int, dimensions: int) -> Floats:
    """Return evenly spread points of a standard normal distribution: additive recurrence (Roberts 2018)."""
    ratio = 2.0
    for _ in range(40):
        ratio = (1 + ratio) ** (1 / (dimensions + 1))
    steps = ratio ** -np.arange(1.0, dimensions + 1)
    return np.asarray(ndtri((0.5 + np.outer(np.arange(1, count + 1), steps)) % 1.0))


class _Problem:
    """The log posterior of the timing."""

    def __init__(
        self,
        times_s: Floats,
        places: Floats,
        covariance: Floats,
        *,
        length: float,
        comes_back: float,
        known: Mapping[int, tuple[float, float]],
    ) -> None:
        self._times_s = times_s
        self._whitener = _whitener(covariance)
        self._places = places
        self._seen = self._whitener @ places
        self._known = known
        # Places at top and impact; accelerations and speeds; skew; what follows impact; the place of the address.
        self._mean = length * np.array(
            [
                [-1.0, 0.0, -back[0], back[1], *through[:3], _SKEW[0], *(mean for mean, _ in _AFTER), 0.0]
                for back in _BACKS
                for through in _THROUGHS
            ]
        )
        self._odds = np.log([back[-1] * through[-1] for back in _BACKS for through in _THROUGHS])
        sds = [0.4, comes_back, *_BACK_SD, *_THROUGH_SD, _SKEW[1], *(sd for _, sd in _AFTER), 10.0]
        self._sd = length * np.array(sds)

    def scores(self, timing: _Timing, *, shapes: slice = slice(None)) -> Floats:
        """Return the log posterior (K, S) of timings (K, 4) with each of the S shapes."""
        columns = np.matmul(self._whitener, self._columns(timing))
        value = _evidence(columns, self._seen, self._mean[shapes].T, self._sd)
        return np.asarray(value + self._odds[shapes] + self._prior(timing)[:, None])

    def _prior(self, timing: _Timing) -> Floats:
        value = np.zeros(len(timing))
        for column, (median, sd) in ((1, _BACK_S), (2, _THROUGH_S)):
            value -= 0.5 * ((timing[:, column] - np.log(median)) / sd) ** 2
        held = np.isfinite(timing[:, 3])
        pause = np.where(held, timing[:, 3], 0.0)
        of_pause = -0.5 * ((pause - np.log(_HELD_S[0])) / _HELD_S[1]) ** 2 - np.log(_HELD_S[1] * np.sqrt(2 * np.pi))
        value += np.where(held, of_pause + np.log(_HELD_SHARE), np.log(1 - _HELD_SHARE))
        for event, (time_s, sd) in self._known.items():
            value -= 0.5 * ((_events(timing)[:, event] - time_s) / sd) ** 2
        return value

    def residual(self, timing: Floats, shape: int) -> tuple[float, float, float]:
        """Return the root mean square of what is left over, the same in standard deviations, and the length."""
        columns = self._columns(timing[None])[0]
        seen = (self._whitener @ columns) * self._sd
        rest = self._whitener @ (self._places - columns @ self._mean[shape])
        solved = np.linalg.solve(seen.T @ seen + np.eye(seen.shape[1]), seen.T @ rest)
        left = rest - seen @ solved
        values = self._mean[shape] + self._sd * solved
        misfit = float(np.sqrt(np.mean((self._places - columns @ values) ** 2)))
        return misfit, float(np.sqrt(np.sum(left**2) / max(len(rest) - _USED, 1))), float(-values[0])

    def _columns(self, timing: _Timing) -> Floats:
        """Return what each unknown adds to each place, (K, N, 11)."""
        start, back, through = timing[:, :1], np.exp(timing[:, 1:2]), np.exp(timing[:, 2:3])
        held = np.exp(timing[:, 3:4])
        one = np.clip((self._times_s - start) / back, 0, 1)
        since = self._times_s - start - back - held
        two = np.clip(since / through, 0, 1)
        after = np.clip(since - through, 0, None)
        eased, turned = _eased(two), after / through
        columns = [
            _eased(one) - eased,
            eased,
            _accelerates(one),
            _accelerates(1 - one),
            _accelerates(two),
            # `two` stays at 1 after impact, where each of these is 0
            -(4 - 7 * two + 3 * two**2) * two**3,
            _accelerates(1 - two),
            -120 * (one * (1 - one)) ** 3,
            turned,
            0.5 * turned**2,
            np.ones_like(one),
        ]
        return np.stack(columns, axis=2)


def _whitener(covariance: Floats) -> Floats:
    root = np.linalg.cholesky(covariance)
    return np.asarray(solve_triangular(root, np.eye(len(covariance)), lower=True))


def _evidence(columns: Floats, places: Floats, means: Floats, sd: Floats) -> Floats:
    """Return the log evidence (K, S) of whitened places (N,) by whitened columns (K, N, P).

    The P unknowns are normal with means (P, S), one column for each shape, and one sigma (P,); they are integrated out.
    """
    rest = places[None, :, None] - columns @ means
    seen = columns * sd
    across = seen.transpose(0, 2, 1)
    square = np.matmul(across, seen) + np.eye(seen.shape[2])
    inward = np.matmul(across, rest)
    gained = np.sum(inward * np.linalg.solve(square, inward), axis=1)
    return np.asarray(-0.5 * (np.sum(rest**2, axis=1) - gained + np.linalg.slogdet(square)[1][:, None]))


def _eased(share: Floats) -> Floats:
    """Minimum jerk from 0 to 1."""
    return np.asarray(share**3 * (10 - 15 * share + 6 * share**2))


def _accelerates(share: Floats) -> Floats:
    """Return what an acceleration of 1 at the start adds: at rest at both ends, none at the end."""
    return np.asarray(0.5 * share**2 * (1 - share) ** 3)
