"""How often something may be done: a measure of tokens for each key, which fills up with time."""

import threading
import time
from collections import OrderedDict
from collections.abc import Callable

from attrs import define, field

__all__ = ["Rate"]


@define(eq=False)
class Rate:
    """Tokens for each key; each act takes one.

    Attributes
    ----------
    most : float
        Tokens of a key that was not seen for long: how often at once.
    per_s : float
        How many come back each second.
    most_keys : int
        How many keys are remembered; the one that was not seen for longest is forgotten first.
    clock : callable
        Returns seconds.
    """

    most: float
    per_s: float
    most_keys: int = 2000
    clock: Callable[[], float] = time.monotonic
    _known: OrderedDict[str, tuple[float, float]] = field(factory=OrderedDict, init=False, repr=False)
    _lock: threading.Lock = field(factory=threading.Lock, init=False, repr=False)

    def take(self, key: str) -> bool:
        """Take a token, and return whether there was one.

        Parameters
        ----------
        key : str
        """
        with self._lock:
            left = self._left(key)
            self._known[key] = (left - 1.0 if left >= 1.0 else left, self.clock())
            self._known.move_to_end(key)
            if len(self._known) > self.most_keys:
                self._known.popitem(last=False)
            return left >= 1.0

    def has(self, key: str) -> bool:
        """Return whether there is a token, without taking it.

        Parameters
        ----------
        key : str
        """
        with self._lock:
            return self._left(key) >= 1.0

    def _left(self, key: str) -> float:
        left, seen = self._known.get(key, (self.most, self.clock()))
        return min(self.most, left + (self.clock() - seen) * self.per_s)
