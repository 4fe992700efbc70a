"""Processes that are killed, or told to end, at one of their writes.

A child is forked, counts whatever it is about to write (files opened for writing, moved, removed, forced to disk;
folders made and removed; statements that change the database; commits), and sends itself a signal at the one that it
was told. It listens to signals as the command does.

To be killed at every write, an act would have to be done as often as it writes. What a killed process leaves are its
files as they are at that moment, and locks that nothing holds. So one child can do the act once and copy the files
before each write; `test_killed.py` shows that this is what a process leaves that is killed there. It goes for SIGKILL
alone, as a process that is told to end still works, and for files alone, as a server has its own.
"""

import hashlib
import os
import resource
import shutil
import signal
import sys
import tempfile
import traceback
from collections.abc import Callable, Collection, Iterator, Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, event

from putt_posture.cli.stopping import StoppedBySignal, end_on_signals

_WRITES = frozenset(
    {"os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.chmod", "os.truncate", "os.link", "os.symlink"}
    | {"shutil.rmtree", "shutil.copyfile", "shutil.move"}
)
_FOR_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_READS = ("SELECT", "SHOW", "PRAGMA")
_CHANGING = ("PRAGMA journal_mode", "PRAGMA wal_checkpoint", "SELECT setval")
_FINISHED, _FAILED, _UNDONE = 0, 3, 4


def die_at_each_write(
    prepare: Callable[[], Callable[[], object]],
    *,
    writes: int,
    every: int = 1,
    by: signal.Signals = signal.SIGKILL,
    once_in: Sequence[Path] = (),
) -> Iterator[int]:
    """Yield after each child that was ended by a signal, until one lived to the end.

    One child lives first, so that the number of writes is known. Where only every so many are tried, the last one is
    tried too.

    `prepare` is called in this process before each, puts everything as it was, and returns what the child does; no
    database may be open here meanwhile. Yielded is the number of the write at which the child was killed; it fails if
    these were fewer than `writes`.

    With `once_in`, the folders that the act writes to, there is one child that lives, and before each write it copies
    them. The copies are put in the folders' places one after the other, but for those that are like the one before.
    """
    there = _live(prepare())
    assert there >= writes, f"there were {there} writes to be killed at, and {writes} at least were expected"
    wanted = sorted({*range(1, there + 1, every), there})
    if once_in:
        assert by == signal.SIGKILL, "a process that is told to end by another signal may still write"
        yield from _put_back_each(prepare(), once_in, wanted)
        return
    for at in wanted:
        assert _kill(prepare(), at, by), f"the child lived, though it had {there} writes before and was to die at {at}"
        yield at


def _put_back_each(act: Callable[[], object], folders: Sequence[Path], wanted: Collection[int]) -> Iterator[int]:
    folders = (*folders, Path(os.environ["XDG_STATE_HOME"]))  # where runs note their unfinished work
    with tempfile.TemporaryDirectory(dir=folders[0].parent, prefix="copies_") as made:
        place = Path(made)
        _live(act, _Copier(folders, place, wanted))
        for at in sorted(int(path.name) for path in place.iterdir()):
            for number, folder in enumerate(folders):
                shutil.rmtree(folder, ignore_errors=True)
                if (place / str(at) / str(number)).exists():
                    (place / str(at) / str(number)).rename(folder)
            yield at


class _Copier:
    """What copies folders before some of the writes of its process, where anything in them changed since the last."""

    def __init__(self, folders: Sequence[Path] = (), place: Path = Path(), wanted: Collection[int] = ()) -> None:
        self.at = 0
        self._folders, self._place, self._wanted = folders, place, wanted
        self._last, self._busy = "", False

    def copy(self) -> None:
        if self._busy:  # copying writes too
            return
        self.at += 1
        if self.at not in self._wanted:
            return
        self._busy = True
        now = _state_of(self._folders)
        if now != self._last:
            self._last = now
            for number, folder in enumerate(self._folders):
                if folder.exists():
                    shutil.copytree(folder, self._place / str(self.at) / str(number))
        self._busy = False


def _live(act: Callable[[], object], copier: _Copier | None = None) -> int:
    """Let a child live to its end, with what copies folders meanwhile; return the number of its writes."""
    copier = copier or _Copier()
    said, says = os.pipe()
    child = os.fork()
    if child == 0:
        _be_the_child(act, copier.copy, at_the_end=lambda: os.write(says, str(copier.at).encode()))
    os.close(says)
    with open(said) as stream:
        number = stream.read()
    assert os.waitpid(child, 0)[1] == _FINISHED, "the child failed; its traceback is above"
    return int(number)


def _state_of(folders: Sequence[Path]) -> str:
    """Return a digest of all that lies in folders: names, rights and contents."""
    digest = hashlib.sha256()
    for folder in folders:
        for path in (folder, *sorted(folder.rglob("*"))):
            if path.exists():
                digest.update(f"{path} {path.stat().st_mode} ".encode())
                digest.update(path.read_bytes() if path.is_file() else b"")
    return digest.hexdigest()


def _kill(act: Callable[[], object], at: int, by: signal.Signals) -> bool:
    """Let a child die at a write, or undo its work; return whether it did, or came to its end before."""
    child = os.fork()
    if child == 0:
        _be_the_child(act, _Killer(at, by).count)
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        assert os.WTERMSIG(status) == by, f"the child died of signal {os.WTERMSIG(status)}"
        return True
    if os.WEXITSTATUS(status) == _UNDONE:
        return True
    assert os.WEXITSTATUS(status) == _FINISHED, "the child failed; its traceback is above"
    return False


class _Killer:
    """What sends its own process a signal at one of its writes."""

    def __init__(self, at: int, by: signal.Signals) -> None:
        self._left, self._by = at, by
        if by == signal.SIGQUIT:
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

    def count(self) -> None:
        self._left -= 1
        if self._left == 0:
            os.kill(os.getpid(), self._by)


def _be_the_child(
    act: Callable[[], object], before_write: Callable[[], None], *, at_the_end: Callable[[], object] = lambda: None
) -> None:
    sys.dont_write_bytecode = True  # only the first child would write it, and it is no write of the act
    try:
        end_on_signals()
        _listen(before_write)
        act()
        at_the_end()
    except StoppedBySignal:
        os._exit(_UNDONE)
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
        os._exit(_FAILED)
    os._exit(_FINISHED)


def _listen(count: Callable[[], None]) -> None:
    def hear(name: str, about: tuple[Any, ...]) -> None:
        if name in _WRITES or (name == "open" and _is_for_writing(*about)):
            count()

    def forced(number: int, _fsync: Callable[[int], None] = os.fsync) -> None:
        count()
        _fsync(number)

    def execute(_connection: object, _cursor: object, statement: str, *_: object) -> None:
        if not statement.lstrip().startswith(_READS) or statement.startswith(_CHANGING):
            count()

    sys.addaudithook(hear)
    os.fsync = forced
    event.listen(Engine, "before_cursor_execute", execute)
    event.listen(Engine, "commit", lambda _connection: count())


def _is_for_writing(_path: object, mode: str | None, flags: int) -> bool:
    return any(each in mode for each in "wxa+") if mode else bool(flags & _FOR_WRITING)
