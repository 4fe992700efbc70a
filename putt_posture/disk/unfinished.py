"""Work that is written beside its place first, and what becomes of it where a run was stopped.

Whatever goes to a place is written in a hidden work folder beside it, ``.putt-posture-TOKEN.part``, which only its
owner may read. In it are ``lock``, which is held as long as the run lives, however that ends; ``new``, the file or
folder that is being written; and, while one takes the place of another, ``swap.json`` with the name of the place and
``old``, what was there. A run that ends takes its work folder away. Of one that was killed the next run does: it puts
``old`` back where its place is empty, and removes the rest, so that a killed run has changed nothing. A note of each
work folder lies in the user's state folder, so that it is found wherever it is.
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
"""Of work folders and files without a lock, as they were made at first."""
_EARLIER_SCRATCH: Final = re.compile(r"putt-posture-[a-z0-9_]{8}")
"""Of folders for temporary files in which pictures were set at first."""
_EARLIER_S: Final = 3600.0
"""Such a one that was not touched for so long is of no living run, seconds."""
_LOCK: Final = "lock"
_SWAP: Final = "swap.json"
_TRIES: Final = 20


class LeftOver(NamedTuple):
    """What a stopped run had left.

    Attributes
    ----------
    path : Path
        The work folder, or where else it was.
    says : str
        One sentence that says what became of it.
    gone : bool
        Whether it is taken away.
    """

    path: Path
    says: str
    gone: bool


class Work(NamedTuple):
    """A work folder of a run that lives: `new` is to be written, `old` is where what was there waits."""

    folder: Path

    @property
    def new(self) -> Path:
        """Where the file or folder is written."""
        return self.folder / "new"

    @property
    def old(self) -> Path:
        """Where what was in its place waits until the new one is there."""
        return self.folder / "old"


@contextmanager
def begin_work(place: Path) -> Iterator[Work]:
    """Yield a work folder in `place`, claimed as long as the block lasts; nothing of it is left at the end.

    Parameters
    ----------
    place : Path
        Where the archive is.

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
    """Clear up, and begin again where a signal comes in the midst of it; the signal counts afterwards.

    Parameters
    ----------
    act : callable
        May be done twice.
    """
    try:
        act()
    except (KeyboardInterrupt, SystemExit):
        act()
        raise


def swap_in(work: Work, target: Path, *, replace: bool) -> None:
    """Move the finished `new` to its place, and what is there to `old`; who is stopped in between has changed nothing.

    Parameters
    ----------
    work : Work
    target : Path
        The place; a folder that is there is moved aside.
    replace : bool
        Whether that may hold something.

    Raises
    ------
    OSError
        If one cannot be moved.
    OutputError
        If something came into the place meanwhile. All is where it was in both.
    """
    if target.is_dir():
        with (work.folder / _SWAP).open("x", encoding="utf-8") as stream:
            json.dump({"target": target.name}, stream)
            stream.flush()
            os.fsync(stream.fileno())
        target.rename(work.old)
        if any(work.old.iterdir()) and (not replace or find_stranger(work.old) is not None):
            raise OutputError(f"Something came into {target} meanwhile, so it is not replaced. Give another folder.")
    work.new.rename(target)


def settle(place: Path) -> tuple[LeftOver, ...]:
    """Undo what stopped runs have left in one folder; what living ones are at stays.

    Parameters
    ----------
    place : Path
        The folder that holds, or held, what they were to write.
    """
    try:
        names = sorted(os.listdir(place))
    except OSError:
        return ()
    found = [_settle_one(place / name) for name in names if _NAME.fullmatch(name)]
    found += [_settle_earlier(place / name) for name in names if _EARLIER_NAME.fullmatch(name)]
    return tuple(each for each in found if each is not None)


def settle_everywhere(*places: Path) -> tuple[LeftOver, ...]:
    """Undo what stopped runs of this user have left, wherever it is known to be, and in some folders besides.

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
    """Remove what runs of the first versions left of pictures and pages in this user's folder for temporary files."""
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
    """Make a work folder and take its lock; somebody who takes it for left over meanwhile may have it."""
    for _ in range(_TRIES):
        work = Work(place / f".putt-posture-{secrets.token_hex(8)}.part")
        lock = FileLock(work.folder / _LOCK, timeout=0)
        try:
            _note(work.folder)
            work.folder.mkdir(mode=FOLDER_RIGHTS)
            if _take(lock, work.folder):
                _note(work.folder)  # somebody may have found the first note before the folder
                return work, lock
        except BaseException:
            do_to_the_end(lambda: _end(work, lock))  # noqa: B023, it is done at once
            raise
        _end(work, lock)
    raise OutputError(f"No work folder can be kept in {place}: something takes them away. Give another folder.")


