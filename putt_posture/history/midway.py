"""Where the latest visit lies between the first setup and the rebuilt one: beyond the middle or not."""

import math

from putt_posture.values import Estimate, MeasureChange

__all__ = ["find_midway"]


def find_midway(by_rebuild: MeasureChange, since_rebuilt: MeasureChange, since_first: MeasureChange) -> Estimate:
    """Find how far the latest value lies beyond the middle between the first and the rebuilt one.

    It is m = x₃ − (x₁ + x₂) / 2. With V the variance of the change between two visits, whatever they share,
    u(m)² = V₁₃ / 2 + V₂₃ / 2 − V₁₂ / 4: the median of a triangle by its sides. The errors of m and of the rebuild do
    not go together where the first and the rebuilt visit are equally sure, so that a rebuild that was taken for real by
    a lucky error does not look held by the same error.

    Parameters
    ----------
    by_rebuild, since_rebuilt, since_first : MeasureChange
        First to rebuilt, rebuilt to latest, first to latest; all present.

    Returns
    -------
    Estimate
        In the measure's unit, + = on the side of the rebuilt setup.
    """
    rebuild, since, whole = (each.change for each in (by_rebuild, since_rebuilt, since_first))
    v12, v23, v13 = (each.standard_uncertainty**2 for each in (rebuild, since, whole))
    # Three changes whose scatter was told by different setups may be no triangle; then the interval stays wide.
    variance = max(v13 / 2 + v23 / 2 - v12 / 4, min(v13, v23) / 2)
    toward = math.copysign(1.0, rebuild.value)
    return Estimate(
        value=toward * (since.value + rebuild.value / 2),
        standard_uncertainty=math.sqrt(variance),
        unit=rebuild.unit,
        method="latest less the middle of the first and the rebuilt",
        coverage=max(each.coverage for each in (rebuild, since, whole)),
    )
