"""From stretches of real time to setups in clip time, with the reason in words."""

import math
from typing import Final

from putt_posture.setups.frames import LAST_S, SPAN_S, choose_frames, trim_quiet
from putt_posture.setups.practice import Kept
from putt_posture.setups.quiet import Activity, Stretch
from putt_posture.values import Clip, Setup

__all__ = ["SetupBuilder"]

_SHORT_SPAN_S: Final = 0.4
"""Where something else moves in the picture: the frames are taken from its quietest moment, together."""
_ELSE: Final = "by the landmarks alone, because something else moves in the picture"


class SetupBuilder:
    """Chooses the frames of quiet stretches and says why.

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

    def before_stroke(self, kept: Kept, *, disturbed: bool = False, told: str = "") -> Setup:
        """Return the setup before a stroke.

        Parameters
        ----------
        kept : Kept
            With a quiet stretch before it.
        disturbed : bool
            Only the landmarks showed the two.
        told : str
            What else is to be said of how the stroke was told.
        """
        stroke, quiet_s = kept.stroke, kept.stroke.quiet_s
        assert quiet_s is not None
        starts = self._clip_time(stroke.start_s)
        reason = (
            f"Still for {_seconds(quiet_s)} before the stroke that starts at {starts}"
            f"{f'; seen {_ELSE}' if disturbed else ''}{f'; {told}' if told else ''}."
        )
        practice = f"The stroke that starts at {starts} may be a practice stroke, because {kept.doubt}."
        window_s = trim_quiet(quiet_s, before_stroke=True)
        return self._setup(
            window_s, (stroke.start_s, stroke.end_s), reason, practice if kept.doubt else "", disturbed=disturbed
        )

    def without_stroke(self, quiet_s: Stretch, *, disturbed: bool = False) -> Setup:
        """Return the setup of a quiet stretch that no stroke was seen after."""
        reason = (
            f"No stroke was seen; this is the longest still stretch at address, {_seconds(quiet_s)} from "
            f"{self._clip_time(quiet_s[0])} on{f', seen {_ELSE}' if disturbed else ''}."
        )
        doubt = (
            f"No stroke was seen after {self._clip_time(quiet_s[0])}, so what is measured there may be another still "
            "moment than the address."
        )
        return self._setup(trim_quiet(quiet_s, before_stroke=False), None, reason, doubt, disturbed=disturbed)

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


def _seconds(stretch: Stretch) -> str:
    return f"{stretch[1] - stretch[0]:.1f} s"
