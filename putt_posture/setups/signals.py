"""The student's stance in each tracked frame, and how long it stays.

Times are real seconds (slow motion undone), picture points are pixels of the full-size upright picture, origin top
left, u right, v down. Lengths are judged as shares of the body's size, so that neither the picture's size nor the
distance to the camera matters.
"""

import itertools
from typing import Final

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, Clip, Floats, Track, View, medians_seen

__all__ = ["BODY_CM", "HANDS_HANGING", "HANDS_TOGETHER", "Signals", "close_gaps", "find_runs", "measure_signals"]

Flags = NDArray[np.bool_]
BODY_CM: Final = 130.0
"""The body's size in cm: shank + thigh + trunk as seen at address. It turns limits in cm into shares of the body's
size.

Joint-centre lengths of de Leva (1996) give 0.25 + 0.24 + 0.29 of stature, 139 cm at 178 cm; seen face on, a bent trunk
looks some 10 cm shorter. Accurate to 15 %, which is enough to distinguish a step from a sway.
"""
_LONGEST_GAP_S: Final = 1.0
"""Gaps longer than this are not filled, s."""
_SMOOTHING_S: Final = 0.7
"""Landmarks jump for a frame or two; a running median over five frames ignores that and keeps the edge of a step."""
_FLICKER_S: Final = 0.6
"""An address that is left for less than this was not left, s: no one stands up and bends again so fast."""
_LEAST_TILT_DEG: Final = 8.0
"""Least lean down the line, deg. Walking people lean by about 5°; the most upright putting stances by 15° and more
(common practice)."""
_MOST_TILT_DEG: Final = 75.0
"""Largest lean down the line, deg. Beyond it the trunk is level, as when a ball is placed."""
_MOST_SIDEWAYS_DEG: Final = 35.0
"""Largest lean face on, deg. No golfer leans sideways that far when putting."""
_LEAST_TRUNK: Final = 0.12
"""Face on. Height of the shoulders over the hips as a share of the legs; less means bent down to the ground."""
_LEAST_HIP_HEIGHT: Final = 1.6
"""Hip height over the ankles in shank lengths: 2 with straight knees, 1.9 at address, below 1.5 crouching."""
_LEAST_HIP_HEIGHT_FRONT: Final = 1.4
"""Face on, in shoulder widths, because a shank that leans toward the camera looks short: 2.2 upright, 1.1 crouching."""
_HANDS_BAND: Final = (-0.12, 0.56)
"""Possible place of the hands, as a share of the distance from hip to ankle: from just above the hip to just below the
knee (0.5)."""
_MOST_HANDS_APART: Final = 0.22
"""Largest distance between the wrists, in body sizes: 29 cm. On one grip they are some 10 cm apart; on both knees 40
cm."""
_MOST_HANGING_APART: Final = 0.45
"""The same without a putter: 58 cm. Arms that hang have the wrists as far apart as the shoulders, some 45 cm; on the
hips and in the air they are farther, or too high."""
_MOST_HANDS_ASIDE: Final = 0.55
"""Largest distance between hands and feet, sideways in the picture, in body sizes: 70 cm."""
_MOST_FEET_MOVE: Final = 0.05
"""Largest distance between the feet's places in the 0.4 s before and after a frame, in body sizes: 6.5 cm."""
_MOST_TRUNK_MOVE: Final = 0.06
"""The same distance for hips and shoulders: 8 cm."""
_MOVE_SPAN_S: Final = 0.4
HANDS_TOGETHER: Final = "both hands together in front"
HANDS_HANGING: Final = "the hands together or the arms hanging"
"""What the hands have to do at address, with a putter and without one, in words that follow "with"."""
_FOOT_POINTS: Final = ("ankle", "heel", "foot_index")
_FACE_POINTS: Final = ("nose", "left_eye", "right_eye", "mouth_left", "mouth_right")
_NEEDED: Final = (
    *_FACE_POINTS,
    *(f"{side}_{part}" for side in ("left", "right")
      for part in ("ear", "shoulder", "hip", "knee", "ankle", "wrist", "index", "pinky", "heel", "foot_index")),
)  # fmt: skip


