"""What became of the ball in one stroke: it left, and when; it stayed; or nothing is known of it.

A ball that is seen rolling tells its first motion best. Where it is gone from its place and was not seen rolling, it
left between the last frame that shows it there and the first that does not.
"""

import math
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.scene.ball_roll import Roll
from putt_posture.scene.ball_watch import BallSight
from putt_posture.values import VIEW_TITLES, Estimate, Floats, StrokeKind, View, absent

__all__ = ["FollowedBall", "judge_ball", "leaves_within", "no_ball"]

_GONE_SHARE: Final = 0.8
"""Share of the frames after the last with the ball at its place that must show its place empty."""
_GONE_FRAMES: Final = 3
_SLACK_S: Final = 0.05
"""A ball that has moved by less than a third of its radius still looks as if it lay there; down the line that takes it
some 20 ms."""
_LATE_SD_S: Final[dict[View, float]] = {"down_the_line": 0.012, "face_on": 0.002}
"""By how much the same makes the last frame with the ball there late, one sigma, s."""
_FRAMES_SD: Final = 1 / math.sqrt(12)
_ROLLING_SHUTTER_S: Final = 0.001
"""One sigma of the time of a place in the picture against the file's time of the frame, s: a phone reads the rows of a
picture one after the other, in 8 to 20 ms, and a ball rolls over few of them (from memory)."""


@frozen(kw_only=True, eq=False)
class FollowedBall:
    """The ball of one stroke, crop pixels.

    Attributes
    ----------
    points_px : (N, 2)
        At rest and rolling; NaN where not seen.
    sd_px : (N,)
    leaves_s : Estimate
    kind : StrokeKind
    why : str
    notes : tuple of str
    """

    points_px: Floats = field(repr=False)
    sd_px: Floats = field(repr=False)
    leaves_s: Estimate
    kind: StrokeKind
    why: str
    notes: tuple[str, ...] = ()


def no_ball(frames: int, *, kind: StrokeKind, why: str, view: View, notes: tuple[str, ...] = ()) -> FollowedBall:
    """Return that no ball was followed.

    Parameters
    ----------
    frames : int
        How many there are.
    kind : StrokeKind
        Whether it was a putt all the same.
    why : str
        One sentence.
    view : View
        That the frames are of.
    notes : tuple of str
        Sentences for the coach.

    Returns
    -------
    FollowedBall
        NaN in every frame.
    """
    return FollowedBall(
        points_px=np.full((frames, 2), np.nan),
        sd_px=np.full(frames, np.nan),
        leaves_s=absent(why, unit="s", view=view),
        kind=kind,
        why=why,
        notes=notes,
    )


def leaves_within(times_s: Floats, sights: list[BallSight]) -> tuple[float, float]:
    """Return between which clip times the ball can have left, by its place of rest alone, s.

    Parameters
    ----------
    times_s : (N,)
        Of the frames; at least one.
    sights : list of BallSight
        What each shows.

    Returns
    -------
    float, float
        The first and the last time, s.
    """
    states = np.array([each.state for each in sights])
    left = _left_between(states)
    if left is not None:
        return float(times_s[left[0]]) - _SLACK_S, float(times_s[left[1]])
    there = np.flatnonzero(states == "there")
    return float(times_s[there[-1] if there.size else 0]) - _SLACK_S, float(times_s[-1])


