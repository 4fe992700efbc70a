"""A folder or a file that is written completely or not at all.

Everything is written into a hidden work folder beside the target, flushed to disk, and moved into place by renaming. So
neither an error nor a signal leaves half a report, and an older report stays until the new one is complete
(`unfinished`). Only a folder that this program wrote, and that holds nothing else, is ever replaced (`marks`); never an
archive, or a folder in or above one (`archive_signs`).
"""

import errno
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO, Final

from putt_posture.disk.marks import find_stranger, refuse_archive, write_mark
from putt_posture.disk.reading import FILE_RIGHTS, FOLDER_RIGHTS
from putt_posture.disk.unfinished import Work, begin_work, settle, swap_in
from putt_posture.errors import OutputError, PuttPostureError

__all__ = [
    "check_file",
    "check_folder",
    "fresh_file",
    "fresh_folder",
    "open_new",
    "sync_folder",
    "write_files",
    "write_new",
]

_FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT})


def check_folder(folder: Path | str, *, replace: bool = False, keep: Iterable[Path] = ()) -> None:
    """Check, before any long work, that a report can be put into a folder.

    A work folder is made beside the target and removed again, so that the file system itself gives the answer.

    Parameters
    ----------
    folder : Path or str
        It may not exist yet.
    replace : bool
        Whether a folder that this program wrote, and that holds nothing else, may be replaced as a whole.
    keep : iterable of Path
        Files that must not be deleted: the clips.

    Raises
    ------
    OutputError
        If the folder cannot be made, is a file, is in an archive or a backup; or if it is not empty and `replace` is
        false, or it holds files that this program did not write, or files in `keep`.
    """
    with _one_sentence(folder):
        target = _resolved(folder)
        settle(target.parent)
        _refuse_unfit(target, replace=replace, keep=keep)
        place = target.parent
        while not place.exists():
            place = place.parent
        with begin_work(place):
            pass


def check_file(
    path: Path | str, *, replace: bool = False, what: str = "report", is_own: Callable[[Path], bool] | None = None
) -> None:
    """Check, before any long work, that a file can be written with `fresh_file`.

    Parameters
    ----------
    path, replace, what, is_own
        As for `fresh_file`.

    Raises
    ------
    OutputError
        As `fresh_file` does.
    """
    with _one_sentence(path, what=what):
        target = _resolved(path)
        settle(target.parent)
        _refuse_unfit_file(target, replace=replace, what=what, is_own=is_own)
        place = target.parent
        while not place.exists():
            place = place.parent
        with begin_work(place):
            pass


@contextmanager
def fresh_folder(
    folder: Path | str,
    *,
    replace: bool = False,
    keep: Iterable[Path] = (),
    what: str = "report",
    private: bool = False,
    mark: bool = True,
) -> Iterator[Path]:
    """Yield an empty folder that becomes `folder` if the block succeeds, and is removed if it fails.

    Parameters
    ----------
    folder, replace, keep
        As for `check_folder`.
    what : str
        What is written, for the message and the mark.
    private : bool
        Whether only the owner can read it; otherwise it has the permissions of any new folder.
    mark : bool
        Whether it may be replaced later.

    Raises
    ------
    OutputError
        For the reasons of `check_folder`, and for every `OSError` in the block (a full disk, say).
    """
    with _one_sentence(folder, what=what):
        target = _resolved(folder)
        settle(target.parent)
        _refuse_unfit(target, replace=replace, keep=keep)
        with _work_beside(target) as work:
            work.new.mkdir()
            yield work.new
            if mark:
                write_mark(work.new, what)
            if private:
                _make_private(work.new)
            _sync_folders(work.new)
            _refuse_unfit(target, replace=replace, keep=keep)  # something may have been put there in between
            swap_in(work, target, replace=replace)
        sync_folder(target.parent)