@frozen(kw_only=True, eq=False)
class Signals:
    """The stance in each tracked frame.

    Attributes
    ----------
    view : View
    times_s : (N,)
        Real seconds.
    body_px : (N,)
        Shank + thigh + trunk as seen in the picture.
    feet_px, hips_px, shoulders_px, hands_px : (N, 2)
        Mid-points of both sides; NaN where the student was not seen for long.
    hands_moved_px : (N,)
        How far the hands move from just before to just after the frame.
    feet_move : (N,) bool
        Whether the feet are in one place just before the frame and in another just after it: a step.
    swing_px : (N, 1) or (N, 4)
        What moves to one side and then to the other in a stroke. Face on, the place of the hands along the target line
        relative to the feet. Down the line, the vectors from the left to the right shoulder and from the left to the
        right elbow: there the hands move toward the camera and back, but the shoulders rock.
    gaze_px : (N, 4)
        From the mid-point of the ears to the middle of the face, and from the left ear to the right: changes when the
        head turns. Down the line, a turn to the hole moves the face a little to the side and the ears far apart.
    address_like : (N,) bool
        Whether feet and trunk are still, the knees not deeply bent, the trunk bent, and both hands together between hip
        and knee height; in a clip without a putter the arms may hang apart.
    seen : (N,) bool
        Whether the student was found in this very frame.
    lacking : mapping of phrase to (N,) bool
        What each frame lacks to be address-like, in words that follow "with"; empty where the student is never in view.
    """

    view: View
    times_s: Floats
    body_px: Floats = field(repr=False)
    feet_px: Floats = field(repr=False)
    hips_px: Floats = field(repr=False)
    shoulders_px: Floats = field(repr=False)
    hands_px: Floats = field(repr=False)
    hands_moved_px: Floats = field(repr=False)
    feet_move: Flags = field(repr=False)
    swing_px: Floats = field(repr=False)
    gaze_px: Floats = field(repr=False)
    address_like: Flags = field(repr=False)
    seen: Flags = field(repr=False)
    lacking: dict[str, Flags] = field(repr=False, factory=dict)

    def during(self, start_s: float, stop_s: float) -> slice:
        """Return the frames from start to stop; at least the nearest one, where there is any.

        Parameters
        ----------
        start_s : float
            Real seconds.
        stop_s : float
            Real seconds.
        """
        first, last = np.searchsorted(self.times_s, [start_s, stop_s], side="left")
        if first >= last:
            first = int(np.argmin(np.abs(self.times_s - (start_s + stop_s) / 2)))
            last = first + 1
        return slice(int(first), int(last))

    def address_like_at(self, times_s: Floats) -> Flags:
        """Return for each time whether the frames before and after it are address-like and near enough.

        Parameters
        ----------
        times_s : (N,)
            Real seconds, increasing.
        """
        after = np.clip(np.searchsorted(self.times_s, times_s), 0, len(self.times_s) - 1)
        before = np.clip(after - 1, 0, None)
        near = np.maximum(np.abs(self.times_s[after] - times_s), np.abs(times_s - self.times_s[before]))
        flags: Flags = self.address_like[after] & self.address_like[before] & (near <= _LONGEST_GAP_S)
        return flags


def find_runs(flags: Flags) -> list[tuple[int, int]]:
    """Return first and last index of every run of true flags.

    Parameters
    ----------
    flags : (N,) bool

    Examples
    --------
    >>> find_runs(np.array([True, True, False, True]))
    [(0, 1), (3, 3)]
    """
    edges = np.diff(np.concatenate(([False], flags, [False])).astype(np.int8))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    return [(int(start), int(stop)) for start, stop in zip(starts, stops, strict=True)]


