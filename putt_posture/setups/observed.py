"""Everything that is measured once in a clip to find its setups."""

import numpy as np
from attrs import field, frozen

from putt_posture.errors import SetupNotFound
from putt_posture.setups.quiet import Activity, measure_activity
from putt_posture.setups.signals import HANDS_HANGING, HANDS_TOGETHER, Signals, measure_signals
from putt_posture.setups.strokes import CoarseStroke, FollowedStroke, find_strokes
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
    strokes : list of CoarseStroke
        Practice or not, in order of time; none is looked for in a clip without a putter.
    without_putter : bool
        Whether the clip was filmed without a putter.
    followed : tuple of FollowedStroke
        Strokes that were followed frame by frame before, real seconds.
    """

    clip: Clip
    signals: Signals = field(repr=False)
    activity: Activity = field(repr=False)
    strokes: list[CoarseStroke]
    without_putter: bool = False
    followed: tuple[FollowedStroke, ...] = ()

    @property
    def threshold(self) -> float:
        """The level of motion below which the picture is quiet.

        Without a putter the student's strongest motion at address takes the place of a stroke: how they move from one
        setup to the next.
        """
        if self.without_putter:
            at_address = self.activity.level[self.activity.at_address]
            return self.activity.threshold(float(np.nanmax(at_address)) if np.isfinite(at_address).any() else None)
        return self.activity.threshold(max((stroke.peak for stroke in self.strokes), default=None))


def observe(track: Track, clip: Clip, *, without_putter: bool = False) -> Observed:
    """Measure the student's stance and the picture's motion, and find the strokes.

    Parameters
    ----------
    track : Track
        The student through the whole clip.
    clip : Clip
        Not a still.
    without_putter : bool
        Whether the clip was filmed without a putter: then there are no strokes, and the arms may hang.

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
    seen = observe_any(track, clip, without_putter=without_putter)
    if not seen.signals.address_like.any():
        raise not_found(clip, _what_was_seen(seen))
    if not len(seen.activity.times_s):
        raise not_found(clip, "it is too short to distinguish still from moving")
    return seen


def observe_any(track: Track, clip: Clip, *, without_putter: bool = False) -> Observed:
    """Measure as much as possible of any clip or still in which the student was seen.

    Where no address is seen, or still and moving cannot be distinguished, there are no strokes.

    Parameters
    ----------
    track : Track
    clip : Clip
    without_putter : bool
        As for `observe`.
    """
    signals = measure_signals(track, clip, without_putter=without_putter)
    activity = measure_activity(track, clip, signals)
    moves = clip.kind == "video" and len(activity.times_s) > 0 and bool(signals.address_like.any())
    strokes = find_strokes(signals, activity) if moves and not without_putter else []
    return Observed(clip=clip, signals=signals, activity=activity, strokes=strokes, without_putter=without_putter)


def not_found(clip: Clip, seen: str) -> SetupNotFound:
    """Return the error for a clip without an address.

    Parameters
    ----------
    clip : Clip
    seen : str
        What was seen, the middle of a sentence.
    """
    return SetupNotFound(
        f"No still moment at address was found in {clip.name}: {seen}. "
        "Give its time with --setup-at SECONDS, or film again with a second of stillness before the stroke.",
        path=clip.path,
    )


def _what_was_seen(seen: Observed) -> str:
    signals = seen.signals
    if not signals.lacking:
        return "the student was hardly seen"
    in_view = np.isfinite(signals.body_px)
    what = max(signals.lacking, key=lambda name: float(np.mean(signals.lacking[name][in_view])))
    if float(np.mean(signals.lacking[what][in_view])) > 0.9:
        return f"the student was never seen with {what}"
    hands = HANDS_HANGING if seen.without_putter else HANDS_TOGETHER
    return f"the student never stood still with bent hips and {hands}"
