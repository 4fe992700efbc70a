"""The uncertainty of a formula from those of its inputs.

Evenly spread points stand in for chance (`even_points`). Inputs are taken as normal, and as independent unless
correlations are given.
"""

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np

from putt_posture.fitting.even_points import normal_points
from putt_posture.values import Estimate, Floats

__all__ = ["propagate", "spread_inputs"]

_LOG2_POINTS: Final = 12
"""4096 points: the uncertainty then is good to about a per cent."""


def propagate(
    formula: Callable[..., Floats], correlation: Mapping[tuple[str, str], float] | None = None, /, **inputs: Estimate
) -> tuple[float, float]:
    """Evaluate a formula at its inputs and spread their uncertainties through it.

    Parameters
    ----------
    formula : callable
        Takes each input by name, as a number or as an array of N values, and returns as many.
    correlation : mapping of two names to float, optional
        Between the errors of two inputs, −1 to 1; 0 where a pair is not given. Pairs that name something that is not
        an input are passed over, so that one mapping serves many formulas.
    **inputs : Estimate
        None of them absent.

    Returns
    -------
    value : float
        The formula at the inputs' values.
    standard_uncertainty : float
        Root mean square distance of the spread results from `value`; so it holds what a bent formula adds.

    Raises
    ------
    ValueError
        If no errors can be correlated so: the matrix of the correlations is not positive definite.

    Examples
    --------
    >>> side = Estimate(value=3.0, standard_uncertainty=0.1, unit="cm")
    >>> value, uncertainty = propagate(lambda a, b: a + b, a=side, b=side)
    >>> value, round(uncertainty, 2)
    (6.0, 0.14)
    >>> round(propagate(lambda a, b: a + b, {("a", "b"): -0.5}, a=side, b=side)[1], 2)
    0.1
    """
    value = float(formula(**{name: one.value for name, one in inputs.items()}))
    results = np.asarray(formula(**spread_inputs(correlation, **inputs)), dtype=np.float64)
    return value, float(np.sqrt(np.mean((results - value) ** 2)))


def spread_inputs(
    correlation: Mapping[tuple[str, str], float] | None = None, /, **inputs: Estimate
) -> dict[str, Floats]:
    """Spread every input over its uncertainty: N values of each that go together, for a formula with many results.

    Parameters
    ----------
    correlation, **inputs
        As for `propagate`.

    Returns
    -------
    mapping of name to (N,)
        The same to the last digit for the same inputs.
    """
    points = normal_points(len(inputs), log2_count=_LOG2_POINTS) @ _factor(tuple(inputs), correlation or {}).T
    return {
        name: one.value + one.standard_uncertainty * points[:, column]
        for column, (name, one) in enumerate(inputs.items())
    }


def _factor(names: tuple[str, ...], correlation: Mapping[tuple[str, str], float]) -> Floats:
    """Return the Cholesky factor of the correlation matrix, lower triangle, (N, N)."""
    matrix = np.eye(len(names))
    for (one, other), value in correlation.items():
        if one in names and other in names:
            i, j = names.index(one), names.index(other)
            matrix[i, j] = matrix[j, i] = value
    try:
        return np.linalg.cholesky(matrix).astype(np.float64)
    except np.linalg.LinAlgError:
        raise ValueError(
            f"Correlations need a positive definite matrix; these do not give one: {dict(correlation)}."
        ) from None
