"""When a stroke starts, is at its top, meets the ball and ends.

No threshold tells the start: the first crossing of 2 mm comes 0.09 s late on a backswing of 0.67 s. A swing with
unknown times and shape is laid over the frames (`swing_model`), with the noise that the same clip has at address. It is
laid over the putter head where that was followed, else over the hands; down the line, where hands move mostly toward
the camera, over hands, elbows and shoulders along the direction in which they move most. Times that go in and come out
are clip time in seconds; between, they are real seconds.
"""

import math
from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np
from attrs import evolve, field, frozen

from putt_posture.strokes.noise import measure_noise
from putt_posture.strokes.smoothing import smooth_series
from putt_posture.strokes.swing_model import AFTER_IMPACT_S, SwingFit, fit_finish, fit_swing
from putt_posture.values import (
    EVENTS_BY_HAND,
    HAND_POINTS,
    LANDMARK_INDEX,
    STROKE_EVENTS,
    Estimate,
    Floats,
    SeenStroke,
    StrokeEvent,
    absent,
    medians_seen,
)

__all__ = ["find_events"]

_ROUGH_HZ: Final = 6.0
"""Cutoff for rough times only."""
_LONGEST_BACK_S: Final = 2.2
"""Top to impact is looked for no farther back than this."""
_BEFORE_TOP_S: Final = 2.2
"""Frames are used from this long before the top, s: backswing, and stillness."""
_MOST_FRAMES: Final = 160
"""More are averaged in neighbours: 240 a second tell no more than 80 where noise is correlated."""
_ON_ITS_WAY: Final = 0.4
"""A stroke goes back until here, as a share of its farthest from its place, and the way through comes after."""
_LEAST_SEEN: Final = 0.6
_LONGEST_GAP_S: Final = 0.5
"""A point is followed where it is seen in that share of the frames from the start to impact and near each event."""
_LEAST_LENGTH: Final = 5.0
"""Least backswing, in standard deviations of one frame."""
_MOST_MISFIT: Final = 0.12
"""What a swing may leave over, as a share of the backswing's length."""
_MOST_UNSURE_S: Final = 0.12
_AGREE: Final = 2.5
"""Two times of impact that lie no farther apart, in standard uncertainties of their difference, may be the same."""
_COMES_BACK: Final = {"the putter head": 0.04, "the hands": 0.1, "the upper body": 0.12}
"""How near to its place at address each is at impact, as a share of the backswing: some 1 cm (judged)."""
_LONGEST_FOLLOW_S: Final = 1.5
_HELD_S: Final = 0.15
"""Frames after the farthest point that are used, s."""
_UNLIKE_MODEL: Final = 0.004
_UNLIKE_S: Final = 0.15
"""How far real swings wander from the shapes of the model, as a share of the length, and over what time, s. Constant
acceleration, whose force turns at once, does so by 0.003 to 0.005 (computed)."""
_SMALLEST: Final = 1e-4
"""Least noise, as a share of the length: numbers without any noise have no covariance to divide by."""
_HOW: Final[dict[StrokeEvent, str]] = {"start": "start", "top": "turn", "impact": "return"}
_OUTSIDE: Final[dict[StrokeEvent, float]] = {"start": 0.015, "top": 0.012, "impact": 0.0}
"""One sigma for swings that no shape of the model has, as a share of the backswing's time. Measured: constant
acceleration both ways is told 31 ms early at the start and 9 ms late at the top, minimum jerk within 5 ms
(`tests/strokes/test_events.py`); such forces that turn at once are rare in people (judged). A force that builds up over
0.1 s hides the first 40 ms, in which it moves the head by less than a millimetre."""
_TOWARD_CAMERA_S: Final = {"the putter head": 0.045, "the hands": 0.1, "the upper body": 0.1}
"""One sigma down the line, s: what moves toward the camera and back is seen as a small way with a shape of its own. In
rendered strokes the start by the upper body was 0.2 s off, the top by the head 0.08 s."""
_BALL_AWAY_S: Final = 0.012
"""One sigma of the ball's first motion down the line, s: it rolls away from the camera, behind the head at first. Nine
rendered balls were told 21 ms early to 14 ms late."""
_NOT_FOLLOWED: Final = "Neither the putter head nor the hands were seen well enough through the stroke to time it."


