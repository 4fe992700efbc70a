"""Which parts of the stance stay and which move between two moments.

Times are real seconds; limits are shares of the body's size in the picture.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from putt_posture.setups.quiet import Stretch
from putt_posture.setups.signals import Signals, close_gaps
from putt_posture.values import Floats, medians_seen

__all__ = ["head_as_during", "near_feet", "posture_kept_until", "same_feet", "same_posture", "stays_put"]

Flags = NDArray[np.bool_]

_MOST_FEET_MOVE: Final = 0.055
_MOST_HIP_MOVE: Final = 0.055
_MOST_SHOULDER_MOVE: Final = 0.055
"""Farthest move that counts as staying in place, in body sizes: 7 cm, four standard deviations of smoothed landmarks.
Standing up exceeds it in 0.4 s; no part moves by 3 cm in a stroke."""
_MOST_HAND_MOVE: Final = 0.09
"""The same for the hands: 12 cm, down the line in both directions, face on only upward, since a stroke takes the hands
along the target line."""
_MOST_DRIFT: Final = 0.05
"""Farthest move through a quiet stretch, in body sizes: 6.5 cm."""
_SAME_PLACE: Final = 0.025
"""Between two stretches with one posture: 3 cm, three standard errors of a place in half a second. A setup that is
rebuilt moves shoulders or hands by more."""
_BREAK_LAG_S: Final = 0.35
"""Smoothed landmarks exceed these limits about this long after the movement has begun, s."""
_STEP_LAG_S: Final = 0.4
"""A step begins this long before the feet are seen to move, s, and moves more of the picture than a stroke."""
_BREAK_S: Final = 0.4
"""A part has left its place only if it stays away for this long, s."""
_HEAD_TURN: Final = 0.023
"""How far the face moves relative to the ears when the student looks at the hole: 3 cm, a turn of some 45°."""
_SHORTEST_LOOK_S: Final = 0.8
"""A look to the hole and back takes longer, s; a shorter turn is a landmark that jumped."""


def posture_kept_until(signals: Signals, reference: Stretch, start_s: float) -> float:
    """Return when feet, hips, shoulders or hands finally leave their place at address.

    Parameters
    ----------
    signals : Signals
    reference : Stretch
        When the student was at address.
    start_s : float
        Real seconds; earlier frames are ignored.

    Returns
    -------
    float
        Real seconds; infinity where the posture is kept to the end of the track. A step ends the address before the
        strongest motion of the step, however short the step is.
    """
    rest = signals.during(*reference)
    body = float(_middle(signals.body_px[rest]))
    feet = signals.feet_px - _middle(signals.feet_px[rest])
    broken: Flags = ~np.isfinite(signals.body_px) | _too_far(feet, rest, _MOST_FEET_MOVE * body)
    for points, most in (
        (signals.hips_px, _MOST_HIP_MOVE),
        (signals.shoulders_px, _MOST_SHOULDER_MOVE),
        (signals.hands_px, _MOST_HAND_MOVE),
    ):
        against_feet = points - signals.feet_px
        moved = against_feet - _middle(against_feet[rest])
        if points is signals.hands_px and signals.view == "face_on":
            moved[:, 0] = 0
        broken |= _too_far(moved, rest, most * body)
    # The last frames of a track are smoothed over fewer frames and are not reliable.
    later = np.flatnonzero((signals.times_s > start_s) & (signals.times_s <= signals.times_s[-1] - _BREAK_S))
    for index in later:
        if broken[index : np.searchsorted(signals.times_s, signals.times_s[index] + _BREAK_S, side="right")].all():
            return max(min(float(signals.times_s[index]) - _BREAK_LAG_S, _step_after(signals, start_s)), start_s)
    return max(_step_after(signals, start_s), start_s)


def _step_after(signals: Signals, start_s: float) -> float:
    """Return when the feet first move for two frames or more; infinity where they never do."""
    moving = signals.feet_move & np.roll(signals.feet_move, -1)
    steps = signals.times_s[moving & (signals.times_s > start_s)]
    return float(steps[0]) - _STEP_LAG_S if len(steps) else float("inf")


def head_as_during(signals: Signals, stretch: Stretch, times_s: Floats) -> Flags:
    """Return for each time whether the head points as it does during a stretch.

    Parameters
    ----------
    signals : Signals
    stretch : (float, float)
        Start and end, real seconds.
    times_s : (N,)
        Real seconds, increasing.
    """
    looks = signals.during(*stretch)
    turn = signals.gaze_px - _middle(signals.gaze_px[looks])
    turned = _too_far(turn, looks, _HEAD_TURN * float(_middle(signals.body_px[looks])))
    same = close_gaps(signals.times_s, ~turned, shortest_s=_SHORTEST_LOOK_S)
    nearest = np.clip(np.searchsorted(signals.times_s, times_s), 0, len(signals.times_s) - 1)
    flags: Flags = same[nearest]
    return flags


def same_feet(signals: Signals, first: Stretch, second: Stretch) -> bool:
    """Return whether the feet are in the same place in two stretches.

    Parameters
    ----------
    signals : Signals
    first : (float, float)
    second : (float, float)
        Start and end, real seconds.
    """
    before, after = signals.during(*first), signals.during(*second)
    step = _middle(signals.feet_px[after]) - _middle(signals.feet_px[before])
    return not np.hypot(*step) > _MOST_FEET_MOVE * _middle(signals.body_px[before])


def near_feet(signals: Signals, stretch: Stretch) -> Flags:
    """Return for each frame whether the feet are where they are in a stretch.

    Parameters
    ----------
    signals : Signals
    stretch : (float, float)
        Start and end, real seconds.
    """
    looks = signals.during(*stretch)
    moved = signals.feet_px - _middle(signals.feet_px[looks])
    near: Flags = ~_too_far(moved, looks, _MOST_FEET_MOVE * float(_middle(signals.body_px[looks])))
    return near & np.isfinite(signals.body_px)


def same_posture(signals: Signals, first: Stretch, second: Stretch) -> bool:
    """Return whether hips, shoulders and hands are in the same place over the feet in two stretches.

    Parameters
    ----------
    signals : Signals
    first : (float, float)
    second : (float, float)
        Start and end, real seconds.
    """
    before, after = signals.during(*first), signals.during(*second)
    body = _middle(signals.body_px[before])
    return not any(
        np.hypot(*(_middle((points - signals.feet_px)[after]) - _middle((points - signals.feet_px)[before])))
        > _SAME_PLACE * body
        for points in (signals.hips_px, signals.shoulders_px, signals.hands_px)
    )


def stays_put(signals: Signals, stretch: Stretch) -> bool:
    """Return whether hips, shoulders and hands are in the same place at the start and at the end of a stretch.

    Parameters
    ----------
    signals : Signals
    stretch : (float, float)
        Start and end, real seconds.
    """
    third = (stretch[1] - stretch[0]) / 3
    first, last = signals.during(stretch[0], stretch[0] + third), signals.during(stretch[1] - third, stretch[1])
    body = _middle(signals.body_px[first])
    return not any(
        np.hypot(*(_middle(points[last]) - _middle(points[first]))) > _MOST_DRIFT * body
        for points in (signals.hips_px, signals.shoulders_px, signals.hands_px)
    )


def _too_far(moved: Floats, rest: slice, most: float) -> Flags:
    """Return where a point is farther from its place than `most` and twice its own scatter at rest."""
    far = np.linalg.norm(moved, axis=1)
    flags: Flags = far > most + 2 * float(_middle(far[rest]))
    return flags


def _middle(values: Floats) -> Floats:
    """Return the median over frames; NaN, without a warning, where nothing was seen."""
    return medians_seen(values)
