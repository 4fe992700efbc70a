"""How a process that does one thing after the other keeps no more memory than the largest of them takes.

The C library of most Linux systems gives each thread a part of the memory of its own. What is free in one part is not
used by threads of another, so that a process whose threads come and go grows with each lesson, although it holds no
more than before. Elsewhere nothing is done here.
"""

import ctypes
from functools import cache
from typing import Any, Final

__all__ = ["give_memory_back", "share_memory_among_threads"]

_MOST_PARTS: Final = -8
"""``M_ARENA_MAX`` of glibc's ``malloc.h``."""


def share_memory_among_threads() -> None:
    """Let all threads that this process starts from now on take memory from one part."""
    library = _c_library()
    if library is not None:
        library.mallopt(_MOST_PARTS, 1)


def give_memory_back() -> None:
    """Give to the system what this process holds and does not use."""
    library = _c_library()
    if library is not None:
        library.malloc_trim(0)


@cache
def _c_library() -> Any:
    """Return glibc; None on systems with another library."""
    try:
        library = ctypes.CDLL(None)
        library.mallopt, library.malloc_trim  # noqa: B018
    except (OSError, AttributeError, TypeError):
        return None
    return library
