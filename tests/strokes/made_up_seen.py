"""What nobody saw of strokes: points that go by closed forms, for tests of what keeps and measures them again."""

import numpy as np
from attrs import evolve

from putt_posture.values import STROKE_EVENTS, Estimate, Frame, SeenStroke, SeenStrokes, absent


def make_seen_stroke(result, *, start_s=3.3, kind="putt", seed=1, events=True, stills=True):
    """Return one stroke of a view, from the landmarks of its setup, with every series filled and some gaps."""
    chance = np.random.default_rng(seed)
    times = start_s - 0.5 + np.arange(40) / 30
    marks = result.landmarks
    points = marks.points_px[:1] + chance.normal(0, 0.7, (len(times), 33, 2))
    bare = SeenStroke.without_putter(
        view=marks.view,
        times_s=times,
        address_s=(float(times[0]), start_s),
        stroke_s=(start_s, float(times[-1])),
        points_px=points,
        ball_leaves_s=Estimate(
            value=start_s + 0.99, standard_uncertainty=0.004, unit="s", view=marks.view, method="made up", frames=3
        )
        if kind == "putt"
        else absent("The ball stays.", unit="s"),
        why="The ball leaves." if kind == "putt" else "The ball stays.",
    )
    head = np.stack([500 + 9 * np.sin(times), 900 + times / 3], axis=1)
    head[3] = np.nan
    seen = evolve(
        bare,
        kind=kind,
        camera_px=np.eye(2, 3) + chance.normal(0, 1e-4, (len(times), 2, 3)),
        camera_sd_px=0.31,
        shaft_px=np.stack([head - (3, 400), head], axis=1),
        putter_head_px=head,
        putter_head_sd_px=chance.uniform(0.4, 1.0, len(times)),
        ball_px=head + 7,
        ball_sd_px=np.full(len(times), 0.25),
        notes=("Two frames were lost.",),
    )
    if not events:
        return seen
    count = len(STROKE_EVENTS)
    at_s = start_s + np.array([0.0, 0.67, 0.99, 1.3])
    rows = [0] * count
    at_events = evolve(
        marks,
        times_s=at_s,
        setup_index=np.arange(count),
        points_px=marks.points_px[rows] + np.arange(count)[:, None, None] * 3.3,
        visibility=marks.visibility[rows],
        depth=marks.depth[rows],
        masks=marks.masks[rows],
        outlines=marks.outlines[rows],
        notes=("A hand was hidden.",),
    )
    pictures = tuple(Frame(time_s=float(time), picture=result.still.picture) for time in at_s)
    return evolve(seen, at_events=at_events, event_names=STROKE_EVENTS, stills=pictures if stills else ())


def with_seen_strokes(lesson, *, count=2, stills=True):
    """Return a lesson whose clips showed some strokes, the first a practice stroke without looked-at events."""
    views = {
        view: evolve(
            result,
            strokes=SeenStrokes(
                view=view,
                strokes=tuple(
                    make_seen_stroke(
                        result,
                        start_s=3.3 + 5 * k,
                        kind="practice" if k == 0 and count > 1 else "putt",
                        seed=k,
                        events=k > 0 or count == 1,
                        stills=stills,
                    )
                    for k in range(count)
                ),
                notes=("The camera moved a little.",),
            ),
        )
        for view, result in lesson.views.items()
    }
    return evolve(lesson, views=views)
