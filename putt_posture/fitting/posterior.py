"""What measured numbers make of a model: prior and data joined by precision, with everything that goes together.

Samples of the model show how much each number that it predicts goes with each quantity that is sought. Where all is
normal and the formulas are straight, the update is Bayes' rule; a bent formula is taken by its best straight line
through the samples. Two data that share an error of the model therefore count less than two that do not.

A datum may be a slip that tells nothing of the body: a wrong scale, a mistyped putter, hands far down a long grip. Then
it lies anywhere about what is predicted, `WIDE` times as far off as usual. Each way to tell slips from data is weighed
by how well it explains all that was measured, and the answer is the mean of the ways. So a datum that agrees counts in
full, one that contradicts the rest is put aside, and between the two there is no step: the interval is widest where it
could be either. The contaminated normal of Box and Tiao, *Biometrika* 55 (1968) 119; also Gelman and others, *Bayesian
Data Analysis*, 3rd ed., chapter 17 (both from memory).
"""

import math
from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.values import Floats

__all__ = ["Datum", "Posterior", "update"]

WIDE: Final = 3.0
"""How many times as far off as usual a slip lies (judged). A single datum that is a slip once in ten is put aside by
half at 2.7 standard uncertainties, one that is once in twenty at 3.0."""


@frozen(kw_only=True, eq=False)
class Datum:
    """One measured number beside what the model predicts for it.

    Attributes
    ----------
    predicted : float
        By the centre of the model.
    samples : (M,)
        By its samples.
    measured : float
    standard_uncertainty : float
        Of the measurement alone: what the samples do not hold already.
    slip : float
        How likely it is, before it is looked at, that it tells nothing: 0 is always believed, 1 never.
    """

    predicted: float
    samples: Floats = field(repr=False)
    measured: float
    standard_uncertainty: float
    slip: float = 0.0


@frozen(kw_only=True, eq=False)
class _Way:
    """One way to tell slips from data.

    Attributes
    ----------
    weight : float
        How likely it is; those of all ways are 1 together.
    believed : (D,) of bool
    precision : (D, D)
        Inverse of the covariance of the believed innovations, 0 elsewhere.
    """

    weight: float
    believed: np.ndarray[tuple[int], np.dtype[np.bool_]]
    precision: Floats = field(repr=False)


@frozen(kw_only=True, eq=False)
class Posterior:
    """How data move and narrow what a model says.

    Attributes
    ----------
    spread : (M, D)
        Departures of the predictions from that of the centre.
    innovation : (D,)
        What was measured less what the centre predicts.
    covariance : (D, D)
        Of the innovation.
    ways : tuple of _Way
    """

    spread: Floats = field(repr=False)
    innovation: Floats
    covariance: Floats
    ways: tuple[_Way, ...] = field(repr=False)

    def shift(self, centre: float, samples: Floats) -> float:
        """Return by how much the data move a quantity from that of the centre.

        Parameters
        ----------
        centre : float
            The quantity by the centre of the model.
        samples : (M,)
            The quantity by the samples of the model.
        """
        weights, moves = self._moves(self._together(samples - centre))
        return float(weights @ moves)

    def standard_uncertainty(self, centre: float, samples: Floats) -> float:
        """Return the standard uncertainty of a quantity once the data are known.

        Parameters
        ----------
        centre : float
            The quantity by the centre of the model.
        samples : (M,)
            The quantity by the samples of the model; NaN is left out.
        """
        away = np.where(np.isfinite(samples), samples - centre, 0.0)
        together = self._together(away)
        weights, moves = self._moves(together)
        left = float(np.mean(away**2)) - sum(
            way.weight * float(together @ way.precision @ together) for way in self.ways
        )
        between = float(weights @ (moves - weights @ moves) ** 2)
        return math.sqrt(max(left, 0.0) + between)

    def surprise(self) -> Floats:
        """Return each innovation in units of its standard uncertainty, (D,)."""
        return np.asarray(self.innovation / np.sqrt(np.diag(self.covariance)))

    def aside(self) -> Floats:
        """Return how much of each datum was put aside, 0 to 1, (D,)."""
        parts = [way.weight * ~way.believed for way in self.ways]
        return np.asarray(np.sum(parts, axis=0), dtype=np.float64)

    def against_the_rest(self, at: int) -> tuple[float, float]:
        """Return by how much a datum is above what all others lead to expect, and the standard uncertainty of that.

        The others as the likeliest way without this datum believes them.

        Parameters
        ----------
        at : int
            Index of the datum.
        """
        without = [way for way in self.ways if not way.believed[at]]
        if not without:
            return float(self.innovation[at]), math.sqrt(self.covariance[at, at])
        precision = max(without, key=lambda way: way.weight).precision
        row = self.covariance[at]
        gap = self.innovation[at] - row @ precision @ self.innovation
        return float(gap), math.sqrt(max(float(self.covariance[at, at] - row @ precision @ row), 0.0))

    def _together(self, away: Floats) -> Floats:
        if not self.innovation.size:
            return np.zeros(0)
        return np.asarray(np.where(np.isfinite(away), away, 0.0) @ self.spread / len(self.spread))

    def _moves(self, together: Floats) -> tuple[Floats, Floats]:
        """Return the weight of each way, and by how much it moves a quantity that goes with the data so."""
        weights = np.array([way.weight for way in self.ways])
        return weights, np.array([float(together @ way.precision @ self.innovation) for way in self.ways])


