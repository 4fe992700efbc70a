"""Clips that arrive in a folder, each reported once it is whole.

The folder is looked through again and again, since the shares of other computers do not report what changes in them. A
clip is whole when its size and its time stayed as they are for a while and it can be read to its end. A clip that stays
and cannot be read is looked at again, at growing intervals: some copies have their full size from the start.
"""

import os
import stat
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from pathlib import Path
from typing import Any, Final

from attrs import define, field, frozen
from watchdog.utils.dirsnapshot import DirectorySnapshot

from putt_posture.batch.lessons import ENDINGS
from putt_posture.batch.looking import ClipLook, Looker
from putt_posture.errors import UsageError

__all__ = ["ASIDE", "FILED", "Arrivals", "Arrived"]

FILED: Final = "filed"
ASIDE: Final = "laid aside"
"""Sub-folders for clips that are done with; they are not looked at."""
_NOT_OURS: Final = frozenset({"$recycle.bin", "system volume information", "lost+found", "lost.dir"})
"""Folders of systems and cards, in small letters. Hidden ones begin with a dot, those of some file servers with @."""
_UNFINISHED: Final = (".", "~", "@", "#")
"""How names of files begin that a program is still writing, or hides."""


@frozen(kw_only=True)
class Arrived:
    """A clip that is whole, or that cannot be read.

    Attributes
    ----------
    path : Path
    look : ClipLook
        With a fault where it cannot be read.
    changed_s : float
        When the file was last changed, seconds since 1970.
    at : float
        When it was found, by the clock of `Arrivals`.
    """

    path: Path
    look: ClipLook
    changed_s: float
    at: float


@define(eq=False)
class _File:
    size: int
    changed_ns: int
    since: float
    next_look: float
    look: "Future[ClipLook] | None" = None
    is_told: bool = False


@define(eq=False)
class Arrivals:
    """The clips of a folder and those in it.

    Attributes
    ----------
    folder : Path
    looker : Looker
    still_s : float
        How long a file must stay as it is before it is looked at, s.
    give_up_s : float
        How long a file that stays as it is may be unreadable, s.
    needs_view : callable
        Whether the view of a clip is to be told from its picture.
    tell : callable or None
        Called with a sentence about what arrives, and where the folder cannot be read.
    clock : callable
        Seconds that never go back.
    """

    folder: Path
    looker: Looker
    still_s: float = field(kw_only=True, default=5.0)
    give_up_s: float = field(kw_only=True, default=300.0)
    needs_view: Callable[[Path], bool] = field(kw_only=True, default=lambda _path: True)
    tell: Callable[[str], None] | None = field(kw_only=True, default=None)
    clock: Callable[[], float] = field(kw_only=True, default=time.monotonic)
    _files: dict[Path, _File] = field(factory=dict, init=False)
    _is_away: bool = field(default=False, init=False)
    _was_seen: bool = field(default=False, init=False)

    def __attrs_post_init__(self) -> None:
        if not self.folder.is_dir():
            raise UsageError(f"{self.folder} is no folder. Give the folder in which clips arrive.")
        self.folder = self.folder.resolve()

    @property
    def is_settled(self) -> bool:
        """Whether the folder was looked through, and everything in it was reported."""
        return self._was_seen and all(each.is_told for each in self._files.values())

    def look(self) -> list[Arrived]:
        """Look through the folder, and return what became whole or was given up since the last time, by name."""
        now, found = self.clock(), {}
        try:
            found = dict(self._walk())
            self._is_away, self._was_seen = False, True
        except OSError as error:
            if not self._is_away:
                self._say(f"{self.folder} cannot be read at the moment ({error.strerror or error}). Waiting for it.")
            self._is_away = True
            return []
        for gone in self._files.keys() - found.keys():
            self._forget(gone)
        arrived = (self._judge(path, found[path], now) for path in sorted(found))
        return [each for each in arrived if each is not None]

    def offer_again(self, path: Path) -> None:
        """Report a clip once more, which was not done with.

        Parameters
        ----------
        path : Path
        """
        self._forget(path)

    def _walk(self) -> Iterator[tuple[Path, os.stat_result]]:
        seen = DirectorySnapshot(str(self.folder), stat=os.lstat, listdir=_list_ours)
        for name in seen.paths:
            path, status = Path(os.fsdecode(name)), seen.stat_info(name)
            if stat.S_ISREG(status.st_mode) and path.suffix.lower() in ENDINGS:
                yield path, status

    def _judge(self, path: Path, status: os.stat_result, now: float) -> Arrived | None:
        file = self._files.get(path)
        if file is None or (file.size, file.changed_ns) != (status.st_size, status.st_mtime_ns):
            if file is None:
                self._say(f"{path.relative_to(self.folder)} arrives.")
            else:
                self._forget(path)
            self._files[path] = _File(status.st_size, status.st_mtime_ns, since=now, next_look=now + self.still_s)
            return None
        if file.is_told:
            return None
        if file.look is None:
            if now >= file.next_look:
                file.look = self.looker.begin(path, finds_view=self.needs_view(path))
            return None
        if not file.look.done():
            return None
        look = file.look.result()
        if look.fault and now - file.since < self.give_up_s:
            file.look, file.next_look = None, now + max(self.still_s, now - file.since)
            return None
        file.is_told = True
        return Arrived(path=path, look=look, changed_s=status.st_mtime, at=now)

    def _forget(self, path: Path) -> None:
        file = self._files.pop(path, None)
        if file is not None and file.look is not None:
            file.look.cancel()

    def _say(self, text: str) -> None:
        if self.tell is not None:
            self.tell(text)


def _list_ours(path: str | None) -> Iterator[Any]:
    """Go through a folder without what is hidden, unfinished or done with."""
    with os.scandir(path) as entries:
        kept = [each for each in entries if not each.name.startswith(_UNFINISHED)]
    return iter([each for each in kept if each.name.lower() not in {FILED, ASIDE, *_NOT_OURS}])
