"""Measure takes with the whole pipeline and set events, kinds, numbers and paths of each stroke beside the truth."""

import pickle
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd
from attrs import evolve
from stroke_rates import Rate, film_at
from stroke_takes import Take, TrueStroke

from putt_posture import Estimate, PuttPostureError
from putt_posture.clips import read_clip
from putt_posture.detection.detect import Detection
from putt_posture.lesson import see_clips
from putt_posture.measuring import Measuring
from putt_posture.values import STROKE_EVENTS, VIEWS, Lesson, Stroke, View, absent

__all__ = ["OF_A_STROKE", "measure_take"]

OF_A_STROKE: Final[Mapping[View, tuple[str, ...]]] = {
    "face_on": (
        "backswing_time", "through_time", "follow_time", "tempo_ratio",
        "hands_back", "hands_through", "hands_rise_back", "hands_rise_through",
        "putter_back", "putter_through", "putter_rise_back", "putter_rise_through",
        "head_along", "sternum_along", "hips_along", "knees_along",
        "head_up", "sternum_up", "hips_up", "knees_up", "wrist_change",
        "elbow_gap_change_lead", "elbow_gap_change_trail",
    ),
    "down_the_line": (
        "backswing_time", "through_time", "follow_time", "tempo_ratio",
        "hands_sideways_back", "hands_sideways_through", "putter_sideways_back", "putter_sideways_through",
        "head_across", "sternum_across", "hips_across", "knees_across",
        "tilt_change",
    ),
}  # fmt: skip
"""The numbers whose truth is known, by the view that shows them."""
SERIES: Final[Mapping[View, tuple[tuple[str, int], ...]]] = {
    "face_on": (("hands", 0), ("putter_head", 0), ("head", 0), ("sternum", 0)),
    "down_the_line": (("hands", 1), ("putter_head", 1), ("head", 1), ("sternum", 1)),
}
"""Points and true axes whose whole path along a view's picture is compared."""
_FARTHEST_S: Final = 0.5
"""A stroke that was found is one that was made where their middles are no farther apart, real seconds."""


def measure_take(take: Take, *, rate: Rate = "60", work: Path) -> list[dict[str, Any]]:
    """Measure one take.

    Parameters
    ----------
    take : Take
    rate : Rate
        At which rate the clips are given to the program.
    work : Path
        Where clips at other rates and what was seen are kept; kept detections are taken whatever the code is.

    Returns
    -------
    list of dict
        One row a view for ``setup``, one a true stroke and view for ``found``, ``kind``, each event, each of
        `OF_A_STROKE` and each series; strokes that were found and never made are rows ``invented``. A refused take has
        nothing found.
    """
    told = {"folder": take.name, "rate": rate, "shaken": take.is_shaken}
    try:
        lesson, stretch = _measure(take, rate, work)
    except PuttPostureError as error:
        refusal = f"Refused: {error}"
        return [
            {**told, "view": view, "stroke": k, "what": "found", "value": 0.0, "truth": 1.0, "absent": refusal}
            for view in VIEWS
            for k in range(1, len(take.strokes(view)) + 1)
        ]
    rows: list[dict[str, Any]] = []
    for view in VIEWS:
        said = {**told, "view": view}
        rows.append({**said, "what": "setup", **_setup(lesson, take, view, stretch)})
        measured = list(lesson.strokes.of[view]) if lesson.strokes else []
        true = take.strokes(view)
        pairs = _pair(true, measured, stretch)
        lost = len(measured) - sum(stroke is not None for stroke in pairs)
        rows += [{**said, "what": "invented", "value": 1.0, "truth": 0.0} for _ in range(lost)]
        for number, (wanted, stroke) in enumerate(zip(true, pairs, strict=True), start=1):
            rows += [{**said, "stroke": number, **row} for row in _of_stroke(wanted, stroke, view, stretch)]
    return rows


def see_take(take: Take, rate: Rate, work: Path) -> tuple[dict[View, Detection], float]:
    """Return what is seen in the clips of a take and how clip time is stretched; see `measure_take`."""
    work.mkdir(parents=True, exist_ok=True)
    file = work / f"{take.name}_{rate}.pickle"
    paths, capture_hz = film_at(take, rate, work)
    clips = {view: read_clip(path, view=view, capture_rate_hz=capture_hz) for view, path in paths.items()}
    stretch = next(iter(clips.values())).time_stretch
    if not file.exists():
        kept = {}
        for view, each in see_clips(clips, student=take.student).items():
            strokes = tuple(evolve(stroke, stills=()) for stroke in each.strokes.strokes)
            kept[view] = evolve(each, track=None, strokes=evolve(each.strokes, strokes=strokes))
        file.write_bytes(pickle.dumps(kept))
    kept = pickle.loads(file.read_bytes())
    return kept, stretch


