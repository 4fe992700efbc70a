"""Everything that is measured once in a clip to find its setups."""

import numpy as np
from attrs import field, frozen

from putt_posture.errors import SetupNotFound
from putt_posture.setups.quiet import Activity, measure_activity
from putt_posture.setups.signals import Signals, measure_signals
from putt_posture.setups.strokes import Stroke, find_strokes
from putt_posture.values import Clip, Track

__all__ = ["Observed", "not_found", "observe", "observe_any"]


@frozen(kw_only=True, eq=False)
class Observed:
    """A clip with the student's stance, the picture's motion and the strokes in it; times are real seconds.

    Attributes
    ----------
    clip : Clip
    signals : Signals
    activity : Activity
    strokes : list of Stroke
        Practice or not, in order of time.
    """

    clip: Clip
    signals: Signals = field(repr=False)
    activity: Activity = field(repr=False)
    strokes: list[Stroke]

    @property
    def threshold(self) -> float:
        """The level of motion below which the picture is quiet."""
        return self.activity.threshold(max((stroke.peak for stroke in self.strokes), default=None))


def observe(track: Track, clip: Clip) -> Observed:
    """Measure the student's stance and the picture's motion, and find the strokes.

    Parameters
    ----------
    track : Track
        The student through the whole clip.
    clip : Clip
        Not a still.

    Returns
    -------
    Observed

    Raises
    ------
    SetupNotFound
        If the student is never seen at address, or the clip is too short to distinguish still from moving.
    """
    if not (len(track.times_s) and np.isfinite(track.points_px).any()):
        raise not_found(clip, "the student was not seen")
    seen = observe_any(track, clip)
    if not seen.signals.address_like.any():
        raise not_found(clip, _what_was_seen(seen.signals))
    if not len(seen.activity.times_s):
        raise not_found(clip, "it is too short to distinguish still from moving")
    return seen


def observe_any(track: Track, clip: Clip) -> Observed:
    """Measure as much as possible of any clip or still in which the student was seen.

    Where no address is seen, or still and moving cannot be distinguished, there are no strokes.

    Parameters
    ----------
    track : Track
    clip : Clip
    """
    signals = measure_signals(track, clip)
    activity = measure_activity(track, clip, signals)
    moves = clip.kind == "video" and len(activity.times_s) > 0 and bool(signals.address_like.any())
    strokes = find_strokes(signals, activity) if moves else []
    return Observed(clip=clip, signals=signals, activity=activity, strokes=strokes)


def not_found(clip: Clip, seen: str) -> SetupNotFound:
    """Return the error for a clip without an address.

    Parameters
    ----------
    clip : Clip
    seen : str
        What was seen, the middle of a sentence.
    """
    return SetupNotFound(
        f"No still moment at address was found in {clip.path.name}: {seen}. "
        "Give its time with --setup-at SECONDS, or film again with a second of stillness before the stroke.",
        path=clip.path,
    )


def _what_was_seen(signals: Signals) -> str:
    if not signals.lacking:
        return "the student was hardly seen"
    in_view = np.isfinite(signals.body_px)
    what = max(signals.lacking, key=lambda name: float(np.mean(signals.lacking[name][in_view])))
    if float(np.mean(signals.lacking[what][in_view])) > 0.9:
        return f"the student was never seen with {what}"
    return "the student never stood still with bent hips and both hands together in front"
