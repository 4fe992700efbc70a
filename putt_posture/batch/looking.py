"""What a clip says of itself before it is measured: whether it is whole, when it was filmed and from which side.

A clip that just arrived may be anything, so it is looked at in a process of its own with a limit of time.
"""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Final

from attrs import frozen

from putt_posture.clips import read_clip
from putt_posture.clips.clip import check_whole
from putt_posture.clips.days import read_moment_filmed
from putt_posture.errors import PuttPostureError
from putt_posture.landmarks.view import find_view
from putt_posture.services.workers import Workers
from putt_posture.values import View

__all__ = ["ClipLook", "Looker", "look_at_clip"]

_LIMIT_S: Final = 180.0
"""How long a look may take: an hour of video over a slow share."""
_FIRST_YEAR: Final = 2000
"""No phone filmed before it; an earlier one comes from a clock that was never set."""


@frozen(kw_only=True)
class ClipLook:
    """What was seen in a clip.

    Attributes
    ----------
    filmed_s : float or None
        When it was filmed, seconds since 1970 in UTC; None where it does not say.
    view : View or None
        From which side; None where that was not asked for or cannot be told.
    fault : str
        Why it cannot be read to its end; empty where it can.
    """

    filmed_s: float | None = None
    view: View | None = None
    fault: str = ""


def look_at_clip(path: Path, finds_view: bool) -> ClipLook:
    """Look at a clip or still.

    Parameters
    ----------
    path : Path
    finds_view : bool
        Whether the view is told from the picture, which takes some seconds.
    """
    try:
        check_whole(path)
        filmed = read_moment_filmed(path)
        known = filmed is not None and filmed.year >= _FIRST_YEAR
        return ClipLook(
            filmed_s=filmed.timestamp() if known and filmed is not None else None,
            view=find_view(read_clip(path, view="face_on")) if finds_view else None,
        )
    except PuttPostureError as error:
        return ClipLook(fault=str(error))


class Looker:
    """Looks at one clip after the other, beside what else goes on.

    Parameters
    ----------
    look : callable
        `look_at_clip`, or what takes its place.
    """

    def __init__(self, look: Callable[[Path, bool], ClipLook] = look_at_clip) -> None:
        self._look = look
        self._workers = Workers()
        self._threads = ThreadPoolExecutor(max_workers=1, thread_name_prefix="look")

    def begin(self, path: Path, *, finds_view: bool) -> "Future[ClipLook]":
        """Begin to look at a clip.

        Parameters
        ----------
        path : Path
        finds_view : bool

        Returns
        -------
        Future of ClipLook
            With a fault where the process ended or took too long.
        """
        return self._threads.submit(self._run, path, finds_view)

    def close(self) -> None:
        """End; what has not begun is not looked at."""
        self._threads.shutdown(wait=False, cancel_futures=True)
        self._workers.close()

    def _run(self, path: Path, finds_view: bool) -> ClipLook:
        try:
            return self._workers.run(self._look, path, finds_view, limit_s=_LIMIT_S)
        except PuttPostureError as error:
            return ClipLook(fault=f"{path.name} could not be looked at. {error}")
        except Exception as error:
            return ClipLook(fault=f"{path.name} could not be looked at ({type(error).__name__}: {error}).")
