"""Results that are written beside their place first, and the cleanup after a run was stopped.

Each result is written in a hidden work folder beside its place, ``.putt-posture-TOKEN.part``, which only its owner can
read. It contains ``lock``, which is held as long as the run lives, however it ends; ``new``, the file or folder that is
being written; and, while an older result is replaced, ``swap.json`` with the name of the place, and ``old``, the older
result. A run removes its work folder at its end. If it was killed, the next run does that: it puts ``old`` back if its
place is empty, and removes the rest, so that a killed run has changed nothing. A note of each work folder is in the
user's state folder, so that it is found wherever it is.
"""

import json
import os
import re
import secrets
import shutil
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final, NamedTuple

from filelock import FileLock, Timeout
from platformdirs import user_state_path

from putt_posture.disk.marks import find_stranger
from putt_posture.disk.reading import FOLDER_RIGHTS
from putt_posture.errors import OutputError

__all__ = [
    "LeftOver",
    "Work",
    "begin_work",
    "do_to_the_end",
    "settle",
    "settle_everywhere",
    "settle_scratch",
    "swap_in",
]

_NAME: Final = re.compile(r"\.putt-posture-(?P<token>[0-9a-f]{16})\.part")
_EARLIER_NAME: Final = re.compile(r"\.putt-posture-[0-9a-f]{8}\.part")
"""Names of work folders and files without a lock, as the first versions made them."""
_EARLIER_SCRATCH: Final = re.compile(r"putt-posture-[a-z0-9_]{8}")
"""Names of the temporary folders for pictures that the first versions made."""
_EARLIER_S: Final = 3600.0
"""If one of these was not changed for this long, no running program uses it, s."""
_LOCK: Final = "lock"
_SWAP: Final = "swap.json"
_TRIES: Final = 20


class LeftOver(NamedTuple):
    """Something that a stopped run left.

    Attributes
    ----------
    path : Path
        The work folder, or another place.
    says : str
        One sentence that says what was done with it.
    gone : bool
        Whether it was removed.
    """

    path: Path
    says: str
    gone: bool


class Work(NamedTuple):
    """The work folder of a living run: `new` is the result to write, `old` the one that it replaces."""

    folder: Path

    @property
    def new(self) -> Path:
        """Where the new file or folder is written."""
        return self.folder / "new"

    @property
    def old(self) -> Path:
        """Where the old one is kept until the new one is in place."""
        return self.folder / "old"


@contextmanager
def begin_work(place: Path) -> Iterator[Work]:
    """Yield a work folder in `place`, locked during the block and removed at its end.

    Parameters
    ----------
    place : Path
        The folder in which it is made.

    Raises
    ------
    OSError
        If it cannot be made.
    """
    work, lock = _claim(place)
    try:
        yield work
    finally:
        do_to_the_end(lambda: _end(work, lock))


def do_to_the_end(act: Callable[[], object]) -> None:
    """Run a cleanup to its end: if a signal interrupts it, start again and handle the signal afterwards.

    Parameters
    ----------
    act : callable
        It may be run twice.
    """
    try:
        act()
    except (KeyboardInterrupt, SystemExit):
        act()
        raise


def swap_in(work: Work, target: Path, *, replace: bool) -> None:
    """Move the finished `new` to its place, and the older one to `old`; a run that is stopped here has changed nothing.

    Parameters
    ----------
    work : Work
    target : Path
        The place; an existing folder is moved to `old`.
    replace : bool
        Whether that folder may hold files.

    Raises
    ------
    OSError
        If one cannot be moved.
    OutputError
        If something was put in the place in between. In both cases everything is where it was.
    """
    if target.is_dir():
        with (work.folder / _SWAP).open("x", encoding="utf-8") as stream:
            json.dump({"target": target.name}, stream)
            stream.flush()
            os.fsync(stream.fileno())
        target.rename(work.old)
        if any(work.old.iterdir()) and (not replace or find_stranger(work.old) is not None):
            raise OutputError(
                f"Something was put into {target} in between, so it is not replaced. Give another folder."
            )
    work.new.rename(target)


def settle(place: Path) -> tuple[LeftOver, ...]:
    """Undo what stopped runs left in one folder; the work of living ones stays.

    Parameters
    ----------
    place : Path
        The folder of the results that they were writing.
    """
    try:
        names = sorted(os.listdir(place))
    except OSError:
        return ()
    found = [_settle_one(place / name) for name in names if _NAME.fullmatch(name)]
    found += [_settle_earlier(place / name) for name in names if _EARLIER_NAME.fullmatch(name)]
    return tuple(each for each in found if each is not None)


