"""Invented lessons with strokes, as they are shown: numbers, events, paths and stills of strokes that nobody made."""

import numpy as np
from attrs import evolve
from made_up import BACK_S, FOLLOW_S, THROUGH_S, make_stroke

from putt_posture.values import (
    LANDMARK_INDEX,
    STROKE_EVENTS,
    Estimate,
    Frame,
    SeenStroke,
    SeenStrokes,
    Strokes,
    StrokeScatter,
    absent,
)

_CM = {
    "hands_back": (10.3, 0.3), "hands_through": (12.4, 0.4), "hands_rise_back": (1.0, 0.2),
    "hands_rise_through": (1.2, 0.2), "hands_low_point": (-0.6, 0.5), "putter_back": (24.0, 0.6),
    "putter_through": (28.8, 0.8), "putter_rise_back": (2.4, 0.3), "putter_rise_through": (3.0, 0.4),
    "hands_sideways_back": (-0.1, 0.2), "hands_sideways_through": (-0.2, 0.2), "hands_straightness": (0.1, 0.1),
    "putter_sideways_back": (-0.7, 0.2), "putter_sideways_through": (-0.9, 0.2), "head_along": (1.4, 0.3),
    "sternum_along": (-1.1, 0.3), "hips_along": (0.6, 0.2), "knees_along": (-0.2, 0.3), "head_across": (0.5, 0.3),
    "sternum_across": (-0.2, 0.3), "hips_across": (0.1, 0.3), "knees_across": (0.1, 0.3), "head_up": (0.6, 0.2),
    "sternum_up": (-0.5, 0.2), "hips_up": (0.2, 0.2), "knees_up": (0.0, 0.2), "elbow_gap_change_lead": (0.8, 0.6),
    "elbow_gap_change_trail": (1.9, 0.6), "elbow_slide_lead": (0.4, 0.5), "elbow_slide_trail": (1.2, 0.5),
}  # fmt: skip
_DEG = {
    "tilt_change": (1.2, 0.4),
    "rounding_change": (0.4, 1.0),
    "wrist_change": (3.0, 2.5),
    "start_direction": (0.8, 0.6),
}
_S = {"backswing_time": (BACK_S, 0.012), "through_time": (THROUGH_S, 0.008), "follow_time": (FOLLOW_S, 0.02)}
_ACROSS = ("sideways", "straightness", "across", "tilt", "rounding", "elbow", "start_direction")
HEAD_LOST = "The putter head could not be followed: too little of it stands out from the ground."


def make_numbers(*, views=("down_the_line", "face_on"), putter=True, ball_line=False, sure=1.0):
    """Return every number of a stroke by name, with the reason where a view or the putter head is missing."""
    found = {}
    for values, unit in ((_CM, "cm"), (_DEG, "deg"), (_S, "s"), ({"tempo_ratio": (BACK_S / THROUGH_S, 0.07)}, "ratio")):
        for name, (value, sigma) in values.items():
            view = "down_the_line" if any(part in name for part in _ACROSS) else "face_on"
            if unit in ("s", "ratio") and view not in views:
                view = views[0]
            if name.startswith("putter") and not putter:
                found[name] = absent(HEAD_LOST, unit=unit, view=view)
            elif name == "start_direction" and not ball_line:
                found[name] = absent("No target line was given.", unit=unit, view=view)
            elif view not in views:
                found[name] = absent("There is no clip of the view that it needs.", unit=unit)
            else:
                found[name] = Estimate(
                    value=value, standard_uncertainty=sigma * sure, unit=unit, view=view, frames=80, method="the stroke"
                )
    return found