@contextmanager
def fresh_file(
    path: Path | str,
    *,
    replace: bool = False,
    what: str = "report",
    private: bool = False,
    is_own: Callable[[Path], bool] | None = None,
) -> Iterator[BinaryIO]:
    """Yield an empty file that becomes `path` if the block succeeds, and is removed if it fails.

    Parameters
    ----------
    path : Path or str
        Its folder is made if it does not exist.
    replace : bool
        Whether an existing file may be replaced.
    what : str
        What is written, for the message.
    private : bool
        Whether only the owner can read it; otherwise it has the permissions of any new file.
    is_own : callable, optional
        Returns whether this program wrote an existing file; a file of another program is never replaced.

    Raises
    ------
    OutputError
        If the file exists, is a folder, is in an archive or a backup or cannot be written, and for every `OSError` in
        the block.
    """
    with _one_sentence(path, what=what):
        target = _resolved(path)
        settle(target.parent)
        _refuse_unfit_file(target, replace=replace, what=what, is_own=is_own)
        with _work_beside(target) as work:
            with open_new(work.new) as stream:
                if private:
                    work.new.chmod(FILE_RIGHTS)
                yield stream
            _refuse_unfit_file(target, replace=replace, what=what, is_own=is_own)  # it may have been written in between
            os.replace(work.new, target)
        sync_folder(target.parent)


@contextmanager
def open_new(path: Path) -> Iterator[BinaryIO]:
    """Yield a new binary file and flush it to disk when the block ends.

    Parameters
    ----------
    path : Path
        Of a file that does not exist yet.
    """
    with path.open("xb") as stream:
        yield stream
        stream.flush()
        os.fsync(stream.fileno())


def sync_folder(folder: Path) -> None:
    """Flush a folder's list of names to disk where the system can (not on Windows).

    Parameters
    ----------
    folder : Path
    """
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def write_new(path: Path, data: bytes) -> None:
    """Write a new file and flush it to disk.

    Parameters
    ----------
    path : Path
        Of a file that does not exist yet.
    data : bytes
        Content of the file.
    """
    with open_new(path) as stream:
        stream.write(data)


def write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write new files into a folder and flush them to disk.

    Parameters
    ----------
    folder : Path
    files : Mapping[str, bytes]
        By name, with forward slashes.
    """
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        write_new(folder / name, data)


def _resolved(folder: Path | str) -> Path:
    """Return the absolute path with links followed, so that renaming is done beside the real folder."""
    if "\0" in str(folder):
        raise OutputError(f"{str(folder)!r} cannot be a name on this disk. Give another name.")
    return Path(os.path.realpath(folder))


@contextmanager
def _work_beside(target: Path) -> Iterator[Work]:
    """Yield a work folder beside `target`; if the block fails, everything that was made for it is removed."""
    made = _make_parents(target.parent)
    try:
        with begin_work(target.parent) as work:
            yield work
    except BaseException:
        for parent in made:
            with suppress(OSError):
                parent.rmdir()
        raise


def _refuse_unfit(target: Path, *, replace: bool, keep: Iterable[Path]) -> None:
    refuse_archive(target)
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
        raise OutputError(
            f"The folder {target} is, or contains, your home folder or the current one, so it will not be replaced. "
            "Give another folder."
        )
    for path in keep:
        if target in Path(os.path.realpath(path)).parents:
            raise OutputError(f"{path} is in the folder {target}, which would be replaced. Give another folder.")
    if (stranger := find_stranger(target)) is not None:
        raise OutputError(
            f"The folder {target} holds {stranger}, which this program did not write, so it will not be "
            "replaced. Move that away, or give another folder."
        )


def _refuse_unfit_file(target: Path, *, replace: bool, what: str, is_own: Callable[[Path], bool] | None) -> None:
    if target.is_dir():
        raise OutputError(f"{target} is a folder, and a file was needed for the {what}. Give the name of a file.")
    refuse_archive(target)
    if target.exists() and not replace:
        raise OutputError(f"The file {target} already exists. Give another name, or add --replace to replace it.")
    if target.exists() and is_own is not None and not is_own(target):
        raise OutputError(
            f"The file {target} is no {what} that this program wrote, so it will not be replaced. Give another name."
        )


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


def _make_private(top: Path) -> None:
    """Give the rights to a folder and its content to the owner only."""
    for each in (top, *top.rglob("*")):
        each.chmod(FOLDER_RIGHTS if each.is_dir() else FILE_RIGHTS)


def _sync_folders(top: Path) -> None:
    for folder in (*(each for each in top.rglob("*") if each.is_dir()), top):
        sync_folder(folder)


@contextmanager
def _one_sentence(folder: Path | str, *, what: str = "report") -> Iterator[None]:
    """Turn every error of the file system into one sentence for the user."""
    try:
        yield
    except OSError as error:
        if isinstance(error, PuttPostureError):
            raise  # of what was read in the block; it says itself what is wrong
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