def close_gaps(times_s: Floats, flags: Flags, *, shortest_s: float) -> Flags:
    """Set the flags between two runs that are less than `shortest_s` apart.

    Parameters
    ----------
    times_s : (N,)
        Seconds, increasing.
    flags : (N,) bool
        One for each time.
    shortest_s : float
        Gaps that last this long stay.

    Examples
    --------
    >>> close_gaps(np.arange(4.0), np.array([True, False, True, False]), shortest_s=3.0)
    array([ True,  True,  True, False])
    """
    closed = flags.copy()
    runs = find_runs(flags)
    for (_, before), (after, _) in itertools.pairwise(runs):
        if times_s[after] - times_s[before] < shortest_s:
            closed[before:after] = True
    return closed


def measure_signals(track: Track, clip: Clip, *, without_putter: bool = False) -> Signals:
    """Measure the stance in each frame of a track.

    Parameters
    ----------
    track : Track
        With one frame or more.
    clip : Clip
        For the view, and the ratio of clip time to real time.
    without_putter : bool
        Whether the hands hold no putter, so that the arms may hang apart.

    Returns
    -------
    Signals
        Smoothed over 0.7 s; the hands only over three frames, because they are followed through a stroke.
    """
    times_s = np.asarray(track.times_s, dtype=np.float64) / clip.time_stretch
    points, seen = _bridge(times_s, np.asarray(track.points_px, dtype=np.float64))

    def side(name: str) -> Floats:
        return points[:, LANDMARK_INDEX[name]]

    def middle(*parts: str) -> Floats:
        sides = [np.median([side(f"{which}_{part}") for part in parts], axis=0) for which in ("left", "right")]
        return np.asarray((sides[0] + sides[1]) / 2, dtype=np.float64)

    step_s = float(np.median(np.diff(times_s))) if len(times_s) > 1 else _SMOOTHING_S
    size = max(3, 2 * round(_SMOOTHING_S / step_s / 2) + 1)

    def smooth(values: Floats) -> Floats:
        return _running_median(values, size)

    ankles, knees, hips, shoulders = (smooth(middle(part)) for part in ("ankle", "knee", "hip", "shoulder"))
    feet = smooth(middle(*_FOOT_POINTS))
    hands = _running_median(middle(*HAND_POINTS), 3)
    face = np.median([side(name) for name in _FACE_POINTS], axis=0)
    shank = _length(ankles - knees)
    leg = shank + _length(knees - hips)
    body = leg + _length(hips - shoulders)
    apart = smooth(_length(side("left_wrist") - side("right_wrist")))
    shoulder_width = smooth(_length(side("left_shoulder") - side("right_shoulder")))
    each_shank = smooth(
        (_length(side("left_ankle") - side("left_knee")) + _length(side("right_ankle") - side("right_knee"))) / 2
    )

    with np.errstate(invalid="ignore", divide="ignore"):
        tilt_deg = np.degrees(np.arctan2(np.abs(shoulders[:, 0] - hips[:, 0]), hips[:, 1] - shoulders[:, 1]))
        if clip.view == "down_the_line":
            bent = (tilt_deg >= _LEAST_TILT_DEG) & (tilt_deg <= _MOST_TILT_DEG)
        else:
            bent = (tilt_deg <= _MOST_SIDEWAYS_DEG) & (hips[:, 1] - shoulders[:, 1] >= _LEAST_TRUNK * leg)
        hip_height = ankles[:, 1] - hips[:, 1]
        legs = hip_height >= _LEAST_HIP_HEIGHT * each_shank
        if clip.view == "face_on":
            legs &= hip_height >= _LEAST_HIP_HEIGHT_FRONT * shoulder_width
        low = (smooth(hands)[:, 1] - hips[:, 1]) / (ankles[:, 1] - hips[:, 1])
        hands_low = (low >= _HANDS_BAND[0]) & (low <= _HANDS_BAND[1])
        most_apart = _MOST_HANGING_APART if without_putter else _MOST_HANDS_APART
        hands_together = (apart <= most_apart * body) & (np.abs(hands[:, 0] - feet[:, 0]) <= _MOST_HANDS_ASIDE * body)
        feet_still = _moved(times_s, feet) <= _MOST_FEET_MOVE * body
        trunk_still = np.maximum(_moved(times_s, hips), _moved(times_s, shoulders)) <= _MOST_TRUNK_MOVE * body
    checks = {
        "bent hips": bent,
        "nearly straight legs": legs,
        "the hands between hip and knee height": hands_low,
        HANDS_HANGING if without_putter else HANDS_TOGETHER: hands_together,
        "still feet": feet_still,
        "a still trunk": trunk_still,
    }
    in_view = np.isfinite(body)
    address_like = in_view & np.logical_and.reduce(list(checks.values()))
    return Signals(
        view=clip.view,
        times_s=times_s,
        body_px=body,
        feet_px=feet,
        hips_px=hips,
        shoulders_px=shoulders,
        hands_px=hands,
        hands_moved_px=_moved(times_s, hands),
        feet_move=~feet_still,
        swing_px=_swing(points, hands, feet, view=clip.view),
        gaze_px=smooth(np.concatenate([face - middle("ear"), side("left_ear") - side("right_ear")], axis=1)),
        address_like=close_gaps(times_s, address_like, shortest_s=_FLICKER_S) & in_view,
        seen=seen,
        lacking={what: ~held for what, held in checks.items()} if in_view.any() else {},
    )