@frozen(kw_only=True, eq=False)
class _Motion:
    """What moves in the stroke, along its own direction; negative at the top. Times are real seconds."""

    name: str
    times_s: Floats = field(repr=False)
    places: Floats = field(repr=False)
    covariance: Floats = field(repr=False)
    length: float
    top_s: float
    around_s: float

    def part(self, start_s: float, stop_s: float) -> tuple[Floats, Floats, Floats]:
        """Return times, places and covariance between two times, neighbours averaged where there are many."""
        inside = np.flatnonzero((self.times_s >= start_s) & (self.times_s <= stop_s))
        every = -(-len(inside) // _MOST_FRAMES)
        groups = np.arange(len(inside)) // max(every, 1)
        mean = (groups == np.arange(groups[-1] + 1 if len(groups) else 0)[:, None]).astype(np.float64)
        mean /= np.maximum(mean.sum(axis=1, keepdims=True), 1)
        covariance = mean @ self.covariance[np.ix_(inside, inside)] @ mean.T
        return mean @ self.times_s[inside], mean @ self.places[inside], covariance

    def seen_near(self, time_s: float) -> bool:
        """Return whether there are frames shortly before and after a time."""
        after = np.searchsorted(self.times_s, time_s)
        if after in (0, len(self.times_s)):
            return False
        return bool(self.times_s[after] - self.times_s[after - 1] <= _LONGEST_GAP_S)


def find_events(
    seen: SeenStroke,
    *,
    time_stretch: float = 1.0,
    placed: Mapping[StrokeEvent, float] | None = None,
) -> dict[StrokeEvent, Estimate]:
    """Find the four events of one stroke.

    Impact is the ball's first motion, or else when what is followed is back at its place of the address. Where a
    placed event is not where one was found, the others are found again around it.

    Parameters
    ----------
    seen : SeenStroke
    time_stretch : float
        Clip seconds in a real second.
    placed : mapping of StrokeEvent to float, optional
        Clip times that the coach gave by hand for this stroke.

    Returns
    -------
    dict of StrokeEvent to Estimate
        Clip times, s, all four names; absent with the reason. Budget: what noise and lost frames do (``noise``), and
        what not knowing the shape of the swing does (``shape``). A placed one keeps the automatic value.
    """
    events = _find(seen, time_stretch, {})
    if not placed:
        return events
    moved = {
        name
        for name, time_s in placed.items()
        if not events[name] or abs(events[name].value - time_s) > events[name].margin
    }
    again = _find(seen, time_stretch, placed) if moved else events
    step_s = float(np.median(np.diff(seen.times_s))) if len(seen.times_s) > 1 else 0.0
    result: dict[StrokeEvent, Estimate] = {}
    for name, own in events.items():
        automatic = own.value if own else None
        if name in placed:
            result[name] = Estimate(
                value=placed[name],
                standard_uncertainty=step_s,
                unit="s",
                view=seen.view,
                frames=1,
                method="placed by hand",
                budget={"frames": step_s},
                by_hand=(EVENTS_BY_HAND,),
                automatic=automatic,
            )
        elif moved and again[name] and name != "impact":
            result[name] = evolve(again[name], by_hand=(EVENTS_BY_HAND,), automatic=automatic)
        else:
            result[name] = own
    return result


def _find(seen: SeenStroke, time_stretch: float, placed: Mapping[StrokeEvent, float]) -> dict[StrokeEvent, Estimate]:
    """Return the events as this view shows them, around placed ones."""
    known = {name: (time_s / time_stretch, 0.005) for name, time_s in placed.items()}
    ball = _by_ball(seen, time_stretch) if seen.ball_leaves_s else None
    if ball is None or "impact" in known:
        told, reason = _by_motion(seen, time_stretch, known, ball)
    else:
        sd = max(ball.standard_uncertainty / time_stretch, 1e-3)
        told, reason = _by_motion(seen, time_stretch, {**known, "impact": (ball.value / time_stretch, sd)}, ball)
        if not told:
            # A swing that fits without the ball alone: what left was not this ball, or the swing is hardly seen.
            told, reason = _by_motion(seen, time_stretch, known, None)
            if told and _agree(told["impact"], ball):
                told["impact"] = ball
    if told:
        return told
    events = {name: absent(reason, unit="s", view=seen.view) for name in STROKE_EVENTS}
    if ball is not None:
        events["impact"] = ball
    return events


def _agree(one: Estimate, other: Estimate) -> bool:
    return abs(one.value - other.value) <= _AGREE * math.hypot(one.standard_uncertainty, other.standard_uncertainty)


def _by_motion(
    seen: SeenStroke, time_stretch: float, known: Mapping[StrokeEvent, tuple[float, float]], ball: Estimate | None
) -> tuple[dict[StrokeEvent, Estimate], str]:
    """Return the events by what moves, with impact by the ball where one is given; or nothing, and why."""
    reason, told = _NOT_FOLLOWED, dict[StrokeEvent, Estimate]()
    for motion in _motions(seen, time_stretch, known):
        fit = _fit(motion, known)
        why_not = _why_not(motion, fit)
        if why_not:
            reason = why_not
            continue
        # What the head does not show, because it was lost around then, the hands may.
        found = _told(seen, motion, fit, time_stretch, ball)
        told = {name: told.get(name) or each for name, each in found.items()}
        if all(told.values()):
            break
    return told, reason


def _motions(
    seen: SeenStroke, time_stretch: float, known: Mapping[StrokeEvent, tuple[float, float]]
) -> Iterator[_Motion]:
    """Yield what can be followed through the stroke, the best first."""

    def in_still(points: Floats) -> Floats:
        turned = points @ seen.camera_px[:, :, :2].transpose(0, 2, 1) + seen.camera_px[:, None, :, 2]
        return np.asarray(turned)

    def of(*parts: str) -> Floats:
        return in_still(
            seen.points_px[:, [LANDMARK_INDEX[f"{side}_{part}"] for part in parts for side in ("left", "right")]]
        )

    head, hands = in_still(seen.putter_head_px[:, None]), of(*HAND_POINTS).mean(axis=1, keepdims=True)
    tried = [("the putter head", head), ("the hands", hands)]
    if seen.view == "down_the_line":
        tried[1] = ("the upper body", np.concatenate([hands, of("elbow", "shoulder")], axis=1))
    for name, points in tried:
        sd_px = seen.putter_head_sd_px if name == "the putter head" else np.full(len(points), np.nan)
        motion = _motion(name, points.reshape(len(points), -1), sd_px, seen, time_stretch, known)
        if motion is not None:
            yield motion


def _motion(
    name: str,
    points: Floats,
    sd_px: Floats,
    seen: SeenStroke,
    time_stretch: float,
    known: Mapping[StrokeEvent, tuple[float, float]],
) -> _Motion | None:
    """Return the motion of points (N, D) along the direction in which they move most; None where it is not seen."""
    there = np.isfinite(points).all(axis=1)
    times_s, points, sd_px = seen.times_s[there] / time_stretch, points[there], sd_px[there]
    still_s = (seen.address_s[0] / time_stretch, seen.address_s[1] / time_stretch)
    stroke_s = (seen.stroke_s[0] / time_stretch, seen.stroke_s[1] / time_stretch)
    during = (times_s >= stroke_s[0] - 0.1) & (times_s <= stroke_s[1] + 0.1)
    rest = (times_s >= still_s[0]) & (times_s <= still_s[1])
    if during.sum() < 8 or rest.sum() < 5:
        return None
    noise = measure_noise(times_s, points, still_s=still_s)
    moved = points - medians_seen(points[rest])
    scales = np.maximum(np.hypot(noise.quick, noise.sway), 1e-6 + 1e-3 * np.ptp(points, axis=0))
    if name != "the upper body":
        scales = np.full_like(scales, 1.0)
    way = np.linalg.svd(moved[during] / scales, full_matrices=False)[2][0]
    places = (moved / scales) @ way
    noise = measure_noise(times_s, places, still_s=still_s)
    smooth = smooth_series(times_s, places, noise, cutoff_hz=_ROUGH_HZ, longest_gap_s=1.0)
    curve, rate = smooth.values[:, 0], smooth.rates[:, 0]
    if "impact" in known:
        fastest = int(np.argmin(np.abs(times_s - known["impact"][0])))
    else:
        far = np.flatnonzero(during & (np.abs(curve) >= _ON_ITS_WAY * np.abs(curve[during]).max()))
        fastest = int(
            np.argmax(np.where(during & (times_s > times_s[far[0]]), -np.sign(curve[far[0]]) * rate, -np.inf))
        )
    if rate[fastest] < 0:
        places, curve, rate = -places, -curve, -rate
    before = np.flatnonzero((times_s <= times_s[fastest]) & (times_s > times_s[fastest] - _LONGEST_BACK_S))
    length = float(-curve[before].min())
    top_s = float(times_s[before[np.flatnonzero(curve[before] <= -0.96 * length)[-1]]])
    if "top" in known:
        top_s = known["top"][0]
    if length <= 0 or times_s[fastest] <= top_s:
        return None
    later = np.flatnonzero((times_s > top_s) & (curve >= 0))
    around_s = float(times_s[later[0]]) if len(later) else float(times_s[fastest])
    if "impact" in known:
        around_s = known["impact"][0]
    unlike = (_UNLIKE_MODEL * length) ** 2 * np.exp(-(((times_s[:, None] - times_s[None]) / _UNLIKE_S) ** 2))
    extra = np.maximum(np.nan_to_num(sd_px) ** 2 - noise.quick[0] ** 2, 0.0) + (_SMALLEST * length) ** 2
    return _Motion(
        name=name,
        times_s=times_s,
        places=places,
        covariance=noise.covariance(times_s) + unlike + np.diag(extra),
        length=length,
        top_s=top_s,
        around_s=around_s,
    )


def _fit(motion: _Motion, known: Mapping[StrokeEvent, tuple[float, float]]) -> SwingFit:
    """Fit the swing; once more with more noise where it leaves over more than the noise at address."""
    times_s, places, covariance = motion.part(motion.top_s - _BEFORE_TOP_S, motion.around_s + AFTER_IMPACT_S)
    places_of = {"start": 0, "top": 1, "impact": 2}

    def fit(scale: float) -> SwingFit:
        return fit_swing(
            times_s,
            places,
            covariance * scale**2,
            length=motion.length,
            top_s=motion.top_s,
            around_s=motion.around_s,
            comes_back=_COMES_BACK[motion.name],
            known={places_of[name]: value for name, value in known.items() if name in places_of},
        )

    first = fit(1.0)
    return fit(first.tightness) if first.tightness > 1.2 else first


def _why_not(motion: _Motion, fit: SwingFit) -> str:
    """Return why no event can be taken from a fit; empty where they can."""
    in_it = (motion.times_s >= fit.times_s[0]) & (motion.times_s <= fit.times_s[2])
    sd = float(np.sqrt(np.median(np.diag(motion.covariance)[in_it]))) if in_it.any() else np.inf
    if fit.length < _LEAST_LENGTH * sd:
        return f"In this view {motion.name} moved too little to time the stroke."
    if fit.misfit > _MOST_MISFIT * fit.length:
        return f"In this view {motion.name} did not move as in one stroke, back and through."
    step_s = float(np.median(np.diff(motion.times_s)))
    if in_it.sum() * step_s < _LEAST_SEEN * (fit.times_s[2] - fit.times_s[0]):
        return _NOT_FOLLOWED
    return ""


def _told(
    seen: SeenStroke, motion: _Motion, fit: SwingFit, time_stretch: float, ball: Estimate | None
) -> dict[StrokeEvent, Estimate]:
    """Return the four events by a fit, the ball and the way after impact."""
    events: dict[StrokeEvent, Estimate] = {}
    for at, (name, how) in enumerate(_HOW.items()):
        time_s = float(fit.times_s[at])
        # What the family of shapes leaves open is part of the fit; what lies outside of the family was measured.
        noise = float(np.sqrt(max(fit.covariance[at, at] - fit.by_shape_s[at] ** 2, 0.0)))
        by_shape = float(np.hypot(fit.by_shape_s[at], _OUTSIDE[name] * (fit.times_s[1] - fit.times_s[0])))
        by_view = _TOWARD_CAMERA_S[motion.name] if seen.view == "down_the_line" else 0.0
        sd = float(np.linalg.norm([noise, by_shape, by_view]))
        if not motion.seen_near(time_s):
            events[name] = absent(
                f"{_upper(motion.name)} could not be followed near the {name}.", unit="s", view=seen.view
            )
            continue
        if sd > _MOST_UNSURE_S:
            reason = f"There is too much noise to time the {name} of the stroke to a tenth of a second."
            events[name] = absent(reason, unit="s", view=seen.view)
            continue
        events[name] = Estimate(
            value=time_s * time_stretch,
            standard_uncertainty=sd * time_stretch,
            unit="s",
            view=seen.view,
            frames=len(motion.times_s),
            method=f"the {how} of {motion.name}",
            budget={
                "noise": noise * time_stretch,
                "shape": by_shape * time_stretch,
                **({"view": by_view * time_stretch} if by_view else {}),
            },
        )
    if ball is not None:
        events["impact"] = ball
    events["finish"] = _finish(seen, motion, float(fit.times_s[2]), time_stretch)
    return {name: events[name] for name in STROKE_EVENTS}


def _upper(words: str) -> str:
    return words[0].upper() + words[1:]


def _by_ball(seen: SeenStroke, time_stretch: float) -> Estimate:
    found = evolve(seen.ball_leaves_s, unit="s", view=seen.view, method="the ball's first motion")
    if seen.view == "face_on":
        return found
    by_view = _BALL_AWAY_S * time_stretch
    return evolve(
        found,
        standard_uncertainty=float(np.hypot(found.standard_uncertainty, by_view)),
        budget={**found.budget, "view": by_view},
    )


def _finish(seen: SeenStroke, motion: _Motion, impact_s: float, time_stretch: float) -> Estimate:
    """Return the farthest point after impact."""

    def lacking(reason: str) -> Estimate:
        return absent(reason, unit="s", view=seen.view)

    times_s, places, covariance = motion.part(impact_s, impact_s + _LONGEST_FOLLOW_S)
    if len(times_s) < 8:
        return lacking("The clip ends at impact, or what follows was not seen.")
    noise = measure_noise(times_s, places, still_s=(times_s[0], times_s[0]))
    curve = smooth_series(times_s, places, noise, cutoff_hz=_ROUGH_HZ, longest_gap_s=1.0).values[:, 0]
    farthest = int(np.argmax(curve))
    # The first time that it is nearly there: a held finish goes on drifting.
    reached = int(np.flatnonzero(curve >= curve[farthest] - 0.02 * (curve[farthest] - curve[0]))[0])
    if times_s[-1] - times_s[reached] < 2 * (times_s[1] - times_s[0]) or curve[farthest] <= curve[0]:
        return lacking("The clip ends before the finish of the stroke, or the finish was not seen.")
    used = times_s <= times_s[reached] + _HELD_S
    value, sd = fit_finish(
        times_s[used],
        places[used],
        covariance[np.ix_(used, used)],
        impact_s=impact_s,
        length=float(curve[farthest] - curve[0]),
        around_s=float(times_s[reached]),
    )
    by_view = _TOWARD_CAMERA_S[motion.name] if seen.view == "down_the_line" else 0.0
    return Estimate(
        value=value * time_stretch,
        standard_uncertainty=float(np.hypot(sd, by_view)) * time_stretch,
        unit="s",
        view=seen.view,
        frames=int(used.sum()),
        method=f"the farthest point of {motion.name}",
        budget={"noise": sd * time_stretch} | ({"view": by_view * time_stretch} if by_view else {}),
    )
