"""All that is measured of the strokes of a lesson."""

import math
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.measures import STROKE_MEASURES
from putt_posture.posture.budget import joint_effect
from putt_posture.posture.plane import Plane
from putt_posture.posture.seen_setup import SeenSetup, see_setup
from putt_posture.posture.shaft_and_ball import SOLE_AHEAD, no_ball, no_shaft
from putt_posture.strokes.angles import ChangeSetting, measure_changes
from putt_posture.strokes.ball import find_start_direction
from putt_posture.strokes.depth_way import USUAL_WAY_SD, DepthWay, usual_way, warp_times
from putt_posture.strokes.durations import measure_durations
from putt_posture.strokes.events import find_events
from putt_posture.strokes.path_numbers import PathSetting, measure_paths
from putt_posture.strokes.paths import PointPath, follow_points
from putt_posture.strokes.putter_scale import PutterScale, find_putter_scale
from putt_posture.strokes.several import choose_kind, choose_shown, find_scatter, join_strokes, join_with_hands
from putt_posture.strokes.square import find_yaw
from putt_posture.strokes.stillness import find_with_hands, measure_stillness
from putt_posture.strokes.stroke_plane import joint_offset, plane_of_stroke, reference_frames, steady
from putt_posture.strokes.two_views import FindEvents, time_strokes
from putt_posture.values import (
    VIEW_TITLES,
    Estimate,
    Floats,
    MeasureName,
    SeenStroke,
    Segment,
    Setup,
    Stroke,
    StrokeEvent,
    Strokes,
    Student,
    View,
    ViewResult,
    medians_seen,
)

__all__ = ["FindEvents", "measure_strokes"]

DEPTH_SD_CM: Final = {True: 2.0, False: 5.0}
"""How well it is known how far a point is from the mid-plane, one sigma, cm: measured in the other view, or as usual
(judged)."""
SAME_WAY_SD: Final = 0.05
OTHER_WAY_SD: Final = 0.15
"""How well the way toward the camera is known from the same stroke, or another, in the other view (judged)."""
_BEFORE_IMPACT: Final[tuple[StrokeEvent, ...]] = ("start", "impact")
_RESTS_ON: Final[Mapping[str, tuple[StrokeEvent, ...]]] = {
    "_back": ("start", "top"),
    "_through": ("impact", "finish"),
    "_low_point": ("top", "finish"),
    "_straightness": ("start", "finish"),
}
"""The events that a number rests on, by how its name ends; others rest on start and impact."""
_ORDER: Final[tuple[View, ...]] = ("face_on", "down_the_line")
"""Face on first: its lengths are the depths of the view down the line."""
_NOT_SEEN: Final = "No stroke was seen in the clips."
_PRACTICE_ONLY: Final = (
    "Only practice strokes were seen, so the numbers of the stroke are theirs: without a ball a stroke may differ."
)
_UNSURE: Final = "Whether the ball left could not be seen, so it is not certain whether these strokes are putts."
_MIXED: Final = "{count} practice stroke{s} {were} left out of the numbers, since a ball was putted as well."


def measure_strokes(
    views: Mapping[View, ViewResult], student: Student, *, events_by: FindEvents = find_events
) -> Strokes | None:
    """Measure the strokes that were seen in one or both views.

    Parameters
    ----------
    views : mapping of View to ViewResult
        As the setup was measured in them; their `strokes` are what was seen.
    student : Student
    events_by : callable, optional
        What finds the events of a seen stroke.

    Returns
    -------
    Strokes or None
        None where no strokes were looked for in any view.
    """
    looked_for = {view: result for view, result in views.items() if result.strokes is not None}
    if not looked_for:
        return None
    setup = see_setup(views, student)
    stretches = {view: result.clip.time_stretch for view, result in looked_for.items()}
    events, same = time_strokes(
        {view: result.strokes for view, result in looked_for.items() if result.strokes is not None},
        stretches=stretches,
        placed={view: _placed(result) for view, result in looked_for.items()},
        events_by=events_by,
    )
    pairs = same.pairs
    strokes = _with_kinds({view: _seen(result) for view, result in looked_for.items()}, pairs)
    of: dict[View, tuple[Stroke, ...]] = {}
    front: list[_Front] = []
    for view in (view for view in _ORDER if view in looked_for):
        measured = []
        for index, seen in enumerate(strokes[view]):
            found = events[view][index]
            ways = {} if view == "face_on" else _ways(seen, found, _beside(index, pairs, front), stretches)
            stroke, paths = _measure_one(seen, index + 1, found, setup, ways, stretches[view])
            measured.append(stroke)
            if view == "face_on":
                front.append((found, paths))
        of[view] = tuple(measured)
    return _join(of, looked_for, pairs)


