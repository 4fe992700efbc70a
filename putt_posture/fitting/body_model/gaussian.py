"""Correlated lengths as a normal distribution, and how a further datum updates it."""

import math
from collections.abc import Mapping
from functools import cache, cached_property
from typing import Final

import numpy as np
from attrs import evolve, field, frozen

from putt_posture.fitting.propagation import normal_points
from putt_posture.values import Estimate, Floats

__all__ = ["Gaussian"]

LOG2_POINTS: Final = 11
"""2048 fixed points in place of random ones, so that the same student gets the same result to the last digit."""


@frozen(kw_only=True, eq=False)
class Gaussian:
    """Named quantities with correlated normal errors.

    Attributes
    ----------
    names : tuple of str
        N of them.
    mean : (N,)
    covariance : (N, N)
    """

    names: tuple[str, ...]
    mean: Floats = field(repr=False)
    covariance: Floats = field(repr=False)

    def __getitem__(self, name: str) -> Estimate:
        """Return one quantity alone."""
        at = self.names.index(name)
        sigma = float(np.sqrt(max(self.covariance[at, at], 0.0)))
        return Estimate(value=float(self.mean[at]), standard_uncertainty=sigma, unit="cm", method="body model")

    def combine(self, shares: Mapping[str, Mapping[str, float]], constant: Mapping[str, float]) -> "Gaussian":
        """Return sums of the quantities.

        Parameters
        ----------
        shares : mapping of new name to mapping of name to float
            The share of each quantity in each sum.
        constant : mapping of new name to float
            What is added to each sum; 0 where a name is left out.
        """
        matrix = np.array([self._row(row) for row in shares.values()])
        add = np.array([constant.get(name, 0.0) for name in shares])
        return Gaussian(
            names=tuple(shares), mean=matrix @ self.mean + add, covariance=matrix @ self.covariance @ matrix.T
        )

    def join(self, shares: Mapping[str, float], datum: Estimate, *, most: float = math.inf) -> "Gaussian":
        """Return the posterior after a sum of the quantities was measured: prior and datum weighted by precision.

        Parameters
        ----------
        shares : mapping of name to float
            The measured sum: the share of each quantity.
        datum : Estimate
            Its value and standard uncertainty; the error is independent of the prior.
        most : float
            How many standard uncertainties from the prior a datum may lie and still count in full. The part beyond does
            not move the mean; it widens the posterior by as much as it would have moved the mean.

        Notes
        -----
        The posterior of a normal prior under a linear datum with normal error is normal again; the gain is covariance ·
        row / (row · covariance · row + variance). The bound is that of Huber: P. J. Huber and E. M. Ronchetti, *Robust
        Statistics*, 2nd ed. (2009), from memory. The mean rises with the datum or stays; it never falls.
        """
        row = self._row(shares)
        together = self.covariance @ row
        departure = self.depart(shares, datum)
        gain = together / departure.standard_uncertainty**2
        bound = most * departure.standard_uncertainty
        believed = float(np.clip(departure.value, -bound, bound))
        beyond = gain * (departure.value - believed)
        return evolve(
            self,
            mean=self.mean + gain * believed,
            covariance=self.covariance - np.outer(gain, together) + np.outer(beyond, beyond),
        )

    def depart(self, shares: Mapping[str, float], datum: Estimate) -> Estimate:
        """Return by how much a datum is above what is expected for a sum of the quantities.

        Parameters
        ----------
        shares, datum
            As for `join`.
        """
        row = self._row(shares)
        variance = float(row @ self.covariance @ row) + datum.standard_uncertainty**2
        return Estimate(
            value=datum.value - float(row @ self.mean), standard_uncertainty=math.sqrt(variance), unit=datum.unit
        )

    def extend(
        self, more: Mapping[str, Estimate], correlation: Mapping[tuple[str, str], float] | None = None
    ) -> "Gaussian":
        """Return the quantities with more added, whose errors are independent of the present ones.

        Parameters
        ----------
        more : mapping of name to Estimate
            In any unit; none of them absent.
        correlation : mapping of two names to float, optional
            Between the errors of two of the new ones; 0 where a pair is not given.
        """
        names = (*self.names, *more)
        sigma = np.array([one.standard_uncertainty for one in more.values()])
        together = np.diag(sigma**2)
        places = {name: place for place, name in enumerate(more)}
        for (one, other), value in (correlation or {}).items():
            i, j = places[one], places[other]
            together[i, j] = together[j, i] = value * sigma[i] * sigma[j]
        covariance = np.zeros((len(names), len(names)))
        size = len(self.names)
        covariance[:size, :size], covariance[size:, size:] = self.covariance, together
        mean = np.concatenate([self.mean, [one.value for one in more.values()]])
        return Gaussian(names=names, mean=mean, covariance=covariance)

    def centre(self) -> dict[str, Floats]:
        """Return the mean of each quantity."""
        return {name: np.asarray(self.mean[at]) for at, name in enumerate(self.names)}

    def spread(self) -> dict[str, Floats]:
        """Return evenly spread samples of each quantity, (M,) each."""
        samples = self.mean + _independent_points(len(self.names)) @ self._root.T
        return {name: samples[:, at] for at, name in enumerate(self.names)}

    @cached_property
    def _root(self) -> Floats:
        values, vectors = np.linalg.eigh(self.covariance)
        return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))

    def _row(self, shares: Mapping[str, float]) -> Floats:
        unknown = shares.keys() - set(self.names)
        if unknown:
            raise KeyError(f"No quantity {sorted(unknown)}. Known are: {', '.join(self.names)}.")
        return np.array([shares.get(name, 0.0) for name in self.names])


@cache
def _independent_points(dimensions: int) -> Floats:
    """Return (M, dimensions) evenly spread standard normal points, the same ones each time.

    They are transformed so that their covariance is the unit matrix to the last digit: in many dimensions the points
    alone leave pairs that are correlated by chance.
    """
    raw = normal_points(dimensions, log2_count=LOG2_POINTS)
    raw = raw - raw.mean(axis=0)
    root = np.linalg.cholesky(raw.T @ raw / len(raw))
    points: Floats = np.linalg.solve(root, raw.T).T
    points.setflags(write=False)
    return points
