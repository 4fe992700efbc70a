"""Setups from stretches of real time, or at the times that the coach gives: their frames, and the reason in words."""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.errors import UsageError
from putt_posture.setups.doubts import find_doubts
from putt_posture.setups.quiet import Activity, Stretch
from putt_posture.setups.strokes import Kept
from putt_posture.shown import join_words
from putt_posture.values import Clip, Setup, Track

__all__ = ["LAST_S", "SPAN_S", "SetupBuilder", "choose_frames", "choose_setups", "trim_quiet"]

_SETTLE_S: Final = 0.25
"""Left out after the student has come to rest, s: the putter head is still being set down."""
_TAKE_AWAY_S: Final = 0.2
"""Left out before the stroke, s: it starts slowly, and is detected 0.1 s late, down the line sometimes 0.2 s."""
_TRIM_SHARE: Final = 0.25
"""At most this share of a stretch is left out at either end."""
SPAN_S: Final = 0.8
"""The frames are spread over this time, s: short enough to be one posture, long enough to show their scatter."""
LAST_S: Final = 2.0
"""Before a stroke they come from the last seconds of the stretch, when the student is ready, s."""
_STEP_S: Final = 1 / 30
_SHORT_SPAN_S: Final = 0.4
"""Length of the part used where something else moves in the picture, s: the frames are close together, from its
quietest moment."""
_ELSE: Final = "by the landmarks alone, because something else moves in the picture"


class SetupBuilder:
    """Chooses the frames of quiet stretches, with a reason in words.

    Parameters
    ----------
    clip : Clip
    activity : Activity
        Of its track.
    count : int
        How many frames to choose from each stretch.
    """

    def __init__(self, clip: Clip, activity: Activity, *, count: int) -> None:
        self._slowed = clip.time_stretch
        self._spacing_s = clip.real_seconds(1 / clip.rate_hz) if clip.rate_hz > 0 else 1 / 30
        self._activity = activity
        self._count = count

    def before_stroke(self, kept: Kept, *, disturbed: bool = False, held: Sequence[Stretch] = ()) -> Setup:
        """Return the setup before a stroke.

        Parameters
        ----------
        kept : Kept
            With a quiet stretch before it.
        disturbed : bool
            Only the landmarks showed the two.
        held : sequence of Stretch
            Still moments within the stroke, real seconds.
        """
        stroke, quiet_s = kept.stroke, kept.stroke.quiet_s
        assert quiet_s is not None
        starts = self._clip_time(stroke.start_s)
        reason = (
            f"Still for {_seconds(quiet_s)} before the stroke that starts at {starts}"
            f"{f'; seen {_ELSE}' if disturbed else ''}{f'; {kept.found_how}' if kept.found_how else ''}."
        )
        if held:
            times = join_words([self._clip_time(start) for start, _ in held])
            reason += f" Not the still moment at {times}, which is in that stroke: at its top or at the ball."
        practice = f"The stroke that starts at {starts} may be a practice stroke, because {kept.doubt}."
        elsewhere = (
            f"In the still moment before the stroke that starts at {starts} the shoulders are not where they are "
            "when it starts, so it may be a held top or finish and not the address."
        )
        doubt = practice if kept.doubt else elsewhere if stroke.elsewhere else ""
        window_s = trim_quiet(quiet_s, before_stroke=True)
        return self._setup(window_s, (stroke.start_s, stroke.end_s), reason, doubt, disturbed=disturbed)

    def without_stroke(
        self,
        quiet_s: Stretch,
        *,
        disturbed: bool = False,
        passed_over: Sequence[Stretch] = (),
        at_top: bool = False,
    ) -> Setup:
        """Return the setup of a quiet stretch without a stroke after it.

        Parameters
        ----------
        quiet_s : (float, float)
            Start and end, real seconds.
        disturbed : bool
            Whether there was motion near it that no landmark explains.
        passed_over : sequence of Stretch
            Still stretches from which the hands swing through at once, real seconds.
        at_top : bool
            Whether this is one of them, for want of another.
        """
        reason = (
            f"No stroke was seen; this is the longest still stretch at address, {_seconds(quiet_s)} from "
            f"{self._clip_time(quiet_s[0])} on{f', seen {_ELSE}' if disturbed else ''}."
        )
        doubt = (
            f"No stroke was seen after {self._clip_time(quiet_s[0])}, so the moment measured may not be the address."
        )
        if passed_over:
            times = join_words([self._clip_time(start) for start, _ in passed_over])
            reason += f" Not the still moment at {times}, from which the hands swing through as from a held top."
        if at_top:
            doubt = (
                f"From {self._clip_time(quiet_s[1])} on the hands swing through as from a held top, so the moment "
                "measured is hardly the address. No other still moment was found."
            )
        return self._setup(trim_quiet(quiet_s, before_stroke=False), None, reason, doubt, disturbed=disturbed)

    def without_putter(self, quiet_s: Stretch) -> Setup:
        """Return the setup of a quiet stretch in a clip that was filmed without a putter; no stroke follows there.

        Parameters
        ----------
        quiet_s : (float, float)
            Start and end, real seconds.
        """
        reason = f"Filmed without a putter; still for {_seconds(quiet_s)} from {self._clip_time(quiet_s[0])} on."
        return self._setup(trim_quiet(quiet_s, before_stroke=False), None, reason, "", disturbed=False)

    def _setup(self, window_s: Stretch, stroke_s: Stretch | None, reason: str, doubt: str, *, disturbed: bool) -> Setup:
        times_s, moment_s = choose_frames(
            self._activity,
            window_s,
            count=self._count,
            least_spacing_s=self._spacing_s,
            last_s=LAST_S if stroke_s is not None and not disturbed else math.inf,
            span_s=_SHORT_SPAN_S if disturbed else SPAN_S,
        )
        scale = self._slowed
        return Setup(
            moment_s=moment_s * scale,
            times_s=tuple(time * scale for time in times_s),
            window_s=(window_s[0] * scale, window_s[1] * scale),
            stroke_s=None if stroke_s is None else (stroke_s[0] * scale, stroke_s[1] * scale),
            reason=reason,
            doubt=doubt,
        )

    def _clip_time(self, time_s: float) -> str:
        return f"{time_s * self._slowed:.1f} s{' of the slowed clip' if self._slowed > 1 else ''}"


