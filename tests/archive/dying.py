"""Processes that are killed, or told to end, at one of their writes.

A child is forked, counts whatever it is about to write (files opened for writing, moved, removed, forced to disk;
folders made and removed; statements that change the database; commits), and sends itself a signal at the one that it
was told. It listens to signals as the command does.
"""

import os
import resource
import signal
import sys
import traceback
from collections.abc import Callable, Iterator
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
    prepare: Callable[[], Callable[[], object]], *, writes: int, every: int = 1, by: signal.Signals = signal.SIGKILL
) -> Iterator[int]:
    """Yield after each child that was ended by a signal, until one lived to the end.

    Where only every so many writes are tried, the last one is tried too.

    `prepare` is called in this process before each, puts everything as it was, and returns what the child does; no
    database may be open here meanwhile. Yielded is the number of the write at which the child was killed; it fails if
    these were fewer than `writes`.
    """
    at = 1
    while _kill(prepare(), at, by):
        yield at
        at += every
    for last in range(at - 1, at - every, -1):
        if _kill(prepare(), last, by):
            yield last
            break
    assert at > writes, f"there were fewer than {at} writes to be killed at, and {writes} at least were expected"


def _kill(act: Callable[[], object], at: int, by: signal.Signals) -> bool:
    """Let a child die at a write, or undo its work; return whether it did, or came to its end before."""
    child = os.fork()
    if child == 0:
        _be_the_child(act, at, by)
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        assert os.WTERMSIG(status) == by, f"the child died of signal {os.WTERMSIG(status)}"
        return True
    if os.WEXITSTATUS(status) == _UNDONE:
        return True
    assert os.WEXITSTATUS(status) == _FINISHED, "the child failed; its traceback is above"
    return False


def _be_the_child(act: Callable[[], object], at: int, by: signal.Signals) -> None:
    left = at

    def count() -> None:
        nonlocal left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), by)

    try:
        if by == signal.SIGQUIT:
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        end_on_signals()
        _listen(count)
        act()
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
