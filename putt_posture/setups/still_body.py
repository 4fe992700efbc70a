"""Stillness and strokes from the landmarks alone, for pictures in which other things move.

Somebody who walks past behind the student, leaves in the wind or a hand-held camera hide stillness and stroke from the
motion in the picture. The landmarks are coarser but belong to the student. Times are real seconds.
"""

from typing import Final

import numpy as np

from putt_posture.setups.quiet import LEAST_QUIET_S, Activity, Stretch
from putt_posture.setups.runs import find_runs
from putt_posture.setups.signals import Signals
from putt_posture.setups.stance import measure_swing, posture_kept_until
from putt_posture.setups.strokes import Stroke

__all__ = ["comes_after_a_stroke", "find_still_body", "find_strokes_by_hands"]

_MOST_HAND_MOVE: Final = 0.045
"""Between the hands' places in the 0.4 s before and after a look, in body sizes: 6 cm."""
_REACH_S: Final = 2.2
"""From the first move of the hands to the finish, for a slow stroke."""
_CLEAR_SWING: Final = 2.0
"""How many times as wide as with a burst of motion the swing must be where landmarks alone show it."""
_BEFORE_S: Final = 1.0
"""A stretch that follows so much motion at an unchanged address comes after a stroke rather than before."""


def find_still_body(signals: Signals) -> list[Stretch]:
    """Return the stretches in which feet, trunk and hands are still at address for `LEAST_QUIET_S`."""
    still = signals.address_like & (signals.hands_moved_px <= _MOST_HAND_MOVE * signals.body_px)
    stretches = [(float(signals.times_s[first]), float(signals.times_s[last])) for first, last in find_runs(still)]
    return [(start, stop) for start, stop in stretches if stop - start >= LEAST_QUIET_S]


def find_strokes_by_hands(signals: Signals) -> list[Stroke]:
    """Find the strokes that the hands show, face on, each with the still stretch before it.

    Returns
    -------
    list of Stroke
        In order of time; always empty down the line, where the hands move toward the camera.
    """
    if signals.view != "face_on":
        return []
    found: list[Stroke] = []
    for quiet_s in find_still_body(signals):
        start_s = quiet_s[1]
        end_s = min(start_s + _REACH_S, float(signals.times_s[-1]), posture_kept_until(signals, quiet_s, start_s))
        if found and start_s < found[-1].end_s:
            continue
        if end_s > start_s and measure_swing(signals, quiet_s, start_s, end_s).to_both_sides(
            times_as_wide=_CLEAR_SWING
        ):
            found.append(Stroke(start_s=start_s, end_s=end_s, quiet_s=quiet_s, peak=0.0))
    return found


def comes_after_a_stroke(activity: Activity, stretch: Stretch) -> bool:
    """Say whether a quiet stretch follows a second of motion at an unchanged address."""
    if stretch[0] - _BEFORE_S < activity.times_s[0]:
        return False
    return bool(np.all(activity.at_address[activity.inside(stretch[0] - _BEFORE_S, stretch[0])]))
