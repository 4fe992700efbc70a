"""Processes that do something at the same time."""

import os
import sys
import traceback
from collections.abc import Callable, Sequence

__all__ = ["do_at_once"]


def do_at_once(acts: Sequence[Callable[[], object]]) -> None:
    """Do each in a process of its own, all let go at the same moment; fail where one of them failed.

    No database may be open here meanwhile.
    """
    ready, go = os.pipe()
    children = [_fork(act, ready, go) for act in acts]
    os.close(ready)
    os.close(go)  # the end of the pipe is what they wait for
    failed = [at for at, child in enumerate(children) if os.waitpid(child, 0)[1] != 0]
    assert failed == [], f"of {len(acts)} processes these failed, their tracebacks are above: {failed}"


def _fork(act: Callable[[], object], ready: int, go: int) -> int:
    child = os.fork()
    if child:
        return child
    try:
        os.close(go)
        os.read(ready, 1)
        act()
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
        os._exit(1)
    os._exit(0)
