"""A quiet moment at address and the frames taken from it."""

from typing import Literal

from attrs import frozen

__all__ = ["Setup"]


@frozen(kw_only=True)
class Setup:
    """One setup in one clip.

    Attributes
    ----------
    moment_s : float
        Clip time of the frame that stands for the setup, seconds; it is one of `times_s`.
    times_s : tuple of float
        Clip times of all frames to be measured, seconds, increasing.
    window_s : (float, float)
        The quiet stretch they come from.
    stroke_s : (float, float) or None
        Start and end of the stroke that follows, where one was seen.
    chosen_by : {"finder", "person"}
    reason : str
        One sentence: why this moment.
    doubt : str
        One sentence: why this may not be the address before a putt; empty where nothing speaks against it.
    """

    moment_s: float
    times_s: tuple[float, ...]
    window_s: tuple[float, float]
    stroke_s: tuple[float, float] | None = None
    chosen_by: Literal["finder", "person"] = "finder"
    reason: str = ""
    doubt: str = ""