def _end(work: Work, lock: FileLock) -> None:
    """Put back what was there, where the new one is not, and take the work folder away."""
    try:
        _put_back(work)
    finally:
        lock.release()
        _remove(work)


def _take(lock: FileLock, folder: Path) -> bool:
    """Take the lock in a folder that was just made; tell whether both are still there."""
    try:
        made = folder.stat()
        lock.acquire()  # makes the folder where it is gone
        return os.path.samestat(made, folder.stat()) and (folder / _LOCK).exists()
    except (Timeout, FileNotFoundError):
        return False


def _settle_one(folder: Path) -> LeftOver | None:
    """Undo what is left in one work folder; None where a living run holds it, or it is gone meanwhile."""
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
        return LeftOver(
            folder, f"{folder} may be left of a stopped run and cannot be looked at ({reason}).", gone=False
        )
    try:
        returned = _put_back(work)
    except OSError:
        returned = None
    finally:
        lock.release()
    if _holds_more(work):
        says = f"A stopped run was replacing {_target(work)} and cannot be undone. What was there is {work.old}: "
        return LeftOver(folder, f"{says}move out what you want to keep, then delete {folder}.", gone=False)
    _remove(work)
    if folder.exists():
        return LeftOver(folder, f"{folder} is left of a stopped run and cannot be removed. Delete it.", gone=False)
    if returned is not None:
        return LeftOver(folder, f"A stopped run was replacing {returned}; what was there is back.", gone=True)
    return LeftOver(folder, f"Unfinished work of a stopped run was removed from {folder.parent}.", gone=True)


def _settle_earlier(path: Path) -> LeftOver | None:
    """Remove what was written without a lock, unless it is a whole result, or of a run that may live."""
    try:
        if path.is_symlink() or time.time() - path.lstat().st_mtime < _EARLIER_S:
            return None
    except OSError:
        return None
    if path.is_dir() and any(path.iterdir()) and find_stranger(path) is None:
        says = f"{path} is a whole result of a stopped run. Give it a name of its own, or delete it."
        return LeftOver(path, says, gone=False)
    if path.is_dir():
        shutil.rmtree(path, ignore_errors=True)
    else:
        with suppress(OSError):
            path.unlink()
    if path.exists():
        return LeftOver(path, f"{path} is left of a stopped run and cannot be removed. Delete it.", gone=False)
    return LeftOver(path, f"Unfinished work of a stopped run was removed from {path.parent}.", gone=True)


def _put_back(work: Work) -> Path | None:
    """Move what was in the place back to it, where the new one is not there; return the place if so."""
    target = _target(work)
    if target is None or not work.old.exists() or target.exists():
        return None
    work.old.rename(target)
    return target


def _holds_more(work: Work) -> bool:
    """Tell whether what was in the place is here, and not because the new one has taken its place."""
    target = _target(work)
    return work.old.exists() and (work.new.exists() or target is None or not target.exists())


def _target(work: Work) -> Path | None:
    """Return the place of what is being swapped; None where nothing is."""
    try:
        name = json.loads((work.folder / _SWAP).read_text(encoding="utf-8"))["target"]
    except (OSError, ValueError, TypeError, KeyError):
        return None
    return work.folder.parent / name if isinstance(name, str) and name == Path(name).name else None


def _remove(work: Work) -> None:
    """Remove a work folder, but never what was in a place and could not be put back."""
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
    """Note where a work folder will be. Without the note it is still found by whoever writes to its place next."""
    with suppress(OSError):
        _notes_folder().mkdir(mode=FOLDER_RIGHTS, parents=True, exist_ok=True)
        (_notes_folder() / folder.name).write_text(str(folder), encoding="utf-8")


def _forget(folder: Path) -> None:
    with suppress(OSError):
        (_notes_folder() / folder.name).unlink(missing_ok=True)
