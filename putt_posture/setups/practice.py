"""Which strokes are practice strokes, as far as that can be told without seeing the ball.

A stroke is left out when it has no quiet stretch right before it, when another follows it without a pause, or when the
student then steps toward the ball and addresses it within `STEP_IN_S`. A stroke that is followed by another from the
same feet within that time is kept and said to be doubtful. When nothing would be left, the last one that has a quiet
stretch is kept, as doubtful. Why it is so is said in words that follow "because".
"""

from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.setups.signals import BODY_CM, Signals
from putt_posture.setups.stance import near_feet
from putt_posture.setups.strokes import Stroke

__all__ = ["STEP_IN_S", "Kept", "leave_out_practice"]

STEP_IN_S: Final = 8.0
"""From the practice stroke to being still again at the ball; fetching and placing another ball takes longer."""

_AWAY_S: Final = 0.6
"""Out of the second address for longer than this is another coming to it."""
_STEP_SIDE_VIEW: Final = 5.0 / BODY_CM
"""Down the line a step toward the ball is seen at its full length: 5 cm, five standard errors of the feet's place."""
_STEP_FRONT_VIEW: Final = 3.0 / BODY_CM
"""Face on it is a step toward the camera: 12 cm at 4 m lowers the feet in the picture by 3 cm (camera at 1 m)."""
_LONGEST_STEP: Final = 60.0 / BODY_CM
"""Farther is walking to another place."""


_ANOTHER_FOLLOWS: Final = "another stroke follows it"
_GOES_ON: Final = "it goes on to and fro without a rest"


@frozen(kw_only=True)
class Kept:
    """A stroke with a quiet stretch before it, and why it may be practice; nothing where it is none."""

    stroke: Stroke
    doubt: str = ""


def leave_out_practice(strokes: list[Stroke], signals: Signals) -> list[Kept]:
    """Leave out the strokes that can be told to be practice.

    Parameters
    ----------
    strokes : list of Stroke
        In order of time.
    signals : Signals

    Returns
    -------
    list of Kept
        In order of time; empty only where no stroke has a quiet stretch before it.
    """
    kept: list[Kept] = []
    for index, stroke in enumerate(strokes):
        if stroke.quiet_s is None or stroke.goes_on:
            continue
        following = strokes[index + 1] if index + 1 < len(strokes) else None
        if following is None:
            kept.append(Kept(stroke=stroke))
        elif following.quiet_s is None:
            soon = following.start_s - stroke.end_s < STEP_IN_S
            kept.append(Kept(stroke=stroke, doubt=_ANOTHER_FOLLOWS if soon else ""))
        elif _settled_s(signals, stroke, following) - stroke.end_s > STEP_IN_S:
            kept.append(Kept(stroke=stroke))
        elif not _steps_in(signals, stroke, following):
            kept.append(Kept(stroke=stroke, doubt=_ANOTHER_FOLLOWS))
    return kept or _last_of(strokes)


def _last_of(strokes: list[Stroke]) -> list[Kept]:
    """Keep the last one that has a quiet stretch before it, of strokes that all seem to be practice."""
    return [
        Kept(stroke=stroke, doubt=_GOES_ON if stroke.goes_on else _ANOTHER_FOLLOWS)
        for stroke in strokes
        if stroke.quiet_s is not None
    ][-1:]


def _settled_s(signals: Signals, stroke: Stroke, following: Stroke) -> float:
    """Return when the feet came to where they are in the second address, looks and waggles there included."""
    assert following.quiet_s is not None
    now_s = following.quiet_s[0]
    there = signals.address_like & near_feet(signals, following.quiet_s)
    for index in np.flatnonzero((signals.times_s > stroke.end_s) & (signals.times_s < following.quiet_s[0]))[::-1]:
        if not there[index] and now_s - signals.times_s[index] > _AWAY_S:
            break
        if there[index]:
            now_s = float(signals.times_s[index])
    return now_s


def _steps_in(signals: Signals, stroke: Stroke, following: Stroke) -> bool:
    """Say whether the feet are nearer to the ball in the second address, by a step rather than a walk."""
    assert stroke.quiet_s is not None
    assert following.quiet_s is not None
    before, after = signals.during(*stroke.quiet_s), signals.during(*following.quiet_s)
    body = float(np.nanmedian(signals.body_px[before]))
    step = (np.nanmedian(signals.feet_px[after], axis=0) - np.nanmedian(signals.feet_px[before], axis=0)) / body
    if np.hypot(*step) > _LONGEST_STEP:
        return False
    if signals.view == "face_on":
        return bool(step[1] >= _STEP_FRONT_VIEW)
    lean = np.nanmedian(signals.shoulders_px[before, 0] - signals.hips_px[before, 0])
    return bool(step[0] * np.sign(lean) >= _STEP_SIDE_VIEW)
