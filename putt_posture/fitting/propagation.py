"""Propagation of uncertainty through a formula, by points that are the same in every run.

Evenly spread points replace random ones (`even_points`). Inputs are normal, and independent unless correlations are
given.

The points are a Sobol sequence, not scrambled. `scipy.stats.qmc.Sobol` gives the same to the last bit, but importing it
takes longer than the rest of a fit.
"""

from collections.abc import Callable, Mapping
from functools import cache
from typing import Final

import numpy as np
from scipy.special import ndtri

from putt_posture.values import Estimate, Floats

__all__ = ["MOST_DIMENSIONS", "normal_points", "propagate", "spread_inputs"]

_LOG2_POINTS: Final = 12
"""4096 points: the uncertainty is then accurate to about one per cent."""
_BITS: Final = 12
# The first twelve direction numbers of each dimension, three hexadecimal digits each (S. Joe and F. Y. Kuo, SIAM J.
# Sci. Comput. 30, 2008, "new-joe-kuo-6"). A test compares them with SciPy.
_TABLE: Final = """
    800400200100080040020010008004002001 800c00a00f00880cc0aa0ff0808c0ca0af0f 800c00600900e805c08e0c506889ccee6559
    800c00200500f80740a20930d8825459ee6d 800400200b00f80dc07a09d05a82fca16f0b 800400600300c80240560fb0e08704a86143
    800c00a00d005809403e0e30be823c1e2f31 800400a005008802401202d07689e4082641 800400a00500280d406a0710388584ea2311
    800400e00b009809408a05b0338d9c7223f1 800400a001000806c09e0230578adc7fa91d 800400200300580ac09602b0d48094e2a525
    800c00a00500f808c0e203300f821495a5e7 800c00600900380c40420a30f18aa4fce851 800400200f00a805409a09d01e85cc7d28d1
    800c00200d00d80c40460850a5876cada6ab 800400200f00380140f606708f85048aa0ff 800c00200f006806403606d0418e04d2e9bf
    800400a00500980f40ae0bb0e7895c1c2d03 800c00e00b00b803c0ce041021851c096857 800c00e00d006803c08a0510a98ddc5ba39d
    800400600d003808c07e0710c8804c1babb7 800c00a009000806406a0890a58cb4182ad9 800c00200d004808c0d60390d58324b2a721
    800c00200500d80f403e09508f83d4f322ef 800400a00b00980a407a0d5002860451e887 800c00a003001803408a09d067882440e60f
    800400e00d000804c0020b50368c2c142075 800c00e005006804c0760f70368d7487eef3 800400600900c80740520030eb86f4646daf
    800c00a00d00b800406e0970f28edc1365c9 800c00e00300680ec02202b03689d46a2167 800c00200300280d408a0ff084873c132c2b
    800400a00500b808401a0af0bd8dfc14e435 800400e00700080f40f608b0c98554672f3f 800400e00900680f40620df0798dd476e2cf
    800c00600500180dc0420370208f14286949 800c00200f00f80340620f50a88fcc8e253f 800c00a00f00f80ec07e06105c8e6cdda2a7
    800c00200b005802c09a0f903c8b2cad23a3 800c00200b00d80ac08e00909e8a1ccaa337 800400e00f00a802c0a202d0da8f94ec602b
    800c00e00300c807c08204f0be8edc216ab7 800c002001009802c0060cd08a81bcffaad5 800400a009009805403a09d07e87f4172ab5
    800c00e00b00080840b20b90be84fc556f8f 800c006003007802409e0470678f74df2b31 800c00e00b007809c0ee01b0cb8c34c7a051
    8004006001005807c0c20e100d8d7c2aaf53 800400200300b80ac0720b10038d2cc169b9 800c00e007008804404a0470dd8424c32771
    800c00200500d80fc0f60d50bf82c4eee097 800400600500580ac06a0850fb8a8c842ae3 800c00a00500e804405e0ad0ef8684846fe5
    800c00600b00180040da0090228e84bc60e3 8004002005008809c02e0050ab81c46e2251 800c00200500c803c03e0670f98cc4666b31
    800400200b005804407e06905b8dc45a2871 800400a00b00480740c20e70b58ba49b2a3d 800400a00f00980b40520070bf85a43b291d
    800c00e00700f804c0a608906e81a41764bf 800400200300b803c0de0df0298324e92629 800400a00d00f803c06e0190508ca47b2afd
    800400600d00c80bc04e05708080a4fd28db
"""
_DIRECTIONS: Final = tuple(_TABLE.split())
MOST_DIMENSIONS: Final = len(_DIRECTIONS)


def propagate(
    formula: Callable[..., Floats], correlation: Mapping[tuple[str, str], float] | None = None, /, **inputs: Estimate
) -> tuple[float, float]:
    """Evaluate a formula at its inputs and spread their uncertainties through it.

    Parameters
    ----------
    formula : callable
        Takes each input by name, as a number or as an array of N values, and returns as many.
    correlation : mapping of two names to float, optional
        Between the errors of two inputs, −1 to 1; 0 where a pair is not given. Pairs with a name that is not an input
        are ignored, so that one mapping serves many formulas.
    **inputs : Estimate
        None of them absent.

    Returns
    -------
    value : float
        The formula at the inputs' values.
    standard_uncertainty : float
        Root mean square distance of the results from `value`; so it includes the effect of a nonlinear formula.

    Raises
    ------
    ValueError
        If these correlations are impossible: their matrix is not positive definite.

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
    """Spread every input over its uncertainty: N joint values of each, for a formula with many results.

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


@cache
def normal_points(dimensions: int, *, log2_count: int) -> Floats:
    """Return evenly spread standard normal points, the same ones each time.

    Parameters
    ----------
    dimensions : int
        At most `MOST_DIMENSIONS`.
    log2_count : int
        Logarithm to base 2 of the number of points; at most 12.

    Returns
    -------
    (2 ** log2_count, dimensions)
        Read-only.

    Raises
    ------
    ValueError
        More dimensions or points than there are direction numbers for.
    """
    if dimensions > MOST_DIMENSIONS or log2_count > _BITS:
        raise ValueError(
            f"{dimensions} dimensions and 2 ** {log2_count} points were asked for; there are direction numbers for "
            f"{MOST_DIMENSIONS} and 2 ** {_BITS}."
        )
    count = 1 << log2_count
    index = np.arange(count)
    gray = index ^ (index >> 1)
    directions = np.array(
        [[int(word[3 * bit : 3 * bit + 3], 16) for word in _DIRECTIONS[:dimensions]] for bit in range(log2_count)],
        dtype=np.int64,
    ).reshape(log2_count, dimensions)
    steps = np.zeros((count, dimensions), dtype=np.int64)
    for bit, row in enumerate(directions):
        steps ^= np.where((gray >> bit & 1)[:, None] == 1, row, 0)
    points: Floats = ndtri(steps / (1 << _BITS) + 0.5 / count)
    points.setflags(write=False)
    return points


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