_SPAN_S: Final = 0.4
"""How far around a given time frames are taken, real seconds: the coach chose this moment, not one half a second
later."""


def trim_quiet(quiet_s: Stretch, *, before_stroke: bool) -> Stretch:
    """Leave out the settling, and the start of the takeaway where a stroke follows; real seconds.

    Parameters
    ----------
    quiet_s : (float, float)
        Start and end, real seconds.
    before_stroke : bool
        Whether a stroke follows.
    """
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
        How many frames are wanted; fewer are returned where the clip has fewer.
    least_spacing_s : float
        Between two frames of the clip, real seconds.
    last_s, span_s : float
        How much of the window's end is searched, and over how much of it the times are spread, real seconds.

    Returns
    -------
    times_s : tuple of float
        Increasing, real seconds.
    moment_s : float
        The quietest of these times.
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


def choose_setups(
    clip: Clip,
    times_s: Sequence[float],
    *,
    track: Track | None = None,
    frames_per_setup: int = 5,
    without_putter: bool = False,
) -> tuple[Setup, ...]:
    """Return setups at the coach's own times.

    Parameters
    ----------
    clip : Clip
    times_s : sequence of float
        Clip times, seconds.
    track : Track, optional
        The student through the clip: reasons against such a moment become the setup's doubt.
    frames_per_setup : int
        Odd; the given time is the middle one of them, unless it is close to an end of the clip.
    without_putter : bool
        Whether the clip was filmed without a putter, so that there is no stroke and the arms may hang.

    Returns
    -------
    tuple of Setup
        One for each time, in order of time; a time given twice counts once.

    Raises
    ------
    UsageError
        If no time is given, or one is not a number or outside the clip.
    """
    if not times_s:
        raise UsageError(f"No setup time was given for {clip.name}. Give seconds from the start of the clip.")
    last_s = _last_frame_s(clip)
    for time_s in times_s:
        if not math.isfinite(time_s):
            raise UsageError(f"The setup time {time_s} s is not a number of seconds. Give one from 0 to {last_s:.2f}.")
        if clip.kind == "still" and time_s != 0:
            raise UsageError(f"A setup time of {time_s:g} s was given for {clip.name}, which is a still. Leave it out.")
        if not 0 <= time_s <= clip.duration_s:
            raise UsageError(
                f"The setup time {time_s:g} s is outside {clip.name}, whose frames go from 0 to {last_s:.2f} s. "
                "Give a time between them."
            )
    chosen = [_around(clip, time_s, last_s, frames_per_setup) for time_s in sorted(set(times_s))]
    if track is not None:
        doubts = find_doubts(track, clip, [setup.moment_s for setup in chosen], without_putter=without_putter)
        chosen = [evolve(setup, doubt=doubt) for setup, doubt in zip(chosen, doubts, strict=True)]
    return tuple(chosen)


def _seconds(stretch: Stretch) -> str:
    return f"{stretch[1] - stretch[0]:.1f} s"


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
