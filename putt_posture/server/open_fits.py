"""Lessons whose fit is being tried out: each is opened once, and again once it was changed."""

import hashlib
from collections import OrderedDict
from threading import Lock
from typing import Final

from attrs import define, field

from putt_posture.documents import DOCUMENT
from putt_posture.records import KeptLesson
from putt_posture.services import OpenFit, open_fit

__all__ = ["OpenFits"]

_MOST: Final = 4
"""Lessons that stay open; each takes some 10 MB."""


@define(eq=False)
class OpenFits:
    """The lessons that are open. Two requests for one lesson wait for each other, and those for others do not."""

    _open: OrderedDict[tuple[str, str], OpenFit] = field(factory=OrderedDict, init=False, repr=False)
    _locks: dict[str, Lock] = field(factory=dict, init=False, repr=False)
    _lock: Lock = field(factory=Lock, init=False, repr=False)

    def find(self, name: str, kept: KeptLesson) -> OpenFit:
        """Return a lesson that is open, or open it.

        Parameters
        ----------
        name : str
            Of the lesson: one for each draft and each filed lesson.
        kept : KeptLesson
            As it may be shown now.

        Raises
        ------
        NotAllowed, UsageError
            As `open_fit` does.
        """
        stamp = hashlib.sha256(kept.read(DOCUMENT) + repr(sorted(kept.names)).encode()).hexdigest()
        with self._lock:
            waiting = self._locks.setdefault(name, Lock())
        with waiting:
            with self._lock:
                if (found := self._open.get((name, stamp))) is not None:
                    self._open.move_to_end((name, stamp))
                    return found
            opened = open_fit(kept)
            with self._lock:
                for old in [key for key in self._open if key[0] == name]:
                    del self._open[old]
                self._open[name, stamp] = opened
                while len(self._open) > _MOST:
                    self._open.popitem(last=False)
            return opened
