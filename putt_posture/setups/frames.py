"""Which frames of a quiet stretch are measured."""

from typing import Final

import numpy as np

from putt_posture.setups.quiet import Activity, Stretch

__all__ = ["LAST_S", "SPAN_S", "choose_frames", "trim_quiet"]

_SETTLE_S: Final = 0.25
"""Left out after the student has come to rest: the putter's head is still being set down."""
_TAKE_AWAY_S: Final = 0.2
"""Left out before the stroke: it starts slowly, and is seen late by 0.1 s, down the line at times 0.2 s."""
_TRIM_SHARE: Final = 0.25
"""At most this share of a stretch is left out at either end."""
SPAN_S: Final = 0.8
"""The frames are spread over this time: short enough to be one posture, long enough that their scatter is seen."""
LAST_S: Final = 2.0
"""Before a stroke they come from the last seconds of the stretch, when the student is ready."""
_STEP_S: Final = 1 / 30


def trim_quiet(quiet_s: Stretch, *, before_stroke: bool) -> Stretch:
    """Leave out the settling, and the start of the take-away where a stroke follows; real seconds."""
    start, stop = quiet_s
    most = _TRIM_SHARE * (stop - start)
    return start + min(_SETTLE_S, most), stop - (min(_TAKE_AWAY_S, most) if before_stroke else 0.0)


def choose_frames(
    activity: Activity,
    window_s: Stretch,
    *,
    count: int,
    least_spacing_s: float,
    last_s: float = LAST_S,
    span_s: float = SPAN_S,
) -> tuple[tuple[float, ...], float]:
    """Choose times for the frames in the quietest part near the end of a window.

    Parameters
    ----------
    activity : Activity
    window_s : Stretch
        Real seconds.
    count : int
        How many frames are wanted; fewer are returned where the clip has not so many.
    least_spacing_s : float
        Between two frames of the clip, real seconds.
    last_s, span_s : float
        How much of the window's end is searched and how much of that is covered, real seconds.

    Returns
    -------
    times_s, moment_s : tuple of float, float
        Increasing times and the quietest of them, real seconds.
    """
    start, stop = max(window_s[0], window_s[1] - last_s), window_s[1]
    span = min(span_s, stop - start)
    begins = start + _STEP_S * np.arange(int((stop - start - span) / _STEP_S + 1e-6) + 1)
    # The latest of those that are within a tenth of a spread of the quietest.
    level = np.where(np.isfinite(activity.level), activity.level, np.nanmax(activity.level))
    means = np.array([float(level[activity.inside(begin, begin + span)].mean()) for begin in begins])
    begin = float(begins[np.flatnonzero(means <= means.min() + 0.1 * activity.spread)[-1]])
    count = max(1, min(count, int(span / least_spacing_s + 1e-6) + 1))
    times = np.linspace(begin, begin + span, count) if count > 1 else np.array([begin + span / 2])
    moment = times[int(np.argmin(np.interp(times, activity.times_s, level)))]
    return tuple(float(time) for time in times), float(moment)
