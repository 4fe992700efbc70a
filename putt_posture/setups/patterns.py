"""Whether two clips show one performance, told by how much moves in them, and by their strokes.

Two phones are not started together, but both see when somebody moves, and how much. Where the motion of one clip goes
as that of the other at one shift of time and at no other, and their strokes lie over each other there, both show one
performance. Short clips of one putt lie over each other in any case, and tell nothing. Times are real seconds.
"""

from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.setups.observed import Observed
from putt_posture.setups.quiet import LEVEL_STEP_S
from putt_posture.values import Floats

__all__ = ["Likeness", "compare_patterns"]

_LEAST_SHARED_S: Final = 6.0
"""Shorter than this, most pairs of clips lie over each other somewhere."""
_LEAST_LIKE: Final = 0.8
"""Of 60 acted pairs of one performance 57 are more like than this, of 120 of two performances 27."""
_LEAST_LIKE_IN_STEP: Final = 0.6
"""The same where two strokes or more of each clip all lie over each other."""
_CLEARLY: Final = 0.1
"""By so much it is better than at any shift that is `_OTHER_S` away."""
_OTHER_S: Final = 1.0
_SHARES: Final = (0.08, 4.0)
"""Of a stroke's motion: less is stillness, more is walking, and how much less or more differs from view to view."""
_SAME_S: Final = 0.4
"""Starts of one stroke as told from two sides differ by less."""
_AT_ENDS_S: Final = (0.6, 1.5)
"""A stroke that starts so near to the first or the last time that both clips show may be seen in one of them alone."""


@frozen(kw_only=True)
class Likeness:
    """How like two clips are.

    Attributes
    ----------
    best, rival : float
        Correlation of the logarithms of their motion at the best shift, and at the best one that is a second or more
        away; −1 where the clips are too short.
    shift_s : float
        What to add to a time of the first clip to have it in the second.
    shared, alone : int
        How many strokes lie over each other at that shift, and how many of either clip lie over none although the
        other clip shows that time.
    strokes : (int, int)
        Of each clip.
    """

    best: float = -1.0
    rival: float = -1.0
    shift_s: float = 0.0
    shared: int = 0
    alone: int = 0
    strokes: tuple[int, int] = (0, 0)

    @property
    def show_one(self) -> bool:
        """Both clips show one performance."""
        if self.shared >= 2 and self.strokes == (self.shared, self.shared):
            return self.best >= _LEAST_LIKE_IN_STEP
        clear = self.best >= _LEAST_LIKE and self.best - self.rival >= _CLEARLY
        return clear and 0 < self.shared >= self.alone

    @property
    def show_two(self) -> bool:
        """The clips show different performances."""
        return -1.0 < self.best < _LEAST_LIKE and self.alone > 0 and min(self.strokes) > 0


def compare_patterns(first: Observed, second: Observed) -> Likeness:
    """Lay the motion of one clip over that of another at every shift at which they share six seconds."""
    moves, others = _motion(first), _motion(second)
    least = round(_LEAST_SHARED_S / LEVEL_STEP_S)
    lags = np.arange(least - len(moves), len(others) - least + 1)
    if not len(lags):
        return Likeness()
    like = np.array([_correlation(*_over(moves, others, lag)) for lag in lags.tolist()])
    best = int(np.argmax(like))
    apart = np.abs(lags - lags[best]) * LEVEL_STEP_S >= _OTHER_S
    shift_s = float(lags[best] * LEVEL_STEP_S + second.activity.times_s[0] - first.activity.times_s[0])
    shared, alone = _strokes_over(first, second, shift_s)
    return Likeness(
        best=float(like[best]),
        rival=float(like[apart].max()) if apart.any() else -1.0,
        shift_s=shift_s,
        shared=shared,
        alone=alone,
        strokes=(len(first.strokes), len(second.strokes)),
    )


def _motion(seen: Observed) -> Floats:
    """Return the logarithm of the motion as a share of a stroke's."""
    level, floor = seen.activity.level, seen.activity.floor
    known = np.where(np.isfinite(level), level, floor)
    peak = max((stroke.peak for stroke in seen.strokes), default=float(known.max()))
    shares = (known - floor) / (peak - floor) if peak > floor else np.zeros_like(known)
    return np.asarray(np.log(np.clip(shares, *_SHARES)), dtype=np.float64)


def _over(first: Floats, second: Floats, lag: int) -> tuple[Floats, Floats]:
    """Return what the two share when the first starts `lag` steps after the second."""
    start, stop = max(0, -lag), min(len(first), len(second) - lag)
    return first[start:stop], second[start + lag : stop + lag]


def _correlation(first: Floats, second: Floats) -> float:
    spread = float(first.std() * second.std())
    return float(np.mean(first * second) - first.mean() * second.mean()) / spread if spread > 0 else -1.0


def _strokes_over(first: Observed, second: Observed, shift_s: float) -> tuple[int, int]:
    """Return how many strokes lie over each other, and how many of either clip over none."""
    ends = [seen.activity.times_s[[0, -1]] + by for seen, by in ((first, shift_s), (second, 0.0))]
    begin, end = max(each[0] for each in ends) + _AT_ENDS_S[0], min(each[1] for each in ends) - _AT_ENDS_S[1]
    starts = np.array([stroke.start_s + shift_s for stroke in first.strokes])
    others = np.array([stroke.start_s for stroke in second.strokes])
    near = np.abs(starts[:, None] - others[None]) < _SAME_S
    seen_there = [(each > begin) & (each < end) for each in (starts, others)]
    met = near.any(axis=1), near.any(axis=0)
    alone = sum(int(np.sum(there & ~has)) for there, has in zip(seen_there, met, strict=True))
    return int(met[0].sum()), alone
