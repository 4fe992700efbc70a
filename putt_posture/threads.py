"""How many threads this process may keep busy: all that the system gives, or fewer where several processes share it.

What is done is the same however many there are, and so are the numbers, but for their last digits: OpenCV's
`warpAffine` rounds by the stripes that its threads take (some 1e-13 of a scale). With one thread, as in each job of a
batch, they are the same on every machine.
"""

import os
from typing import Final

__all__ = ["hold_threads", "most_threads", "threads_for"]

_OF_PARTS: Final = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
_most = 0


def hold_threads(most: int) -> None:
    """Let this process keep no more threads busy than this, from now on, those of its libraries included.

    Parameters
    ----------
    most : int
        At least 1.
    """
    import cv2

    global _most
    _most = max(1, most)
    cv2.setNumThreads(_most)
    os.environ.update(dict.fromkeys(_OF_PARTS, str(_most)))  # for processes that this one starts


def most_threads() -> int:
    """Return how many threads this process may keep busy; 0 where the system decides, as for FFmpeg.

    Examples
    --------
    >>> most_threads()
    0
    """
    return _most


def threads_for(wanted: int) -> int:
    """Return how many threads may do what this many could do at once.

    Parameters
    ----------
    wanted : int
        At least 1.

    Examples
    --------
    >>> threads_for(2)
    2
    """
    return min(wanted, _most) if _most else wanted