def make_seen(result, stroke, marks, *, stills=True):
    """Return what was seen of a made-up stroke: the setup's own still, its landmarks moved with the hands."""
    path = stroke.paths["hands"]
    times, scale = path.times_s, result.scene.px_per_cm.value
    moved = np.nan_to_num(path.moved_cm) * scale * np.array([result.scene.forward, -1.0])
    still = result.landmarks.points_px[result.still_index].copy()
    for name, at in LANDMARK_INDEX.items():  # down the line both sides are over each other
        side, _, part = name.partition("_")
        if side in ("left", "right") and not np.isfinite(still[at]).all():
            still[at] = still[LANDMARK_INDEX[f"{'left' if side == 'right' else 'right'}_{part}"]]
    for side in ("left", "right"):
        for finger in ("index", "pinky"):
            still[LANDMARK_INDEX[f"{side}_{finger}"]] = marks["hands"][0]
    points = still + np.zeros((len(times), 1, 2))
    arms = list(range(13, 23))
    points[:, arms] += moved[:, None]
    shaft = np.full((len(times), 2, 2), np.nan)
    head = np.full((len(times), 2), np.nan)
    if "putter_head" in stroke.paths:
        butt, sole = (np.array(each) for each in marks["shaft"])
        way = stroke.paths["putter_head"].moved_cm * scale * np.array([result.scene.forward, -1.0])
        head = sole + way
        shaft = np.stack([butt + 0.6 * moved, head], axis=1)
    rows = [int(np.argmin(np.abs(times - stroke.events[name].value))) for name in STROKE_EVENTS]
    seen_marks = result.landmarks
    at_events = evolve(
        seen_marks, times_s=times[rows], setup_index=np.arange(4), points_px=points[rows],
        visibility=seen_marks.visibility[[0] * 4], depth=seen_marks.depth[[0] * 4], masks=seen_marks.masks[[0] * 4],
        outlines=seen_marks.outlines[[0] * 4],
    )  # fmt: skip
    seen = SeenStroke.without_putter(
        view=stroke.view, times_s=times, address_s=(times[0], times[0] + 0.4),
        stroke_s=(stroke.events["start"].value, stroke.events["finish"].value), points_px=points,
        ball_leaves_s=stroke.events["impact"], why=stroke.why,
    )  # fmt: skip
    return evolve(
        seen, kind=stroke.kind, shaft_px=shaft, putter_head_px=head, putter_head_sd_px=np.full(len(times), 2.0),
        at_events=at_events, event_names=STROKE_EVENTS,
        stills=tuple(Frame(time_s=times[row], picture=result.still.picture) for row in rows) if stills else (),
    )  # fmt: skip


def add_strokes(
    lesson, *, kinds=("putt",), views=None, putter=True, together=True, stills=True, numbers=None, warnings=(),
    length=24.0, ball_line=False,
):  # fmt: skip
    """Return a lesson with made-up strokes of these kinds in these views (all of the lesson's where none are named)."""
    views = tuple(lesson.views) if views is None else views
    putts = sum(kind == "putt" for kind in kinds) or len(kinds)
    found = make_numbers(views=views, putter=putter, ball_line=ball_line) | (numbers or {})
    of = dict.fromkeys(("down_the_line", "face_on"), ())
    for view in views:
        of[view] = tuple(
            _without_head(
                make_stroke(
                    view, number=k + 1, start_s=1.0 + 6 * k, kind=kind, numbers=found,
                    length=length * (1 + 0.02 * (k % 3)),
                ),
                putter,
            )
            for k, kind in enumerate(kinds)
        )  # fmt: skip
    at = next((k for k, kind in enumerate(kinds) if kind == "putt"), 0)
    scatter = {}
    if putts >= 10:
        scatter = {
            name: StrokeScatter(sd=0.1, low=0.07, high=0.18, count=putts, unit=each.unit)
            for name, each in found.items()
            if each
        }
    strokes = Strokes(
        of=of, numbers=found, scatter=scatter, shown=dict.fromkeys(views, at), together=together and len(views) == 2,
        counted=putts, warnings=tuple(warnings),
    )  # fmt: skip
    results = {
        view: evolve(
            result,
            strokes=SeenStrokes(
                view=view,
                strokes=tuple(
                    make_seen(result, each, lesson.posture.marks[view], stills=stills) for each in of[view]
                ),
                why_none="" if of[view] else "No stroke was seen in this clip.",
            ),
        )
        for view, result in lesson.views.items()
    }  # fmt: skip
    return evolve(lesson, views=results, strokes=strokes)


def _without_head(stroke, putter):
    if putter:
        return stroke
    return evolve(stroke, paths={name: path for name, path in stroke.paths.items() if name != "putter_head"})


def add_no_stroke(lesson, why="No stroke was seen in the clips: the student stood still to the end."):
    """Return a lesson whose clips were searched for strokes, and none was there."""
    of = {"down_the_line": (), "face_on": ()}
    numbers = {name: absent(why, unit=each.unit) for name, each in make_numbers().items()}
    return evolve(lesson, strokes=Strokes(of=of, numbers=numbers, why_none=why))
