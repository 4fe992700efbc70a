"""Processes that are killed at one of their writes.

A child is forked, counts whatever it is about to write (files opened for writing, moved, removed, forced to disk;
folders made and removed; statements that change the database; commits), and kills itself at the one that it was told.
"""

import os
import signal
import sys
import traceback
from collections.abc import Callable, Iterator
from typing import Any

from sqlalchemy import Engine, event

_WRITES = frozenset(
    {"os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.chmod", "os.truncate", "os.link", "os.symlink"}
    | {"shutil.rmtree", "shutil.copyfile", "shutil.move"}
)
_FOR_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_READS = ("SELECT", "SHOW", "PRAGMA")
_CHANGING = ("PRAGMA journal_mode", "PRAGMA wal_checkpoint", "SELECT setval")
_FINISHED, _FAILED = 0, 3


def die_at_each_write(prepare: Callable[[], Callable[[], object]], *, writes: int, every: int = 1) -> Iterator[int]:
    """Yield after each killed child, until one lived to the end.

    `prepare` is called in this process before each, puts everything as it was, and returns what the child does; no
    database may be open here meanwhile. Yielded is the number of the write at which the child was killed; it fails if
    these were fewer than `writes`.
    """
    at = 1
    while _kill(prepare(), at):
        yield at
        at += every
    assert at > writes, f"there were fewer than {at} writes to be killed at, and {writes} at least were expected"


def _kill(act: Callable[[], object], at: int) -> bool:
    """Let a child die at a write; return whether it did, or came to its end before."""
    child = os.fork()
    if child == 0:
        _be_the_child(act, at)
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        assert os.WTERMSIG(status) == signal.SIGKILL, f"the child died of signal {os.WTERMSIG(status)}"
        return True
    assert os.WEXITSTATUS(status) == _FINISHED, "the child failed; its traceback is above"
    return False


def _be_the_child(act: Callable[[], object], at: int) -> None:
    left = at

    def count() -> None:
        nonlocal left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    try:
        _listen(count)
        act()
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
