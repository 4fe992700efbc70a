"""Prediction of the residuals of landmarks (landmark less joint centre) from the features of a body.

Features and residuals are modelled as jointly normal, and the prediction is the conditional mean. Its parameters are in
``landmark_error_model.npz``, learned from rendered golfers with known joints by ``tests/accuracy/learn_joints.py``. A
feature that is not seen is left out of the conditioning, and the prediction is less certain. A body unlike those of the
training set is corrected only in part.

Renders are not people. A residual that all renders share may come from the way their bodies were made. So it is
corrected only where pictures of people show it too; otherwise it stays and counts as uncertainty. The residuals that
vary from body to body are corrected in part.
"""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.values import Floats, View

__all__ = ["LandmarkErrorModel", "Prediction", "load_landmark_error_model", "widening"]

TRUSTED_MISFIT: Final = 3.0
"""The largest misfit in the training set; beyond it, the linear model is not extrapolated."""
MISFIT_POWER: Final = 0.85
WIDENING_LIMITS: Final = (0.75, 3.0)
"""Bounds of the widening: beyond three times, the warning says more than a wider interval would."""


def widening(misfit: float) -> float:
    """Return the factor by which the remaining uncertainty grows with the misfit.

    In cross-validation over bodies the remaining error grew a little less than the misfit.

    Parameters
    ----------
    misfit : float
        As in `Prediction`; 1 = as usual.

    Returns
    -------
    float
        1 for a usual body, more for one that fits badly.
    """
    return float(np.clip(misfit**MISFIT_POWER, *WIDENING_LIMITS))


@frozen(kw_only=True, eq=False)
class Prediction:
    """The residuals predicted for T frames.

    Attributes
    ----------
    residuals : (T, K)
        The most likely residuals, shares of the body's size; NaN where the frame shows no feature at all.
    covariance : (K, K)
        Covariance of the error that remains after the correction, in the frame that shows the fewest features; scaled
        by `widening`.
    misfit : float
        Mahalanobis distance of the features from the mean of the training set, over its usual value: 1 = as usual.
    """

    residuals: Floats
    covariance: Floats
    misfit: float


@frozen(kw_only=True, eq=False)
class LandmarkErrorModel:
    """The joint normal distribution of features and residuals in one view.

    Attributes
    ----------
    features, residuals : tuple of str
        Names, M and K.
    feature_mean : (M,)
    constant : (K,)
        The part of the mean residual that people show too; it is corrected.
    offset : (K,)
        The rest of the mean residual of the renders; it is not corrected but counts as uncertainty.
    share : (K,)
        Share of the predicted deviation from the mean that is corrected, 0 to 1.
    feature_covariance : (M, M)
    cross_covariance : (K, M)
    ridge : float
        Ridge regularisation: share of each feature's variance that is added to it, against overfitting.
    unexplained : (K, K)
        Covariance of the residuals that remain when all features are known, for a body of usual misfit; from
        cross-validation over bodies.
    bodies : int
        Number of bodies in the training set.
    """

    features: tuple[str, ...]
    residuals: tuple[str, ...]
    feature_mean: Floats = field(repr=False)
    constant: Floats = field(repr=False)
    offset: Floats = field(repr=False)
    share: Floats = field(repr=False)
    feature_covariance: Floats = field(repr=False)
    cross_covariance: Floats = field(repr=False)
    ridge: float
    unexplained: Floats = field(repr=False)
    bodies: int

    def predict(self, features: Mapping[str, Floats]) -> Prediction:
        """Predict the residuals of T frames.

        Parameters
        ----------
        features : mapping of str to (T,)
            NaN where unseen; names that the model does not know are ignored.

        Returns
        -------
        Prediction
        """
        table = np.column_stack([features[name] for name in self.features]) - self.feature_mean
        predictions = [self._predict_frame(row) for row in table]
        misfit = float(np.median([misfit for _, _, misfit in predictions]))
        widest = max((rest for _, rest, _ in predictions), key=lambda rest: float(np.trace(rest)))
        return Prediction(
            residuals=np.array([residual for residual, _, _ in predictions]),
            covariance=widest * widening(misfit) ** 2,
            misfit=misfit,
        )

    def _predict_frame(self, row: Floats) -> tuple[Floats, Floats, float]:
        seen = np.isfinite(row)
        if not seen.any():
            return np.full(len(self.residuals), np.nan), self.unexplained + self._explained(np.ones_like(seen)), 1.0
        noisy = self._with_ridge(seen)
        weights = np.linalg.solve(noisy, row[seen])
        usual = float(np.trace(np.linalg.solve(noisy, self.feature_covariance[np.ix_(seen, seen)])))
        misfit = float(np.sqrt(row[seen] @ weights / usual))
        trust = min(1.0, TRUSTED_MISFIT / misfit) if misfit > 0 else 1.0
        residual = self.constant + trust * self.share * (self.cross_covariance[:, seen] @ weights)
        return (
            residual,
            self.unexplained + self._explained(np.ones_like(seen)) - self._explained(seen, trust=trust),
            misfit,
        )

    def _with_ridge(self, seen: np.ndarray) -> Floats:
        covariance = self.feature_covariance[np.ix_(seen, seen)]
        return np.asarray(covariance + self.ridge * np.diag(np.diag(covariance)))

    def _explained(self, seen: np.ndarray, *, trust: float = 1.0) -> Floats:
        """Return the covariance of the residuals that these features explain, with the shares that are corrected."""
        cross = self.cross_covariance[:, seen]
        explained = cross @ np.linalg.solve(self._with_ridge(seen), cross.T)
        believed = trust * self.share
        return np.asarray(explained * (believed[:, None] + believed[None, :] - np.outer(believed, believed)))


@cache
def load_landmark_error_model(view: View) -> LandmarkErrorModel:
    """Load the parameters of one view from the package.

    Parameters
    ----------
    view : View

    Returns
    -------
    LandmarkErrorModel
    """
    with files("putt_posture.joints").joinpath("landmark_error_model.npz").open("rb") as file, np.load(file) as table:
        of = {name.removeprefix(f"{view}/"): table[name] for name in table.files if name.startswith(f"{view}/")}
    return LandmarkErrorModel(
        features=tuple(str(name) for name in of["features"]),
        residuals=tuple(str(name) for name in of["residuals"]),
        feature_mean=of["feature_mean"].astype(float),
        constant=of["constant"].astype(float),
        offset=of["offset"].astype(float),
        share=of["share"].astype(float),
        feature_covariance=of["feature_covariance"].astype(float),
        cross_covariance=of["cross_covariance"].astype(float),
        ridge=float(of["ridge"]),
        unexplained=of["unexplained"].astype(float),
        bodies=int(of["bodies"]),
    )
