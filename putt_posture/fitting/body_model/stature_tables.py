"""How the heights of a standing person's landmarks are correlated at one stature.

The table gives the standard error of each height, and of each difference or sum of two, so that their covariance
follows: var(a − b) = var a + var b − 2 cov(a, b). The covariance with the wrist height follows from the plane on
stature and wrist height: its slope on the wrist is cov / var of the wrist. Two heights without a common row in the
table are taken as correlated only through a third (hip, or wrist), like links of a chain.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from putt_posture.body import find_table_widening
from putt_posture.body.tables import Regression, load_ansur2
from putt_posture.fitting.body_model.gaussian import Gaussian
from putt_posture.values import SEXES, Sex

__all__ = ["HEIGHTS", "predict_heights"]

HEIGHTS: Final = (
    "acromial_height", "trochanterion_height", "knee_height", "malleolus_height", "wrist_height", "acromion_radiale",
    "radiale_stylion", "tragion_to_vertex",
)  # fmt: skip
"""Heights of four joints and of the wrist, two lengths of the arm, and the distance from the ear to the top of the
head."""

_DIFFERENCES: Final[Mapping[tuple[str, str], str]] = {
    ("acromial_height", "trochanterion_height"): "acromion_to_trochanterion",
    ("trochanterion_height", "knee_height"): "trochanterion_to_knee",
    ("knee_height", "malleolus_height"): "knee_to_malleolus",
    ("trochanterion_height", "malleolus_height"): "trochanterion_to_malleolus",
}
_SUMS: Final[Mapping[tuple[str, str], str]] = {("acromion_radiale", "radiale_stylion"): "acromion_to_stylion"}
_THROUGH_THE_HIP: Final = (("acromial_height", "knee_height"), ("acromial_height", "malleolus_height"))


def predict_heights(stature_cm: float, sex: Sex | None) -> Gaussian:
    """Predict the standing heights of a student, barefoot, cm, with their correlations.

    Parameters
    ----------
    stature_cm : float
    sex : {"female", "male"}, optional
        Which table; without it an even mixture of both, so that the difference of the sexes is part of the covariance.

    Notes
    -----
    Outside the statures of the tables the spread is taken wider, see `find_table_widening`.
    """
    table = load_ansur2()
    sexes: tuple[Sex, ...] = SEXES if sex is None else (sex,)
    means, covariances = [], []
    for one in sexes:
        rows = {name: table[name, one] for name in HEIGHTS}
        means.append(np.array([row.intercept + row.slope * stature_cm for row in rows.values()]))
        covariances.append(_covariance({name: table[name, one] for name in _needed()}))
    mean = np.mean(means, axis=0)
    between = np.mean([np.outer(each - mean, each - mean) for each in means], axis=0)
    wider = find_table_widening(stature_cm, sex)
    return Gaussian(names=HEIGHTS, mean=mean, covariance=wider**2 * np.mean(covariances, axis=0) + between)


def _needed() -> tuple[str, ...]:
    return (*HEIGHTS, *_DIFFERENCES.values(), *_SUMS.values())


def _covariance(rows: Mapping[str, Regression]) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    at = {name: place for place, name in enumerate(HEIGHTS)}
    variance = {name: row.see**2 for name, row in rows.items()}
    found: dict[tuple[str, str], float] = {}
    for (a, b), difference in _DIFFERENCES.items():
        found[a, b] = (variance[a] + variance[b] - variance[difference]) / 2
    for (a, b), total in _SUMS.items():
        found[a, b] = (variance[total] - variance[a] - variance[b]) / 2
    for a, b in _THROUGH_THE_HIP:
        hip = "trochanterion_height"
        found[a, b] = found[a, hip] * found[hip, b] / variance[hip]
    wrist = "wrist_height"
    with_wrist = {name: rows[name].wrist_slope * variance[wrist] for name in HEIGHTS if name != wrist}
    for name, value in with_wrist.items():
        found[name, wrist] = value
    matrix = np.diag([variance[name] for name in HEIGHTS])
    for a in HEIGHTS:
        for b in HEIGHTS:
            if at[a] < at[b]:
                known = found.get((a, b), found.get((b, a)))
                through_wrist = 0.0 if known is not None else with_wrist[a] * with_wrist[b] / variance[wrist]
                matrix[at[a], at[b]] = matrix[at[b], at[a]] = known if known is not None else through_wrist
    return matrix
