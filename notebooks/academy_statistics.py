"""What many students together show: changes without the noise, who went back, and shares of all from those who came.

Arrays have one entry a student. ``noise`` is the variance of a lesson's error that another lesson does not share, in the
measure's unit squared. Every interval is for the level that was asked for, 95 % unless several are looked at at once.
"""

import numpy as np
from attrs import frozen
from scipy import stats

__all__ = [
    "Groups", "Interval", "bound_share", "find_back", "find_groups", "joint_level", "share_cut", "share_left",
    "square_change", "weights_of",
]  # fmt: skip


@frozen
class Interval:
    """A number and its interval."""

    value: float
    low: float
    high: float


@frozen
class Groups:
    """Two groups of students: changed by a normal amount, or not at all.

    ``share`` of them changed, by ``mean`` on average, differing by ``differs`` (one sigma); ``changed`` is the
    probability for each student.
    """

    share: float
    mean: float
    differs: float
    changed: np.ndarray


def joint_level(count: int, level: float = 0.95) -> float:
    """Return the level of each of several intervals that hold together at `level` (Bonferroni)."""
    return 1 - (1 - level) / count


def weights_of(group: np.ndarray, seen: np.ndarray) -> np.ndarray:
    """Return the weight of each student who was seen: how many of all with the same group each stands for.

    Post-stratification (Holt and Smith, J. R. Stat. Soc. A 142, 1979): right where, within a group, who comes back does
    not depend on what became of them. 0 for those who were not seen.
    """
    weights = np.zeros(len(group))
    for each in np.unique(group):
        own = group == each
        if (own & seen).any():
            weights[own & seen] = own.sum() / (own & seen).sum()
    return weights


def square_change(before: np.ndarray, after: np.ndarray, noise: np.ndarray, *, level: float = 0.95) -> Interval:
    """Return the mean square of the changes without the noise; a measure was changed where its interval is above 0.

    Parameters
    ----------
    before, after : (n,) float
        NaN where missing.
    noise : (n, 2) float
        Of both lessons.
    level : float
    """
    square = (after - before) ** 2 - noise[:, 0] - noise[:, 1]
    square = square[~np.isnan(square)]
    margin = stats.norm.ppf((1 + level) / 2) * square.std(ddof=1) / np.sqrt(len(square))
    return Interval(float(square.mean()), float(square.mean() - margin), float(square.mean() + margin))


def share_left(
    before: np.ndarray, after: np.ndarray, last: np.ndarray, noise: np.ndarray, weights: np.ndarray,
    *, level: float = 0.95,
) -> Interval:  # fmt: skip
    """Return the share of the change that is left at the last check, weighed by the square of each change.

    The slope of (last − before) on (after − before) through zero, with the noise taken out of both moments (errors in
    variables; Fuller, Measurement Error Models, 1987, 1.2): without that, the first lesson's noise is in both, and the
    noise of the rebuild makes the change look larger. The interval is by the sandwich of White (Econometrica 48, 1980).

    Parameters
    ----------
    before, after, last : (n,) float
        NaN where missing; such students are left out.
    noise : (n, 3) float
        Of the three lessons.
    weights : (n,) float
        As `weights_of` returns them.
    level : float
    """
    there = ~np.isnan(before + after + last) & (weights > 0)
    one, two = (after - before)[there], (last - before)[there]
    weights, noise = weights[there], noise[there]
    together = one * two - noise[:, 0]
    alone = one**2 - noise[:, 0] - noise[:, 1]
    below = np.sum(weights * alone)
    value = np.sum(weights * together) / below
    sd = np.sqrt(np.sum((weights * (together - value * alone)) ** 2)) / abs(below)
    margin = stats.norm.ppf((1 + level) / 2) * sd
    return Interval(float(value), float(value - margin), float(value + margin))


