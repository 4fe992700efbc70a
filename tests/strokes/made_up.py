"""Strokes that nobody made: closed forms, for tests of what shows, stores and compares them.

The hands go back by minimum jerk (Flash and Hogan 1985), x = A (10 τ³ − 15 τ⁴ + 6 τ⁵), and come through as a quarter of
a sine whose speed is greatest at impact.
"""

import numpy as np

from putt_posture.values import STROKE_EVENTS, Estimate, Stroke, StrokePath, Strokes, absent

BACK_S, THROUGH_S, FOLLOW_S = 0.67, 0.32, 0.38
_SIZES = {"hands": 0.43, "putter_head": 1.0, "head": 0.02, "sternum": 0.05, "hips": 0.03, "knees": 0.01}
"""How far each point moves, as a share of the putter head's way."""


def swing_at(times_s, *, start_s=1.0, length=24.0, back_s=BACK_S, through_s=THROUGH_S, follow_s=FOLLOW_S):
    """Return where the putter head is along the line, (N,) cm from address, + = toward the target."""
    t = np.asarray(times_s) - start_s
    tau = np.clip(t / back_s, 0, 1)
    place = -length * (10 * tau**3 - 15 * tau**4 + 6 * tau**5)
    down = np.clip((t - back_s) / through_s, 0, 1)
    place = np.where(t > back_s, -length * np.cos(np.pi / 2 * down), place)
    after = np.clip((t - back_s - through_s) / follow_s, 0, 1)
    return np.where(t > back_s + through_s, 1.2 * length * np.sin(np.pi / 2 * after), place)


def make_stroke(view="face_on", *, number=1, start_s=1.0, length=24.0, kind="putt", numbers=None):
    """Return one stroke as measured."""
    times = np.arange(start_s - 0.5, start_s + 2.2, 1 / 60)
    along = swing_at(times, start_s=start_s, length=length)
    way = {"face_on": along, "down_the_line": -0.012 * along**2 / 24}[view]
    paths = {
        name: StrokePath(
            point=name,
            times_s=times,
            moved_cm=np.stack([share * way, share * 0.1 * along**2 / 24], axis=1),
            sd_cm=np.full((len(times), 2), 0.15),
            from_ball_cm=(-2.0, {"putter_head": 0.0, "hands": 71.0}.get(name, 120.0)),
        )
        for name, share in _SIZES.items()
    }
    at = np.cumsum([start_s, BACK_S, THROUGH_S, FOLLOW_S])
    events = {
        name: Estimate(value=float(time), standard_uncertainty=0.006, unit="s", view=view, method="made up")
        for name, time in zip(STROKE_EVENTS, at, strict=True)
    }
    return Stroke(
        view=view,
        number=number,
        kind=kind,
        why="The ball leaves." if kind == "putt" else "The ball stays.",
        events=events,
        numbers=numbers or {},
        paths=paths,
    )


def make_strokes(*, count=1, numbers=None, together=True, **changes):
    """Return the strokes of a lesson, seen in both views."""
    of = {
        view: tuple(make_stroke(view, number=k + 1, start_s=1.0 + 6 * k, **changes) for k in range(count))
        for view in ("down_the_line", "face_on")
    }
    return Strokes(of=of, numbers=numbers or {}, shown=dict.fromkeys(of, 0), together=together, counted=count)


def no_strokes(why="No stroke was seen in the clips."):
    """Return what a lesson holds whose clips show no stroke."""
    return Strokes(
        of={"down_the_line": (), "face_on": ()}, numbers={"backswing_time": absent(why, unit="s")}, why_none=why
    )
