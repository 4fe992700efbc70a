"""A folder, or a file, that appears whole or not at all.

Everything is written into a hidden place beside the target, forced to disk, and moved into place by renaming, so
that neither an error nor Ctrl-C leaves half a report, and an older report survives until the new one is complete.
"""

import errno
import os
import secrets
import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO, Final

from putt_posture.errors import OutputError

__all__ = ["check_folder", "fresh_file", "fresh_folder", "open_new", "sync_folder", "write_new"]

_FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT})


def check_folder(folder: Path | str, *, replace: bool = False, keep: Iterable[Path] = ()) -> None:
    """Check, before any long work, that a report can be put into a folder.

    A hidden folder is made beside the target and removed again, so that the answer is the file system's own.

    Parameters
    ----------
    folder : Path or str
        It need not exist yet.
    replace : bool
        Whether a folder that holds something may be replaced as a whole.
    keep : iterable of Path
        Files that must survive: the clips.

    Raises
    ------
    OutputError
        If the folder cannot be made, is a file, holds something and `replace` is false, or holds what must be kept.
    """
    with _one_sentence(folder):
        target = _resolved(folder)
        _refuse_unfit(target, replace=replace, keep=keep)
        place = target.parent
        while not place.exists():
            place = place.parent
        trial = _beside(place)
        trial.mkdir()
        trial.rmdir()


@contextmanager
def fresh_folder(
    folder: Path | str, *, replace: bool = False, keep: Iterable[Path] = (), what: str = "report"
) -> Iterator[Path]:
    """Yield an empty folder that becomes `folder` when the block ends well, and vanishes when it does not.

    Parameters
    ----------
    folder, replace, keep
        As for `check_folder`.
    what : str
        What is written, for the message.

    Raises
    ------
    OutputError
        For the reasons of `check_folder`, and for every `OSError` in the block (a full disk, say).
    """
    with _one_sentence(folder, what=what):
        target = _resolved(folder)
        _refuse_unfit(target, replace=replace, keep=keep)
        with _new_beside(target) as part:
            part.mkdir()
            yield part
            _sync_folders(part)
            _move_into_place(part, target, replace=replace)


@contextmanager
def fresh_file(path: Path | str, *, replace: bool = False, what: str = "report") -> Iterator[BinaryIO]:
    """Yield an empty file that becomes `path` when the block ends well, and vanishes when it does not.

    Parameters
    ----------
    path : Path or str
        Its folder is made where it does not exist.
    replace : bool
        Whether a file that is there may be replaced.
    what : str
        What is written, for the message.

    Raises
    ------
    OutputError
        If the file is there, is a folder or cannot be written, and for every `OSError` in the block.
    """
    with _one_sentence(path, what=what):
        target = _resolved(path)
        _refuse_unfit_file(target, replace=replace, what=what)
        with _new_beside(target) as part:
            with open_new(part) as stream:
                yield stream
            _refuse_unfit_file(target, replace=replace, what=what)  # it may have come meanwhile
            os.replace(part, target)


@contextmanager
def open_new(path: Path) -> Iterator[BinaryIO]:
    """Yield a new binary file and force it to disk when the block ends."""
    with path.open("xb") as stream:
        yield stream
        stream.flush()
        os.fsync(stream.fileno())


def sync_folder(folder: Path) -> None:
    """Force a folder's list of names to disk where the system can (not on Windows)."""
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def write_new(path: Path, data: bytes) -> None:
    """Write a new file and force it to disk."""
    with open_new(path) as stream:
        stream.write(data)


def _resolved(folder: Path | str) -> Path:
    """Return the absolute path with links followed, so that renaming happens beside the real folder."""
    if "\0" in str(folder):
        raise OutputError(f"{str(folder)!r} cannot be a name on this disk. Give another name.")
    return Path(os.path.realpath(folder))


@contextmanager
def _new_beside(target: Path) -> Iterator[Path]:
    """Yield a free path in the folder of `target`; where the block fails, nothing that was made for it is left."""
    made = _make_parents(target.parent)
    part = _beside(target.parent)
    try:
        yield part
    except BaseException:
        if part.is_dir():
            shutil.rmtree(part, ignore_errors=True)
        else:
            part.unlink(missing_ok=True)
        for parent in made:
            with suppress(OSError):
                parent.rmdir()
        raise
    sync_folder(target.parent)


def _beside(place: Path) -> Path:
    return place / f".putt-posture-{secrets.token_hex(4)}.part"


def _refuse_unfit(target: Path, *, replace: bool, keep: Iterable[Path]) -> None:
    if not target.exists():
        return
    if not target.is_dir():
        raise OutputError(f"{target} is a file, and a folder was needed for the report. Give another name.")
    if not any(target.iterdir()):
        return
    if not replace:
        raise OutputError(
            f"The folder {target} already holds something. Give a new folder, or add --replace to replace it."
        )
    lived_in = (Path.cwd(), Path(os.path.expanduser("~")))
    if any(target in (each, *each.parents) for each in map(_resolved, lived_in)) or os.path.ismount(target):
        raise OutputError(f"The folder {target} is one you live in and will not be replaced. Give a folder of its own.")
    for path in keep:
        if target in Path(os.path.realpath(path)).parents:
            raise OutputError(f"{path} lies in the folder {target}, which would be replaced. Give another folder.")


def _refuse_unfit_file(target: Path, *, replace: bool, what: str) -> None:
    if target.is_dir():
        raise OutputError(f"{target} is a folder, and a file was needed for the {what}. Give the name of a file.")
    if target.exists() and not replace:
        raise OutputError(f"There is a file {target} already. Give another name, or add --replace to replace it.")


def _make_parents(parent: Path) -> list[Path]:
    """Make the missing folders above the target and return them, innermost first."""
    missing = []
    place = parent
    while not place.exists():
        missing.append(place)
        place = place.parent
    for each in reversed(missing):
        each.mkdir(exist_ok=True)
    return missing


def _move_into_place(part: Path, target: Path, *, replace: bool) -> None:
    """Rename the finished folder to the target; put an older one back where that fails."""
    if not target.exists():
        part.rename(target)
        return
    if not replace:
        target.rmdir()  # empty, or it raises: nothing that came in meanwhile is lost
        part.rename(target)
        return
    aside = _beside(target.parent)
    try:
        target.rename(aside)
        part.rename(target)
    except BaseException:
        if aside.exists() and not target.exists():
            aside.rename(target)
        raise
    finally:
        if target.exists():
            shutil.rmtree(aside, ignore_errors=True)


def _sync_folders(top: Path) -> None:
    for folder in (*(each for each in top.rglob("*") if each.is_dir()), top):
        sync_folder(folder)


@contextmanager
def _one_sentence(folder: Path | str, *, what: str = "report") -> Iterator[None]:
    """Turn every error of the file system into one sentence for the person."""
    try:
        yield
    except OSError as error:
        reason = error.strerror or type(error).__name__
        if error.errno in _FULL:
            advice = "The disk is full: make room, or give a folder on another disk."
        elif error.errno in {errno.EACCES, errno.EPERM, errno.EROFS}:
            advice = "Give a folder in which you may write."
        elif error.errno in {errno.ENOTDIR, errno.EEXIST}:
            advice = "A part of that path is a file: give another folder."
        else:
            advice = "Give another folder."
        raise OutputError(f"The {what} could not be written to {folder} ({reason.lower()}). {advice}") from error
