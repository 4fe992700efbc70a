"""How signs and misses go together over many bodies, and what the signs of one body then say.

Signs and misses are taken as jointly normal, as far as the signs are like those of the bodies learned from; beyond,
they are believed only in part. What is known of them stands in ``learned.npz``, made from rendered
golfers with known joints by ``tests/accuracy/learn_joints.py``. A sign that is not seen is left out of the
conditioning, and the answer is that much less sure.

Renders are not people: what the landmarks of every render miss alike is a matter of how the body was made. Such a
constant is taken out only where pictures of people show it too; elsewhere it stays and counts as an uncertainty. What
varies from body to body is believed in part.
"""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.values import Floats, View

__all__ = ["Answer", "MissModel", "load_miss_model", "widening"]

TRUSTED_MISFIT: Final = 3.0
"""Bodies learned from came up to this; a straight line should not be drawn out far beyond them."""
MISFIT_POWER: Final = 0.85
WIDENING_LIMITS: Final = (0.75, 3.0)
"""No surer than the best, and no wider than three times: beyond that the warning says more than a width."""


def widening(misfit: float) -> float:
    """Return how much larger what is left of the misses is for a body that fits badly, 1 for one that fits as usual.

    Found on bodies that were left out: what is left grows a little less than the misfit does.
    """
    return float(np.clip(misfit**MISFIT_POWER, *WIDENING_LIMITS))


@frozen(kw_only=True, eq=False)
class Answer:
    """What the signs of T frames say.

    Attributes
    ----------
    misses : (T, K)
        The likeliest misses; NaN where the frame shows no sign at all.
    covariance : (K, K)
        Of what is left of them, for the frame that shows least; wider or narrower by how well the body fits.
    misfit : float
        Distance of the signs from the usual, in units of what is usual: 1 = as usual.
    """

    misses: Floats
    covariance: Floats
    misfit: float


@frozen(kw_only=True, eq=False)
class MissModel:
    """Signs and misses of one view, jointly normal.

    Attributes
    ----------
    signs, misses : tuple of str
        Names, M and K.
    sign_mean : (M,)
    constant : (K,)
        What all bodies miss alike, as far as people show it too.
    offset : (K,)
        What all renders miss alike beyond that.
    share : (K,)
        How much is believed of what the signs say of each miss, 0 to 1.
    sign_covariance : (M, M)
    cross_covariance : (K, M)
    ridge : float
        Share of each sign's variance that is taken to be noise, so that few bodies do not teach too much.
    left : (K, K)
        Covariance of what is left of the misses once all signs are known, for a body that fits as usual; found on
        bodies that were left out.
    bodies : int
        How many were learned from.
    """

    signs: tuple[str, ...]
    misses: tuple[str, ...]
    sign_mean: Floats = field(repr=False)
    constant: Floats = field(repr=False)
    offset: Floats = field(repr=False)
    share: Floats = field(repr=False)
    sign_covariance: Floats = field(repr=False)
    cross_covariance: Floats = field(repr=False)
    ridge: float
    left: Floats = field(repr=False)
    bodies: int

    def answer(self, signs: Mapping[str, Floats]) -> Answer:
        """Return what the signs say.

        Parameters
        ----------
        signs : mapping of str to (T,)
            NaN where unseen; names that the model does not know are passed over.
        """
        table = np.column_stack([signs[name] for name in self.signs]) - self.sign_mean
        answers = [self._answer(row) for row in table]
        misfit = float(np.median([misfit for _, _, misfit in answers]))
        least = max((left for _, left, _ in answers), key=lambda left: float(np.trace(left)))
        return Answer(
            misses=np.array([miss for miss, _, _ in answers]),
            covariance=least * widening(misfit) ** 2,
            misfit=misfit,
        )

    def _answer(self, row: Floats) -> tuple[Floats, Floats, float]:
        seen = np.isfinite(row)
        if not seen.any():
            return np.full(len(self.misses), np.nan), self.left + self._taken(np.ones_like(seen)), 1.0
        noisy = self._noisy(seen)
        weights = np.linalg.solve(noisy, row[seen])
        usual = float(np.trace(np.linalg.solve(noisy, self.sign_covariance[np.ix_(seen, seen)])))
        misfit = float(np.sqrt(row[seen] @ weights / usual))
        trust = min(1.0, TRUSTED_MISFIT / misfit) if misfit > 0 else 1.0
        miss = self.constant + trust * self.share * (self.cross_covariance[:, seen] @ weights)
        return miss, self.left + self._taken(np.ones_like(seen)) - self._taken(seen, trust=trust), misfit

    def _noisy(self, seen: np.ndarray) -> Floats:
        covariance = self.sign_covariance[np.ix_(seen, seen)]
        return np.asarray(covariance + self.ridge * np.diag(np.diag(covariance)))

    def _taken(self, seen: np.ndarray, *, trust: float = 1.0) -> Floats:
        """Return the covariance that these signs take out of the misses, believed as far as they are."""
        cross = self.cross_covariance[:, seen]
        explained = cross @ np.linalg.solve(self._noisy(seen), cross.T)
        believed = trust * self.share
        return np.asarray(explained * (believed[:, None] + believed[None, :] - np.outer(believed, believed)))


@cache
def load_miss_model(view: View) -> MissModel:
    """Load what was learned for one view."""
    with files("putt_posture.joints").joinpath("learned.npz").open("rb") as file, np.load(file) as table:
        of = {name.removeprefix(f"{view}/"): table[name] for name in table.files if name.startswith(f"{view}/")}
    return MissModel(
        signs=tuple(str(name) for name in of["signs"]),
        misses=tuple(str(name) for name in of["misses"]),
        sign_mean=of["sign_mean"].astype(float),
        constant=of["constant"].astype(float),
        offset=of["offset"].astype(float),
        share=of["share"].astype(float),
        sign_covariance=of["sign_covariance"].astype(float),
        cross_covariance=of["cross_covariance"].astype(float),
        ridge=float(of["ridge"]),
        left=of["left"].astype(float),
        bodies=int(of["bodies"]),
    )