def _with_kinds(
    strokes: Mapping[View, tuple[SeenStroke, ...]], pairs: Sequence[tuple[int, int]]
) -> dict[View, list[SeenStroke]]:
    """Return the strokes; where one clip does not show what became of the ball, the other tells of the same stroke."""
    told = {view: list(each) for view, each in strokes.items()}
    for of_front, of_side in pairs:
        front, side = strokes["face_on"][of_front], strokes["down_the_line"][of_side]
        if front.kind == "unsure" and side.kind != "unsure":
            told["face_on"][of_front] = _as_in_other(front, side)
        if side.kind == "unsure" and front.kind != "unsure":
            told["down_the_line"][of_side] = _as_in_other(side, front)
    return told


def _as_in_other(seen: SeenStroke, other: SeenStroke) -> SeenStroke:
    return evolve(seen, kind=other.kind, why=f"By the other clip: {other.why}")


def _seen(result: ViewResult) -> tuple[SeenStroke, ...]:
    return () if result.strokes is None else result.strokes.strokes


def _placed(result: ViewResult) -> dict[int, dict[StrokeEvent, float]]:
    """Return the events that the coach placed by hand, by the number of the stroke."""
    placed: dict[int, dict[StrokeEvent, float]] = {}
    for each in result.given.event_times:
        placed.setdefault(each.stroke, {})[each.event] = each.time_s
    return placed


_Front = tuple[Mapping[StrokeEvent, Estimate], Mapping[str, PointPath]]


def _beside(index: int, pairs: Sequence[tuple[int, int]], front: Sequence[_Front]) -> tuple[_Front, float] | None:
    """Return the stroke face on that shows the way along the line of one down the line, and how well it does.

    The same stroke where both clips film one performance, else one of the same student. None without one.
    """
    if not front:
        return None
    same = next((of_front for of_front, of_side in pairs if of_side == index), None)
    return (front[same], SAME_WAY_SD) if same is not None else (front[min(index, len(front) - 1)], OTHER_WAY_SD)


def _ways(
    seen: SeenStroke,
    events: Mapping[StrokeEvent, Estimate],
    front: tuple[_Front, float] | None,
    stretches: Mapping[View, float],
) -> dict[str, DepthWay]:
    """Return how points go toward a camera down the line: away from it where they go toward the target."""
    ways: dict[str, DepthWay] = {}
    if front is not None:
        (other_events, paths), share_sd = front
        times = warp_times(
            seen.times_s, events, other_events, stretch=stretches["face_on"] / stretches["down_the_line"]
        )
        for point, path in paths.items():
            along = path.moved_cm[:, 0]
            known = np.isfinite(along)
            if times is not None and known.sum() > 1:
                ways[point] = DepthWay(
                    toward_cm=-np.interp(times, path.times_s[known], along[known]), share_sd=share_sd
                )
    for point in ("hands", "putter_head"):
        usual = usual_way(point, seen.times_s, events) if point not in ways else None
        if usual is not None:
            ways[point] = DepthWay(toward_cm=-usual, share_sd=USUAL_WAY_SD)
    return ways