def settle_everywhere(*places: Path) -> tuple[LeftOver, ...]:
    """Undo what stopped runs of this user left: where they noted it, and in the given folders.

    Parameters
    ----------
    *places : Path
    """
    found: dict[Path, LeftOver] = {}
    for note in _notes():
        try:
            folder = Path(note.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            continue
        if folder.name != note.name or not _NAME.fullmatch(note.name):  # its writer was stopped
            with suppress(OSError):
                note.unlink()
        elif folder.exists():
            left = _settle_one(folder)
            found |= {folder: left} if left else {}
        elif folder.parent.exists():
            _forget(folder)
    for place in dict.fromkeys(places):
        found |= {each.path: each for each in settle(place)}
    return tuple(found.values())


def settle_scratch() -> tuple[LeftOver, ...]:
    """Remove pictures and pages that the first versions left in this user's folder for temporary files."""
    place, found = Path(tempfile.gettempdir()), []
    for path in sorted(place.glob("putt-posture-*")):
        try:
            mine = not hasattr(os, "getuid") or path.lstat().st_uid == os.getuid()
        except OSError:
            continue
        if mine and _EARLIER_SCRATCH.fullmatch(path.name) and path.is_dir():
            found.append(_settle_earlier(path))
    return tuple(each for each in found if each is not None)


def _claim(place: Path) -> tuple[Work, FileLock]:
    """Make a work folder and take its lock; try another if a run that cleans up removes it in between."""
    for _ in range(_TRIES):
        work = Work(place / f".putt-posture-{secrets.token_hex(8)}.part")
        lock = FileLock(work.folder / _LOCK, timeout=0)
        try:
            _note(work.folder)
            work.folder.mkdir(mode=FOLDER_RIGHTS)
            if _take(lock, work.folder):
                _note(work.folder)  # another run may have found the first note before the folder
                return work, lock
        except BaseException:
            do_to_the_end(lambda: _end(work, lock))  # noqa: B023, it is done at once
            raise
        _end(work, lock)
    raise OutputError(f"No work folder can be made in {place}: another program removes them. Give another folder.")


def _end(work: Work, lock: FileLock) -> None:
    """Put the old one back if the new one is not in place, and remove the work folder."""
    try:
        _put_back(work)
    finally:
        lock.release()
        _remove(work)


def _take(lock: FileLock, folder: Path) -> bool:
    """Take the lock in a new folder; return whether both still exist."""
    try:
        made = folder.stat()
        lock.acquire()  # makes the folder again if it was removed
        return os.path.samestat(made, folder.stat()) and (folder / _LOCK).exists()
    except (Timeout, FileNotFoundError):
        return False


def _settle_one(folder: Path) -> LeftOver | None:
    """Undo what is left in one work folder; None if a living run has the lock, or the folder is gone."""
    work, lock = Work(folder), FileLock(folder / _LOCK, timeout=0)
    if folder.is_symlink() or not folder.is_dir():
        return None
    try:
        lock.acquire()
    except Timeout:
        return None
    except OSError as error:
        if not folder.exists():
            return None
        reason = (error.strerror or type(error).__name__).lower()
        return LeftOver(folder, f"{folder} may be left by a stopped run and cannot be read ({reason}).", gone=False)
    try:
        returned = _put_back(work)
    except OSError:
        returned = None
    finally:
        lock.release()
    if _holds_more(work):
        says = f"A stopped run was replacing {_target(work)} and cannot be undone. The older one is {work.old}: "
        return LeftOver(folder, f"{says}move out what you want to keep, then delete {folder}.", gone=False)
    _remove(work)
    if folder.exists():
        return LeftOver(folder, f"{folder} was left by a stopped run and cannot be removed. Delete it.", gone=False)
    if returned is not None:
        return LeftOver(folder, f"A stopped run was replacing {returned}; the older one is back.", gone=True)
    return LeftOver(folder, f"Unfinished work of a stopped run was removed from {folder.parent}.", gone=True)


def _settle_earlier(path: Path) -> LeftOver | None:
    """Remove what was written without a lock, unless it is a complete result or may belong to a living run."""
    try:
        if path.is_symlink() or time.time() - path.lstat().st_mtime < _EARLIER_S:
            return None
    except OSError:
        return None
    if path.is_dir() and any(path.iterdir()) and find_stranger(path) is None:
        says = f"{path} is a complete result of a stopped run. Rename it, or delete it."
        return LeftOver(path, says, gone=False)
    if path.is_dir():
        shutil.rmtree(path, ignore_errors=True)
    else:
        with suppress(OSError):
            path.unlink()
    if path.exists():
        return LeftOver(path, f"{path} was left by a stopped run and cannot be removed. Delete it.", gone=False)
    return LeftOver(path, f"Unfinished work of a stopped run was removed from {path.parent}.", gone=True)


def _put_back(work: Work) -> Path | None:
    """Move the old one back if the new one is not in place; return the place if so."""
    target = _target(work)
    if target is None or not work.old.exists() or target.exists():
        return None
    work.old.rename(target)
    return target


def _holds_more(work: Work) -> bool:
    """Tell whether the old one is here although the new one is not in place."""
    target = _target(work)
    return work.old.exists() and (work.new.exists() or target is None or not target.exists())


def _target(work: Work) -> Path | None:
    """Return the place whose content is being replaced; None if there is none."""
    try:
        name = json.loads((work.folder / _SWAP).read_text(encoding="utf-8"))["target"]
    except (OSError, ValueError, TypeError, KeyError):
        return None
    return work.folder.parent / name if isinstance(name, str) and name == Path(name).name else None


def _remove(work: Work) -> None:
    """Remove a work folder, but not an old result that could not be put back."""
    if not _holds_more(work):
        shutil.rmtree(work.folder, ignore_errors=True)
    if not work.folder.exists():
        _forget(work.folder)


def _notes_folder() -> Path:
    return user_state_path("putt_posture", appauthor=False) / "unfinished"


def _notes() -> Iterable[Path]:
    try:
        return sorted(_notes_folder().iterdir())
    except OSError:
        return ()


def _note(folder: Path) -> None:
    """Note where a work folder will be. Without the note, the next run that writes to its place still finds it."""
    with suppress(OSError):
        _notes_folder().mkdir(mode=FOLDER_RIGHTS, parents=True, exist_ok=True)
        (_notes_folder() / folder.name).write_text(str(folder), encoding="utf-8")


def _forget(folder: Path) -> None:
    with suppress(OSError):
        (_notes_folder() / folder.name).unlink(missing_ok=True)