def judge_ball(
    times_s: Floats, sights: list[BallSight], roll: Roll | None, *, rest_px: Floats, rest_sd_px: float, view: View
) -> FollowedBall:
    """Say what became of the ball.

    Parameters
    ----------
    times_s : (N,)
        Of the frames.
    sights : list of BallSight
        What each shows.
    roll : Roll or None
        As `fit_roll` found it.
    rest_px : (2,)
        Centre of the ball at rest.
    rest_sd_px : float
        One sigma of it.
    view : View
        That the frames are of.

    Returns
    -------
    FollowedBall
    """
    states = np.array([each.state for each in sights])
    there, gone = np.flatnonzero(states == "there"), np.flatnonzero(states == "gone")
    left = _left_between(states)
    leaves, kind, why = _verdict(times_s, states, roll, left, view)
    points, sd = np.full((len(times_s), 2), np.nan), np.full(len(times_s), np.nan)
    until = leaves.value if leaves else math.inf
    resting = [k for k in there if times_s[k] <= until]
    points[resting], sd[resting] = rest_px, rest_sd_px
    notes = []
    if roll is not None:
        rolling = np.isfinite(roll.points_px[:, 0])
        points[rolling], sd[rolling] = roll.points_px[rolling], roll.sd_px
        back = [k for k in there if times_s[k] > until + 0.3]
        if len(back) >= _GONE_FRAMES:
            notes.append(
                f"{VIEW_TITLES[view]} another ball lies at the same place {times_s[back[0]] - until:.1f} s after the "
                "putt; it is not taken for the one that was putted."
            )
    if there.size and kind != "putt" and (states == "covered").mean() > 0.5:
        notes.append(
            f"{VIEW_TITLES[view]} the ball's place is hidden, by the putter head or a foot, in "
            f"{(states == 'covered').sum()} of {len(states)} frames."
        )
    if kind == "practice" and gone.size == len(states):
        notes.append(f"{VIEW_TITLES[view]} no ball lies where the still shows one.")
    return FollowedBall(points_px=points, sd_px=sd, leaves_s=leaves, kind=kind, why=why, notes=tuple(notes))


def _left_between(states: Floats) -> tuple[int, int] | None:
    """Return the last frame with the ball at its place, and the first of those without it up to the end or another."""
    there = np.flatnonzero(states == "there")
    if there.size == 0:
        return None
    # A ball that is rolled in afterwards is there again: the first long time without a ball counts.
    for last in there:
        later = there[there > last]
        end = later[0] if later.size else len(states)
        after = states[last + 1 : end]
        empty = np.flatnonzero(after == "gone")
        if empty.size >= _GONE_FRAMES and (after[empty[0] :] == "gone").mean() >= _GONE_SHARE:
            return int(last), int(last + 1 + empty[0])
    return None


def _verdict(
    times: Floats, states: Floats, roll: Roll | None, left: tuple[int, int] | None, view: View
) -> tuple[Estimate, StrokeKind, str]:
    if roll is not None:
        sd = math.hypot(roll.leaves_sd_s, _ROLLING_SHUTTER_S)
        leaves = Estimate(
            value=roll.leaves_s,
            standard_uncertainty=sd,
            unit="s",
            view=view,
            frames=roll.spots,
            method="its roll taken back to its place of rest",
            budget={"roll": roll.leaves_sd_s, "rolling shutter": _ROLLING_SHUTTER_S},
        )
        return leaves, "putt", f"The ball rolls away; it is seen rolling in {roll.spots} frames."
    if left is not None:
        last, first = left
        gap = float(times[first] - times[last])
        leaves = Estimate(
            value=float(times[last]) + gap / 2,
            standard_uncertainty=math.hypot(gap * _FRAMES_SD, _LATE_SD_S[view], _ROLLING_SHUTTER_S),
            unit="s",
            view=view,
            frames=2,
            method="between the last frame with it at its place and the first without",
        )
        return leaves, "putt", "The ball is gone from its place after the stroke; it was not seen rolling."
    if (states == "there").any():
        last = int(np.flatnonzero(states == "there")[-1])
        after = len(states) - 1 - last
        if after < 0.2 * len(states):
            why = "The ball stays at its place."
            return absent(why, unit="s", view=view), "practice", why
        why = f"The ball's place is hidden in the last {after} frames, so that it is not known whether it left."
        return absent(why, unit="s", view=view), "unsure", why
    if (states == "gone").mean() > 0.5:
        why = "No ball lies at the putter, and none rolls away."
        return absent(why, unit="s", view=view), "practice", why
    why = "The ball is hidden through the whole stroke, by the putter head or a foot."
    return absent(why, unit="s", view=view), "unsure", why