def update(data: Sequence[Datum]) -> Posterior:
    """Join data with the model that predicts them.

    Parameters
    ----------
    data : sequence of Datum
        None, and the model stays as it is.
    """
    if not data:
        nothing = _Way(weight=1.0, believed=np.zeros(0, dtype=bool), precision=np.zeros((0, 0)))
        return Posterior(spread=np.zeros((1, 0)), innovation=np.zeros(0), covariance=np.zeros((0, 0)), ways=(nothing,))
    spread = np.column_stack([one.samples - one.predicted for one in data])
    spread = np.where(np.isfinite(spread), spread, 0.0)
    noise = np.diag([one.standard_uncertainty**2 for one in data])
    innovation = np.array([one.measured - one.predicted for one in data])
    covariance = spread.T @ spread / len(spread) + noise
    slips = [one.slip for one in data]
    return Posterior(
        spread=spread,
        innovation=innovation,
        covariance=covariance,
        ways=tuple(_weigh_ways(innovation, covariance, slips)),
    )


def _weigh_ways(innovation: Floats, covariance: Floats, slips: Sequence[float]) -> Iterator[_Way]:
    choices = [(True,) if slip <= 0 else (False,) if slip >= 1 else (True, False) for slip in slips]
    ways = [np.array(way) for way in product(*choices)]
    logs = np.array([_log_likelihood(innovation, covariance, slips, way) for way in ways])
    weights = np.exp(logs - logs.max())
    for weight, believed in zip(weights / weights.sum(), ways, strict=True):
        precision = np.zeros_like(covariance)
        some = np.ix_(believed, believed)
        precision[some] = np.linalg.inv(covariance[some])
        yield _Way(weight=float(weight), believed=believed, precision=precision)


def _log_likelihood(
    innovation: Floats, covariance: Floats, slips: Sequence[float], believed: np.ndarray[tuple[int], np.dtype[np.bool_]]
) -> float:
    """Return the logarithm of how likely the slips are, times the density of all innovations if they are the slips."""
    some = np.ix_(believed, believed)
    kept, aside = innovation[believed], innovation[~believed]
    variance = WIDE**2 * np.diag(covariance)[~believed]
    chance = sum(math.log(1 - slip if taken else slip) for slip, taken in zip(slips, believed, strict=True))
    square = kept @ np.linalg.solve(covariance[some], kept) + np.sum(aside**2 / variance)
    return float(chance - (square + np.linalg.slogdet(covariance[some])[1] + np.sum(np.log(variance))) / 2)
