"""What the times in one clip of a lesson say about those in the other.

A stroke is timed best face on. Down the line it goes toward the camera and back, so that its start may be a fifth of a
second off there. Where both clips film one performance, its events in one clip are those in the other, later or earlier
by one shift. Where that is not known, the tempo goes from one clip to the other, with what a student varies it by, and
the likest stroke of the other clip is laid over this one by how much moves in both pictures. Times are real seconds
unless they are called clip times.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.measures.stroke_paths import BACKSWING_TIME, FOLLOW_TIME, THROUGH_TIME
from putt_posture.strokes.events import find_events
from putt_posture.strokes.same_strokes import DURATIONS, LAID_SD_S, SameStrokes, TimedStroke, match_views
from putt_posture.values import STROKE_EVENTS, Estimate, SeenStrokes, StrokeEvent, View

__all__ = ["LAID_CAUSE", "OTHER_CLIP", "TEMPO_CAUSE", "FindEvents", "share_times", "time_strokes"]

FindEvents = Callable[..., Mapping[StrokeEvent, Estimate]]
"""As `find_events`: a seen stroke and how clip time is stretched in, the four events out."""
_VIEWS: Final = 2
_LAID_NEAR_S: Final = 0.6
"""The middles of two strokes are no farther apart where one is laid over the other."""
_VARIES_S: Final = tuple(each.scatter_sd or math.nan for each in (BACKSWING_TIME, THROUGH_TIME, FOLLOW_TIME))
"""How much a student varies these durations from stroke to stroke, one sigma."""
_VARIES_AT_S: Final[Mapping[StrokeEvent, float]] = {
    "start": _VARIES_S[0],
    "top": math.hypot(_VARIES_S[0], _VARIES_S[1]) / 2,
    "impact": math.hypot(_VARIES_S[1], _VARIES_S[2]) / 2,
    "finish": _VARIES_S[2],
}
"""How far an event of one stroke is off where another stroke of the same student is laid over it as a whole: half of
what the durations beside it vary by, and all of it at the ends (judged)."""
TEMPO_CAUSE: Final = "tempo from stroke to stroke"
LAID_CAUSE: Final = "laid over by motion"
OTHER_CLIP: Final = "seen in the other clip"
_BY_TEMPO: Final = "the tempo of the strokes in the other clip, from {event}"
_BY_MOTION: Final = "{event}, in the likest stroke of the other clip"


def time_strokes(
    seen: Mapping[View, SeenStrokes],
    *,
    stretches: Mapping[View, float],
    placed: Mapping[View, Mapping[int, Mapping[StrokeEvent, float]]] | None = None,
    events_by: FindEvents = find_events,
) -> tuple[dict[View, list[dict[StrokeEvent, Estimate]]], SameStrokes]:
    """Find the events of all strokes of a lesson, each clip by itself first.

    Parameters
    ----------
    seen : mapping of View to SeenStrokes
        One or both views.
    stretches : mapping of View to float
        Clip seconds in a real second.
    placed : mapping of View to mapping of int to mapping of StrokeEvent to float, optional
        Clip times that the coach gave by hand, by the number of the stroke, from 1.
    events_by : callable, optional
        What finds the events of a seen stroke.

    Returns
    -------
    events : dict of View to list of dict of StrokeEvent to Estimate
        One entry a stroke, clip times.
    same : SameStrokes
        Which strokes of both clips are one and the same.
    """
    by_hand = placed or {}
    timed = {
        view: [
            TimedStroke(
                events=events_by(stroke, time_stretch=stretches[view], placed=by_hand.get(view, {}).get(number)),
                kind=stroke.kind,
                stretch=stretches[view],
                middle_s=sum(stroke.stroke_s) / 2 / stretches[view],
                shift_s=stroke.shift_s,
            )
            for number, stroke in enumerate(each.strokes, start=1)
        ]
        for view, each in seen.items()
    }
    if len(timed) < _VIEWS:
        return {view: [dict(stroke.events) for stroke in each] for view, each in timed.items()}, SameStrokes()
    same = match_views(timed["face_on"], timed["down_the_line"], rough_shift_s=seen["face_on"].to_other_s)
    return share_times(timed, same), same


def share_times(
    strokes: Mapping[View, Sequence[TimedStroke]], same: SameStrokes
) -> dict[View, list[dict[StrokeEvent, Estimate]]]:
    """Give each stroke the surer of its own times and of those that the other clip tells.

    Parameters
    ----------
    strokes : mapping of View to sequence of TimedStroke
        Of one or both views.
    same : SameStrokes
        As `match_views` returns it.

    Returns
    -------
    dict of View to list of dict of StrokeEvent to Estimate
        Clip times as in `TimedStroke`. What was placed by hand stays. An event that the other clip tells has the shift
        between the clips in its budget (``clock``); one by the tempo has what a student varies it by.
    """
    shared = {view: [dict(stroke.events) for stroke in each] for view, each in strokes.items()}
    if len(strokes) < _VIEWS:
        return shared
    front, side = strokes["face_on"], strokes["down_the_line"]
    for i, j in same.pairs:
        shared["down_the_line"][j] = _carried(side[j], front[i], same.shift_s, same.shift_sd_s, "down_the_line")
        shared["face_on"][i] = _carried(front[i], side[j], -same.shift_s, same.shift_sd_s, "face_on")
    paired = {"face_on": {i for i, _ in same.pairs}, "down_the_line": {j for _, j in same.pairs}}
    for view, others in (("face_on", side), ("down_the_line", front)):
        for index, stroke in enumerate(strokes[view]):  # type: ignore[index]
            if index not in paired[view]:
                by_tempo = _by_tempo(stroke, others, view)  # type: ignore[arg-type]
                shared[view][index] = _by_likest(stroke, by_tempo, others, view)  # type: ignore[index, arg-type]
    return shared


def _carried(
    own: TimedStroke, other: TimedStroke, shift_s: float, shift_sd_s: float, view: View
) -> dict[StrokeEvent, Estimate]:
    """Return events, each by this clip or by the other, whichever is surer; real seconds go into clip time."""
    result: dict[StrokeEvent, Estimate] = {}
    for event in STROKE_EVENTS:
        mine, theirs = own.events[event], other.events[event]
        time_s, time_sd = other.at(event)
        sd = own.stretch * math.hypot(time_sd, shift_sd_s)
        if not theirs or mine.by_hand or (mine and mine.standard_uncertainty <= sd):
            result[event] = mine
            continue
        scale = own.stretch / other.stretch
        automatic = theirs.automatic
        result[event] = evolve(
            theirs,
            value=own.stretch * (time_s + shift_s),
            standard_uncertainty=sd,
            view=view,
            method=f"{theirs.method}, {OTHER_CLIP}",
            budget={
                **{cause: scale * share for cause, share in theirs.budget.items()},
                "clock": own.stretch * shift_sd_s,
            },
            automatic=None if automatic is None else own.stretch * (automatic / other.stretch + shift_s),
        )
    return result


def _by_tempo(own: TimedStroke, others: Sequence[TimedStroke], view: View) -> dict[StrokeEvent, Estimate]:
    """Return events, each by this clip or from its surest event by the tempo in the other, whichever is surer."""
    durations = [_usual(each, first, last) for first, last, each in _usual_of(own, others)]
    known = [event for event in STROKE_EVENTS if own.events[event]]
    if not known:
        return dict(own.events)
    surest = min(known, key=lambda event: own.events[event].standard_uncertainty)
    result: dict[StrokeEvent, Estimate] = {}
    for event in STROKE_EVENTS:
        mine = own.events[event]
        between = _steps(surest, event)
        steps = [durations[step] for step, _ in between]
        if event == surest or mine.by_hand or not all(map(math.isfinite, (sum(s) for s in steps))):
            result[event] = mine
            continue
        anchor = own.events[surest]
        varied = own.stretch * math.hypot(*(sd for _, sd in steps))
        sd = math.hypot(anchor.standard_uncertainty, varied)
        if mine and mine.standard_uncertainty <= sd:
            result[event] = mine
            continue
        away = own.stretch * sum(sign * value for (value, _), (_, sign) in zip(steps, between, strict=True))
        result[event] = Estimate(
            value=anchor.value + away,
            standard_uncertainty=sd,
            unit="s",
            view=view,
            frames=anchor.frames,
            method=_BY_TEMPO.format(event=anchor.method),
            budget={surest: anchor.standard_uncertainty, TEMPO_CAUSE: varied},
            by_hand=anchor.by_hand,
            automatic=None if anchor.automatic is None else anchor.automatic + away,
        )
    values = [result[event].value for event in STROKE_EVENTS if result[event]]
    return result if values == sorted(values) else dict(own.events)


def _by_likest(
    own: TimedStroke, events: Mapping[StrokeEvent, Estimate], others: Sequence[TimedStroke], view: View
) -> dict[StrokeEvent, Estimate]:
    """Return events, each as it is or by the likest stroke of the other clip, whichever is surer."""
    near = [each for each in others if abs(each.middle_s + own.shift_s - own.middle_s) <= _LAID_NEAR_S]
    if not near:
        return dict(events)
    other = min(near, key=lambda each: abs(each.middle_s + own.shift_s - own.middle_s))
    result = dict(events)
    for event, mine in events.items():
        time_s, time_sd = other.at(event)
        causes = {
            "other clip": own.stretch * time_sd,
            LAID_CAUSE: own.stretch * LAID_SD_S,
            TEMPO_CAUSE: own.stretch * _VARIES_AT_S[event],
        }
        sd = math.hypot(*causes.values())
        if not math.isfinite(sd) or mine.by_hand or (mine and mine.standard_uncertainty <= sd):
            continue
        theirs = other.events[event]
        result[event] = Estimate(
            value=own.stretch * (time_s + own.shift_s),
            standard_uncertainty=sd,
            unit="s",
            view=view,
            frames=theirs.frames,
            method=_BY_MOTION.format(event=theirs.method),
            budget=causes,
            by_hand=theirs.by_hand,
        )
    values = [result[event].value for event in STROKE_EVENTS if result[event]]
    return result if values == sorted(values) else dict(events)


def _steps(start: StrokeEvent, end: StrokeEvent) -> list[tuple[int, float]]:
    """Return which durations lie between two events, with their sign."""
    first, last = STROKE_EVENTS.index(start), STROKE_EVENTS.index(end)
    return [(step, 1.0 if last > first else -1.0) for step in range(min(first, last), max(first, last))]


def _usual_of(
    own: TimedStroke, others: Sequence[TimedStroke]
) -> list[tuple[StrokeEvent, StrokeEvent, list[tuple[float, float]]]]:
    """Return each duration of the strokes in the other clip, of the same kind if there are any."""
    alike = [each for each in others if each.kind == own.kind] or list(others)
    found = []
    for first, last in DURATIONS:
        times = [(each.at(first), each.at(last)) for each in alike]
        known = [(b[0] - a[0], math.hypot(a[1], b[1])) for a, b in times if math.isfinite(a[0] + b[0])]
        found.append((first, last, known))
    return found


def _usual(known: Sequence[tuple[float, float]], first: StrokeEvent, last: StrokeEvent) -> tuple[float, float]:
    """Return a duration of another stroke of the same student and one sigma; NaN where it is not known."""
    if not known:
        return math.nan, math.nan
    values, sds = np.array(known).T
    varies = _VARIES_S[DURATIONS.index((first, last))]
    # The other stroke differs from the mean of some, which differ too; each was measured.
    own = float(np.sqrt(np.mean(sds**2) / len(values)))
    return float(values.mean()), math.hypot(own, varies * math.sqrt(1 + 1 / len(values)))