def _swing(points: Floats, hands: Floats, feet: Floats, *, view: View) -> Floats:
    if view == "face_on":
        return hands[:, :1] - feet[:, :1]
    across = [
        points[:, LANDMARK_INDEX[f"left_{part}"]] - points[:, LANDMARK_INDEX[f"right_{part}"]]
        for part in ("shoulder", "elbow")
    ]
    return _running_median(np.concatenate(across, axis=1), 3)


def _bridge(times_s: Floats, points: Floats) -> tuple[Floats, Flags]:
    """Interpolate short gaps linearly; leave long ones NaN."""
    needed = [LANDMARK_INDEX[name] for name in _NEEDED]
    seen = np.asarray(np.isfinite(points[:, needed]).all(axis=(1, 2)), dtype=np.bool_)
    filled = np.where(seen[:, None, None], points, np.nan)
    found = np.flatnonzero(seen)
    if len(found) < 2:
        return filled, seen
    for before, after in itertools.pairwise(found):
        span = times_s[after] - times_s[before]
        if after - before == 1 or span > _LONGEST_GAP_S:
            continue
        inside = slice(before + 1, after)
        share = ((times_s[inside] - times_s[before]) / span)[:, None, None]
        filled[inside] = (1 - share) * filled[before] + share * filled[after]
    return filled, seen


def _running_median(values: Floats, size: int) -> Floats:
    """Return the running median over `size` frames, ignoring NaN; NaN stays NaN."""
    half = size // 2
    padded = np.pad(values, [(half, half)] + [(0, 0)] * (values.ndim - 1), constant_values=np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(padded, size, axis=0)
    result = np.full_like(values, np.nan)
    seen = np.isfinite(values).all(axis=tuple(range(1, values.ndim)))
    if seen.any():
        result[seen] = medians_seen(windows[seen], axis=-1)
    return result


def _moved(times_s: Floats, points: Floats) -> Floats:
    """Return how far a point moves from just before to just after each frame, pixels."""
    moved = np.zeros(len(times_s))
    for index, now in enumerate(times_s):
        before = points[(times_s >= now - _MOVE_SPAN_S) & (times_s <= now)]
        after = points[(times_s >= now) & (times_s <= now + _MOVE_SPAN_S)]
        moved[index] = _length(np.median(after, axis=0) - np.median(before, axis=0))
    return moved


def _length(vectors: Floats) -> Floats:
    length: Floats = np.hypot(vectors[..., 0], vectors[..., 1])
    return length
