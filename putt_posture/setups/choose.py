"""Setups at the times that the coach gives."""

import math
from collections.abc import Sequence
from typing import Final

from attrs import evolve

from putt_posture.errors import UsageError
from putt_posture.setups.doubts import find_doubts
from putt_posture.values import Clip, Setup, Track

__all__ = ["choose_setups"]

_SPAN_S: Final = 0.4
"""Around the given time, real seconds: the coach vouches for the moment, not for what comes half a second later."""


def choose_setups(
    clip: Clip, times_s: Sequence[float], *, track: Track | None = None, frames_per_setup: int = 5
) -> tuple[Setup, ...]:
    """Take the coach's own times.

    Parameters
    ----------
    clip : Clip
    times_s : sequence of float
        Clip times, seconds.
    track : Track, optional
        The student through the clip: what it says against such a moment becomes the setup's doubt.
    frames_per_setup : int
        Odd; the given time is the middle one of them, unless it is close to an end of the clip.

    Returns
    -------
    tuple of Setup
        One for each time, in order of time; a time given twice counts once.

    Raises
    ------
    UsageError
        If no time is given, or one is no number or outside the clip.
    """
    if not times_s:
        raise UsageError(f"No setup time was given for {clip.path.name}. Give seconds from the start of the clip.")
    last_s = _last_frame_s(clip)
    for time_s in times_s:
        if not math.isfinite(time_s):
            raise UsageError(f"The setup time {time_s} s is no number of seconds. Give one from 0 to {last_s:.2f}.")
        if clip.kind == "still" and time_s != 0:
            raise UsageError(
                f"A setup time of {time_s:g} s was given for {clip.path.name}, which is a still. Leave it out."
            )
        if not 0 <= time_s <= clip.duration_s:
            raise UsageError(
                f"The setup time {time_s:g} s is outside {clip.path.name}, whose frames go from 0 to {last_s:.2f} s. "
                "Give a time between them."
            )
    chosen = [_around(clip, time_s, last_s, frames_per_setup) for time_s in sorted(set(times_s))]
    if track is not None:
        doubts = find_doubts(track, clip, [setup.moment_s for setup in chosen])
        chosen = [evolve(setup, doubt=doubt) for setup, doubt in zip(chosen, doubts, strict=True)]
    return tuple(chosen)


def _around(clip: Clip, time_s: float, last_s: float, count: int) -> Setup:
    moment_s = min(time_s, last_s)
    frame_s = 1 / clip.rate_hz if clip.rate_hz > 0 else 0.0
    half = count // 2
    step_s = max(_SPAN_S * clip.time_stretch / max(count - 1, 1), frame_s)
    times_s = [moment_s]
    if clip.kind == "video" and frame_s > 0:
        offsets = range(-half, half + 1)
        times_s = [moment_s + k * step_s for k in offsets if k == 0 or 0 <= moment_s + k * step_s <= last_s]
    return Setup(
        moment_s=moment_s,
        times_s=tuple(times_s),
        window_s=(times_s[0], times_s[-1]),
        chosen_by="person",
        reason=f"Chosen by the coach at {time_s:g} s." if clip.kind == "video" else "A still has one moment.",
    )


def _last_frame_s(clip: Clip) -> float:
    """Return the time of the last frame; `duration_s` reaches to its end."""
    return max(clip.duration_s - (1 / clip.rate_hz if clip.rate_hz > 0 else 0.0), 0.0)