def _measure(take: Take, rate: Rate, work: Path) -> tuple[Lesson, float]:
    detections, stretch = see_take(take, rate, work)
    return Measuring(detections=detections, student=take.student).measure(), stretch


def _setup(lesson: Lesson, take: Take, view: View, stretch: float) -> dict[str, Any]:
    """Return whether the setup that stands for the lesson lies in the true quiet address before a putt."""
    result = lesson.views[view]
    setup = result.setups[int(result.landmarks.setup_index[result.still_index])]
    time = setup.moment_s / stretch
    inside = any(low - 1e-6 <= time <= high + 1e-6 for low, high in take.quiet_s(view))
    return {"value": float(inside), "truth": 1.0, "at_s": time}


def _pair(true: list[TrueStroke], measured: list[Stroke], stretch: float) -> list[Stroke | None]:
    """Return for each stroke that was made the one that was found."""
    left = list(measured)
    pairs: list[Stroke | None] = []
    for wanted in true:
        near = [stroke for stroke in left if abs(_middle(stroke, stretch) - wanted.events["impact"]) <= _FARTHEST_S]
        best = min(near, key=lambda stroke: abs(_middle(stroke, stretch) - wanted.events["impact"]), default=None)
        if best is not None:
            left.remove(best)
        pairs.append(best)
    return pairs


def _middle(stroke: Stroke, stretch: float) -> float:
    """Return roughly when a found stroke meets the ball, real seconds."""
    for name in ("impact", "top", "start"):
        if stroke.events[name]:  # type: ignore[index]
            return stroke.events[name].value / stretch  # type: ignore[index]
    times = next((path.times_s for path in stroke.paths.values()), np.array([np.nan]))
    return float(np.nanmedian(times)) / stretch


def _of_stroke(wanted: TrueStroke, stroke: Stroke | None, view: View, stretch: float) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = [{"what": "found", "value": float(stroke is not None), "truth": 1.0}]
    if stroke is None:
        lacking = absent("The stroke was not found.", unit="")
        rows += [{"what": name, **_row(lacking, wanted.events[name])} for name in STROKE_EVENTS]
        return rows + [{"what": name, **_row(lacking, wanted.numbers[name])} for name in OF_A_STROKE[view]]
    rows.append({"what": "kind", "value": float(stroke.kind == wanted.kind), "truth": 1.0, "said": stroke.kind})
    for name in STROKE_EVENTS:
        rows.append({"what": name, **_row(stroke.events[name], wanted.events[name], scale=1 / stretch)})
    for name in OF_A_STROKE[view]:
        found = stroke.numbers.get(name, absent("Not measured.", unit=""))  # type: ignore[call-overload]
        rows.append({"what": name, **_row(found, wanted.numbers[name])})
    for point, axis in SERIES[view]:
        rows += _series(wanted, stroke, point, axis, stretch)
    return rows


def _series(wanted: TrueStroke, stroke: Stroke, point: str, axis: int, stretch: float) -> list[dict[str, Any]]:
    """Compare a path from start to finish, frame by frame: one row with its root mean square error."""
    path = stroke.paths.get(point)
    if path is None:
        return []
    times = path.times_s / stretch
    inside = (times >= wanted.events["start"]) & (times <= wanted.events["finish"])
    inside &= np.isfinite(path.moved_cm[:, 0])
    if not inside.any():
        return []
    true = np.interp(times[inside], wanted.times_s, wanted.moved_cm[point][:, axis])
    error = path.moved_cm[inside, 0] - true
    holds = np.abs(error) <= 1.96 * path.sd_cm[inside, 0]
    return [
        {
            "what": f"series {point}",
            "value": float(np.sqrt(np.mean(error**2))),
            "truth": 0.0,
            "bias": float(error.mean()),
            "standard_uncertainty": float(np.sqrt(np.mean(path.sd_cm[inside, 0] ** 2))),
            "holds": float(holds.mean()),
        }
    ]


def _row(found: Estimate, truth: float, *, scale: float = 1.0) -> dict[str, Any]:
    return {
        "truth": truth,
        "value": scale * found.value,
        "standard_uncertainty": scale * found.standard_uncertainty,
        "low": scale * found.low,
        "high": scale * found.high,
        "absent": found.absent,
    }


def measure_takes(takes: tuple[Take, ...], *, rate: Rate, work: Path, tell: Any) -> pd.DataFrame:
    """Measure takes one after the other; the rows of `measure_take`."""
    rows: list[dict[str, Any]] = []
    for take in takes:
        rows += measure_take(take, rate=rate, work=work)
        tell(take.name)
    return pd.DataFrame(rows)