def _measure_one(
    seen: SeenStroke,
    number: int,
    events: dict[StrokeEvent, Estimate],
    setup: SeenSetup,
    ways: Mapping[str, DepthWay],
    stretch: float,
) -> tuple[Stroke, dict[str, PointPath]]:
    view = seen.view
    result, scene, still = setup.results[view], setup.scene(view), setup.planes[view]
    plane = plane_of_stroke(seen, still, result)
    way = ways.get("hands")
    yaw = find_yaw(seen, plane, scene, events, way, stretch=stretch) if view == "down_the_line" else scene.yaw
    plane, scene = evolve(plane, yaw_deg=yaw.value), evolve(scene, yaw=yaw)
    changes = ChangeSetting(
        seen=seen, setup=setup, plane=plane, joint_offset_px=joint_offset(result), events=events, stretch=stretch
    )
    paths = follow_points(
        seen,
        plane,
        scene,
        events,
        stretch=stretch,
        depth_sd_cm=DEPTH_SD_CM[len(setup.results) == 2],
        ways=ways,
        head_toward_cm=_head_toward(setup, view),
        at_events=changes.event_plane(),
        putter_scale=_putter_scale(setup, seen, events, stretch) if view == "face_on" else None,
    )
    ball_along = setup.ball(view).along(still) if scene.ball_px is not None else math.nan
    paths_of = PathSetting(
        view=view,
        events=events,
        why_no_putter=no_shaft(scene)
        if scene.without_putter
        else "The putter head was not followed through the stroke.",
        why_no_ball=no_ball(scene) if scene.ball_px is None else "",
        ball_along_cm=ball_along,
        roll_sd_deg=scene.roll.standard_uncertainty,
        hands_place_sd_cm=_hands_place_sd(setup, view),
        along_line_cm=None if way is None else -way.toward_cm,
    )
    found: dict[str, Estimate] = {
        **measure_durations(events, time_stretch=stretch),
        **measure_paths(paths, paths_of),
        **measure_stillness(paths, events, view=view),
        **measure_changes(changes),
    }
    if view == "down_the_line":
        found["start_direction"] = find_start_direction(
            seen, setup.scene(view), result.given.target_px, size_px=result.landmarks.size_px
        )
    numbers = {
        name: _say_by_hand(name, found[name], events)
        for name, record in STROKE_MEASURES.items()
        if view in record.views
    }
    stroke = Stroke(
        view=view,
        number=number,
        kind=seen.kind,
        why=seen.why,
        events=events,
        numbers=numbers,
        paths={name: path.as_value(ball_along) for name, path in paths.items()},
        with_hands=find_with_hands(found, paths, events) if view == "face_on" else {},
        doubts=seen.notes,
    )
    return stroke, paths


def _say_by_hand(name: str, number: Estimate, events: Mapping[StrokeEvent, Estimate]) -> Estimate:
    """Return a number with the events by hand that it rests on; durations know theirs."""
    if not number or STROKE_MEASURES[name].group == "timing":
        return number
    ends = next((ends for part, ends in _RESTS_ON.items() if name.endswith(part)), _BEFORE_IMPACT)
    by_hand = dict.fromkeys(each for event in ends for each in events[event].by_hand)
    return evolve(number, by_hand=tuple(by_hand)) if by_hand else number


def _head_toward(setup: SeenSetup, view: View) -> float:
    """Return how much nearer to the camera than the mid-plane the putter head is at address, cm."""
    scene = setup.scene(view)
    if scene.shaft_px is not None:
        return setup.shaft(view).toward_cm[1]
    if scene.ball_px is not None:
        return setup.ball(view).toward_cm
    return SOLE_AHEAD * setup.student.stature_cm if view == "face_on" else 0.0


def _putter_scale(
    setup: SeenSetup, seen: SeenStroke, events: Mapping[StrokeEvent, Estimate], stretch: float
) -> PutterScale | None:
    """Return the scale at the putter face on; the setup down the line may be a held finish."""
    side = setup.results.get("down_the_line")
    strokes = () if side is None else _seen(side)
    finished = (
        side is not None and bool(strokes) and all(each.stroke_s[1] < _shown_setup(side).moment_s for each in strokes)
    )
    return find_putter_scale(setup, _shaft_at_address(seen, events, stretch), with_side=not finished)


