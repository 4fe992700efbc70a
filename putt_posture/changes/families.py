"""Many changes judged together: how often any of them, or what share of those called changes, is noise.

Of 23 measures that did not change, one passes its own 95 % margin in most lessons. So nothing is called a change by its
own margin alone.
"""

from collections.abc import Callable, Hashable, Mapping
from typing import TypeVar

import numpy as np
from attrs import evolve

from putt_posture.values import Floats, MeasureChange

__all__ = ["control_family", "control_share"]

Key = TypeVar("Key", bound=Hashable)


def control_family(changes: Mapping[Key, MeasureChange]) -> dict[Key, MeasureChange]:
    """Set the joint chance so that among all of them noise is called a change at most once in 20 times.

    The step-down of S. Holm, "A simple sequentially rejective multiple test procedure", Scand. J. Stat. 6 (1979),
    65-70, which is valid for any correlation of the errors. For changes on which a coach acts.

    Parameters
    ----------
    changes : mapping to MeasureChange
        All that were examined for one claim; absent ones stay as they are and do not count.
    """
    return _control(changes, _adjust_by_holm)


def control_share(changes: Mapping[Key, MeasureChange]) -> dict[Key, MeasureChange]:
    """Set the joint chance so that of those called changes one in 20 is noise on average.

    The step-up of Benjamini and Hochberg (1995), for long lists such as the steps of a chart.

    Parameters
    ----------
    changes : mapping to MeasureChange
        As for `control_family`.
    """
    from scipy.stats import false_discovery_control  # imported here, as it takes as long to load as everything else

    return _control(changes, lambda chances: np.asarray(false_discovery_control(chances, method="bh")))


def _control(changes: Mapping[Key, MeasureChange], adjust: Callable[[Floats], Floats]) -> dict[Key, MeasureChange]:
    present = [key for key, each in changes.items() if each.change]
    found = dict(changes)
    if present:
        joint = adjust(np.array([changes[key].chance for key in present]))
        found |= {
            key: evolve(changes[key], joint_chance=float(chance)) for key, chance in zip(present, joint, strict=True)
        }
    return found


def _adjust_by_holm(chances: Floats) -> Floats:
    """Return the adjusted chances, (m,); scipy has no Holm, and a test compares this with statsmodels."""
    order = np.argsort(chances)
    raised = np.maximum.accumulate(chances[order] * np.arange(len(chances), 0, -1))
    adjusted = np.empty_like(chances)
    adjusted[order] = np.minimum(raised, 1.0)
    return adjusted
