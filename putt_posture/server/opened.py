"""Lessons that are open, kept in memory between the requests of one page."""

import threading
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from typing import Final, Generic, TypeVar

from attrs import define, field

__all__ = ["OpenedLessons"]

T = TypeVar("T")

_MOST: Final = 6
"""How many are kept; one takes some 50 MB. The one that was not used for longest goes first."""


@define(eq=False)
class _Opened(Generic[T]):
    lesson: T | None = None
    lock: threading.Lock = field(factory=threading.Lock)


@define(eq=False)
class OpenedLessons(Generic[T]):
    """Open lessons by what they were read from. One request at a time works on each."""

    _kept: dict[Hashable, _Opened[T]] = field(factory=dict, init=False, repr=False)
    _lock: threading.Lock = field(factory=threading.Lock, init=False, repr=False)

    @contextmanager
    def use(self, key: Hashable, open_it: Callable[[], T]) -> Iterator[T]:
        """Use a lesson; it is opened where it is not open.

        Parameters
        ----------
        key : hashable
            What it is read from, other for another state of the same lesson.
        open_it : callable
        """
        with self._lock:
            opened = self._kept.pop(key, None) or _Opened()
            self._kept[key] = opened
            for oldest in list(self._kept)[:-_MOST]:
                del self._kept[oldest]
        with opened.lock:
            if opened.lesson is None:
                try:
                    opened.lesson = open_it()
                except BaseException:
                    with self._lock:
                        self._kept.pop(key, None)
                    raise
            yield opened.lesson