def _shaft_at_address(seen: SeenStroke, events: Mapping[StrokeEvent, Estimate], stretch: float) -> Segment | None:
    """Return butt and sole just before the start, in the pixels of the still; None where they were not followed."""
    ends = medians_seen(steady(seen.shaft_px, seen.camera_px)[reference_frames(seen, events, stretch)])
    if not np.isfinite(ends).all():
        return None
    butt, sole = ends.tolist()
    return (butt[0], butt[1]), (sole[0], sole[1])


def _hands_place_sd(setup: SeenSetup, view: View) -> float:
    """Return how well it is known where the hands are along the view's axis against the ball, one sigma, cm."""
    plane, scene = setup.planes[view], setup.scene(view)

    def along(of: Plane) -> Floats:
        return of.hands()[:, 0]

    joints = math.hypot(joint_effect(along, plane, "errors"), joint_effect(along, plane, "offsets"))
    if scene.ball_px is None:
        return joints
    ball = setup.ball(view)

    def apart(of: Plane) -> float:
        return float(np.nanmedian(along(of))) - ball.along(of)

    here = apart(plane)
    shifts = (
        plane.shifted(yaw_deg=scene.yaw.standard_uncertainty),
        plane.shifted(roll_deg=scene.roll.standard_uncertainty),
        plane.shifted(scale=scene.px_per_cm.standard_uncertainty / scene.px_per_cm.value),
    )
    return math.hypot(joints, *(float(np.nan_to_num(apart(each) - here)) for each in shifts))


def _join(
    of: Mapping[View, tuple[Stroke, ...]], results: Mapping[View, ViewResult], pairs: Sequence[tuple[int, int]]
) -> Strokes:
    """Put the strokes of the views together."""
    every = [stroke for strokes in of.values() for stroke in strokes]
    kind = choose_kind(every)
    shown = {
        view: index
        for view, strokes in of.items()
        if (index := choose_shown(strokes, kind, _shown_setup(results[view]))) is not None
    }
    same = next((pair for pair in pairs if pair[0] == shown.get("face_on")), None)
    together = same is not None and of["down_the_line"][same[1]].kind == kind
    if same is not None and together:
        shown["down_the_line"] = same[1]
    numbers: dict[MeasureName, Estimate] = join_strokes(of, kind, shown)
    counted = max((sum(stroke.kind == kind for stroke in strokes) for strokes in of.values()), default=0)
    warnings = [note for result in results.values() if result.strokes for note in result.strokes.notes]
    left_out = max((sum(stroke.kind == "practice" for stroke in strokes) for strokes in of.values()), default=0)
    if kind == "practice":
        warnings.append(_PRACTICE_ONLY)
    elif kind == "putt" and left_out:
        warnings.append(
            _MIXED.format(count=left_out, s="" if left_out == 1 else "s", were="was" if left_out == 1 else "were")
        )
    elif kind == "unsure" and not all(result.scene.without_putter for result in results.values()):
        warnings.append(_UNSURE)
    return Strokes(
        of=of,
        numbers=numbers,
        scatter=find_scatter(of, kind),
        with_hands=join_with_hands(of.get("face_on", ()), kind, shown.get("face_on")),
        shown=shown,
        together=together,
        counted=counted,
        warnings=tuple(dict.fromkeys(warnings)),
        why_none="" if every else _why_none(results),
    )


def _shown_setup(result: ViewResult) -> Setup:
    """Return the setup that stands for the lesson in a view."""
    return result.setups[int(result.landmarks.setup_index[result.still_index])]


def _why_none(results: Mapping[View, ViewResult]) -> str:
    """Return one sentence on why no stroke was measured."""
    reasons = {
        view: result.strokes.why_none for view, result in results.items() if result.strokes and result.strokes.why_none
    }
    if not reasons:
        return _NOT_SEEN
    if len(set(reasons.values())) == 1:
        return next(iter(reasons.values()))
    return " ".join(f"{VIEW_TITLES[view]}: {reason}" for view, reason in reasons.items())