def bound_share(
    share: Interval, before: np.ndarray, after: np.ndarray, noise: np.ndarray, seen: np.ndarray
) -> tuple[float, float]:
    """Return between what the share of all lies, whatever became of those who were not seen: all gone, or all held.

    The bounds of Manski (Am. Econ. Rev. 80, 1990), from the interval of those who were seen (equal weights).
    """
    there = ~np.isnan(before + after)
    size = np.where(there, (after - before) ** 2 - noise[:, 0] - noise[:, 1], 0.0)
    known = np.sum(size[seen]) / np.sum(size)
    return max(0.0, float(known * share.low)), min(1.0, float(known * share.high + 1 - known))


def find_groups(change: np.ndarray, noise: np.ndarray, *, rounds: int = 200) -> Groups:
    """Divide students into changed and not changed, by maximum likelihood (Efron, Large-Scale Inference, 2010, ch. 2).

    Parameters
    ----------
    change : (n,) float
        NaN where missing.
    noise : (n,) float
        Variance of its error.
    rounds : int
        Of expectation and maximisation.
    """
    there = ~np.isnan(change)
    own, error = change[there], noise[there]
    far = own[np.abs(own) > 2 * np.sqrt(error)]
    share, mean, spread = 0.2, float(far.mean()) if len(far) else 1.0, float(np.var(far)) if len(far) else 1.0
    with_no_change = np.exp(-(own**2) / (2 * error)) / np.sqrt(error)
    for _ in range(rounds):
        of_changed = share * np.exp(-((own - mean) ** 2) / (2 * (spread + error))) / np.sqrt(spread + error)
        others = (1 - share) * with_no_change
        changed = of_changed / np.maximum(of_changed + others, 1e-300)
        pull = spread / (spread + error)  # how much of the difference from the mean is no noise
        true = mean + pull * (own - mean)
        if abs(share - changed.mean()) < 1e-7:
            break
        share = float(changed.mean())
        mean = float(np.sum(changed * true) / changed.sum())
        spread = float(np.sum(changed * ((true - mean) ** 2 + pull * error)) / changed.sum())
    probability = np.zeros(len(change))
    probability[there] = changed
    return Groups(share, mean, float(np.sqrt(spread)), probability)


def find_back(
    before: np.ndarray, after: np.ndarray, last: np.ndarray, noise: np.ndarray, groups: Groups
) -> np.ndarray:
    """Return for each student the chance of so much drift back if the change had held; NaN where not known.

    The largest changes that were measured are large by noise too, and so seem to go back. So what is expected of a
    change that held is worked out from the change that was measured, for normal changes and errors.
    """
    error = noise[:, 0] + noise[:, 1]
    spread = groups.differs**2
    of_first, of_both = spread + error, spread + noise[:, 0]
    one, two = after - before, last - before
    expected = groups.mean + of_both / of_first * (one - groups.mean)
    sd = np.sqrt(spread + noise[:, 0] + noise[:, 2] - of_both**2 / of_first)
    return stats.norm.sf(np.sign(groups.mean) * (expected - two) / sd)


def share_cut(
    is_cut: np.ndarray, group: np.ndarray, seen: np.ndarray, *, level: float = 0.95
) -> tuple[Interval, tuple[float, float]]:
    """Return the share of all whose putter was cut, and between what it lies whatever the others did.

    Shares of the groups, each by Wilson's interval (J. Am. Stat. Assoc. 22, 1927), weighed by how many are in each;
    their margins are added as independent ones, each way by itself (Zou and Donner, Stat. Med. 27, 2008).
    """
    value = low = high = 0.0
    for each in np.unique(group):
        own = group == each
        tried, count = int((own & seen).sum()), int((own & seen & is_cut).sum())
        if not tried:
            return Interval(np.nan, 0.0, 1.0), (0.0, 1.0)
        weight, one = own.mean(), count / tried
        interval = stats.binomtest(count, tried).proportion_ci(level, method="wilson")
        value += weight * one
        low += (weight * (one - interval.low)) ** 2
        high += (weight * (interval.high - one)) ** 2
    known = (seen & is_cut).sum() / len(seen)
    return (
        Interval(float(value), float(value - np.sqrt(low)), float(value + np.sqrt(high))),
        (float(known), float(known + 1 - seen.mean())),
    )
