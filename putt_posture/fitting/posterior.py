"""Bayesian update of a model by measured numbers: prior and data weighted by precision, with their correlations.

Samples of the model give the covariance of each predicted number with each quantity of interest. With normal errors and
linear formulas the update is Bayes' rule; a nonlinear formula is replaced by its best straight line through the
samples. Two data that share an error of the model therefore count less than two that do not.

A datum may be an outlier that says nothing about the body: a wrong scale, a mistyped putter, hands far down a long
grip. Then it scatters `WIDE` times as much about the prediction. Each way to divide the data into outliers and others
is weighted by how well it explains all measurements, and the result is the mean over the ways. So a datum that agrees
counts in full, and a datum that contradicts the rest is put aside. Between the two the change is smooth: the interval
is widest where both are possible. The contaminated normal of Box and Tiao, *Biometrika* 55 (1968) 119; also Gelman and
others, *Bayesian Data Analysis*, 3rd ed., chapter 17 (both from memory).
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
"""How many times as far off as usual an outlier lies (judged). A single datum that is an outlier once in ten times is
put aside by half at 2.7 standard uncertainties; once in twenty times, at 3.0."""


@frozen(kw_only=True, eq=False)
class Datum:
    """One measured number and the model's prediction of it.

    Attributes
    ----------
    predicted : float
        For the centre of the model.
    samples : (M,)
        For its samples.
    measured : float
    standard_uncertainty : float
        Of the measurement alone, without the errors that are in the samples.
    slip : float
        Prior probability that it is an outlier: 0 always counts, 1 never.
    """

    predicted: float
    samples: Floats = field(repr=False)
    measured: float
    standard_uncertainty: float
    slip: float = 0.0


@frozen(kw_only=True, eq=False)
class _Way:
    """One way to divide the data into outliers and others.

    Attributes
    ----------
    weight : float
        Its probability; those of all ways add up to 1.
    believed : (D,) of bool
    precision : (D, D)
        Inverse of the covariance of the believed innovations, 0 elsewhere.
    """

    weight: float
    believed: np.ndarray[tuple[int], np.dtype[np.bool_]]
    precision: Floats = field(repr=False)


@frozen(kw_only=True, eq=False)
class Posterior:
    """The posterior of a model: how data move and narrow its predictions.

    Attributes
    ----------
    spread : (M, D)
        Departures of the predictions from those of the centre.
    innovation : (D,)
        Measured less predicted by the centre.
    covariance : (D, D)
        Of the innovation.
    ways : tuple of _Way
    """

    spread: Floats = field(repr=False)
    innovation: Floats
    covariance: Floats
    ways: tuple[_Way, ...] = field(repr=False)

    def shift(self, centre: float, samples: Floats) -> float:
        """Return by how much the data move a quantity from its value at the centre.

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
        """Return the standard uncertainty of a quantity given the data.

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
        """Return by how much a datum is above its prediction from all others, and the standard uncertainty of that.

        The others count as in the most probable division in which this datum is an outlier.

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
        """Return the weight of each way, and by how much it moves a quantity with these covariances."""
        weights = np.array([way.weight for way in self.ways])
        return weights, np.array([float(together @ way.precision @ self.innovation) for way in self.ways])


def update(data: Sequence[Datum]) -> Posterior:
    """Update a model by data.

    Parameters
    ----------
    data : sequence of Datum
        With none, the model stays as it is.
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
    """Return the log of the prior probability of these outliers times the density of all innovations given them."""
    some = np.ix_(believed, believed)
    kept, aside = innovation[believed], innovation[~believed]
    variance = WIDE**2 * np.diag(covariance)[~believed]
    chance = sum(math.log(1 - slip if taken else slip) for slip, taken in zip(slips, believed, strict=True))
    square = kept @ np.linalg.solve(covariance[some], kept) + np.sum(aside**2 / variance)
    return float(chance - (square + np.linalg.slogdet(covariance[some])[1] + np.sum(np.log(variance))) / 2)
