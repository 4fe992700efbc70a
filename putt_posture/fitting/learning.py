"""What measured numbers make of a model: prior and data joined by precision, with everything that goes together.

Samples of the model show how much each number that it predicts goes with each quantity that is sought. Where all is
normal and the formulas are straight, the update is Bayes' rule; a bent formula is taken by its best straight line
through the samples. Two data that share an error of the model therefore count less than two that do not.
"""

import math
from collections.abc import Sequence

import numpy as np
from attrs import field, frozen

from putt_posture.values import Floats

__all__ = ["Datum", "Learned", "learn"]


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
    """

    predicted: float
    samples: Floats = field(repr=False)
    measured: float
    standard_uncertainty: float


@frozen(kw_only=True, eq=False)
class Learned:
    """How data move and narrow what a model says.

    Attributes
    ----------
    spread : (M, D)
        Departures of the predictions from that of the centre.
    innovation : (D,)
        What was measured less what the centre predicts.
    covariance : (D, D)
        Of the innovation.
    """

    spread: Floats = field(repr=False)
    innovation: Floats
    covariance: Floats

    def shift(self, centre: float, samples: Floats) -> float:
        """Return by how much the data move a quantity from that of the centre."""
        return float(self._gain(samples - centre) @ self.innovation) if self.innovation.size else 0.0

    def standard_uncertainty(self, centre: float, samples: Floats) -> float:
        """Return the standard uncertainty of a quantity once the data are known."""
        away = np.where(np.isfinite(samples), samples - centre, 0.0)
        variance = float(np.mean(away**2))
        if self.innovation.size:
            variance -= float(self._gain(away) @ self._together(away))
        return math.sqrt(max(variance, 0.0))

    def surprise(self) -> Floats:
        """Return each innovation in units of its standard uncertainty, (D,)."""
        return np.asarray(self.innovation / np.sqrt(np.diag(self.covariance)))

    def _together(self, away: Floats) -> Floats:
        return np.asarray(np.where(np.isfinite(away), away, 0.0) @ self.spread / len(self.spread))

    def _gain(self, away: Floats) -> Floats:
        return np.asarray(np.linalg.solve(self.covariance, self._together(away)))


def learn(data: Sequence[Datum]) -> Learned:
    """Join data with the model that predicts them.

    Parameters
    ----------
    data : sequence of Datum
        None, and the model stays as it is.
    """
    if not data:
        return Learned(spread=np.zeros((1, 0)), innovation=np.zeros(0), covariance=np.zeros((0, 0)))
    spread = np.column_stack([one.samples - one.predicted for one in data])
    spread = np.where(np.isfinite(spread), spread, 0.0)
    noise = np.diag([one.standard_uncertainty**2 for one in data])
    return Learned(
        spread=spread,
        innovation=np.array([one.measured - one.predicted for one in data]),
        covariance=spread.T @ spread / len(spread) + noise,
    )
