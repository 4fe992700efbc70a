"""Stillness and strokes from the landmarks alone, for pictures in which other things move.

Somebody who walks past behind the student, leaves in the wind or a hand-held camera hide stillness and stroke from the
motion in the picture. The landmarks are coarser but belong to the student. Times are real seconds.
"""

from typing import Final

import numpy as np

from putt_posture.setups.quiet import LEAST_QUIET_S, Activity, Stretch
from putt_posture.setups.runs import find_runs
from putt_posture.setups.signals import Signals
from putt_posture.setups.stance import posture_kept_until
from putt_posture.setups.stroke_shape import find_matches
from putt_posture.setups.strokes import Stroke

__all__ = ["comes_after_a_stroke", "find_still_body", "find_strokes_by_hands"]

_MOST_HAND_MOVE: Final = 0.045
"""Between the hands' places in the 0.4 s before and after a look, in body sizes: 6 cm."""
_REACH_S: Final = 1.0
"""The stillness ends no longer than this before the stroke."""
_BEFORE_S: Final = 1.0
"""A stretch that follows so much motion at an unchanged address comes after a stroke rather than before."""


def find_still_body(signals: Signals) -> list[Stretch]:
    """Return the stretches in which feet, trunk and hands are still at address for `LEAST_QUIET_S`."""
    still = signals.address_like & (signals.hands_moved_px <= _MOST_HAND_MOVE * signals.body_px)
    stretches = [(float(signals.times_s[first]), float(signals.times_s[last])) for first, last in find_runs(still)]
    return [(start, stop) for start, stop in stretches if stop - start >= LEAST_QUIET_S]


def find_strokes_by_hands(signals: Signals, activity: Activity) -> list[Stroke]:
    """Find the strokes that the hands show, face on, each with the still stretch before it.

    Returns
    -------
    list of Stroke
        In order of time; always empty down the line, where the hands move toward the camera.
    """
    if signals.view != "face_on":
        return []
    still = find_still_body(signals)
    found: list[Stroke] = []
    for match in find_matches(signals, activity, told_by="body"):
        before = [(start, min(stop, match.start_s)) for start, stop in still if start < match.start_s]
        before = [each for each in before if each[1] >= match.start_s - _REACH_S and _length(each) >= LEAST_QUIET_S]
        kept_s = posture_kept_until(signals, before[-1], match.start_s) if before else 0.0
        if before and kept_s >= match.start_s + match.shape.impact_s:
            found.append(Stroke(start_s=match.start_s, end_s=match.end_s, quiet_s=before[-1], peak=0.0))
    return found


def comes_after_a_stroke(activity: Activity, stretch: Stretch) -> bool:
    """Say whether a quiet stretch follows a second of motion at an unchanged address."""
    if stretch[0] - _BEFORE_S < activity.times_s[0]:
        return False
    return bool(np.all(activity.at_address[activity.inside(stretch[0] - _BEFORE_S, stretch[0])]))


def _length(stretch: Stretch) -> float:
    return stretch[1] - stretch[0]
