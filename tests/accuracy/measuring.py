"""Measure shots with the whole pipeline and set each measure beside the truth."""

import multiprocessing
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd
from kept_detections import detect_in_stills
from scene_measures import OF_THE_SCENE, read_scene_measures, true_scene_measures
from shots import Shot

from putt_posture import Estimate, PuttPostureError
from putt_posture.lesson import measure_detections
from putt_posture.measures import MEASURES
from putt_posture.values import View, absent

__all__ = ["BOTH", "measure_shot", "measure_shots"]

BOTH: Final = "both"
"""The view of a measure that came from both, or that could have come from either and is absent."""


def measure_shot(
    shot: Shot, *, views: Sequence[View], find: bool = True, cache: Path | None = None
) -> list[dict[str, Any]]:
    """Measure one shot.

    Parameters
    ----------
    shot : Shot
    views : sequence of View
        Which of the two stills are used.
    find : bool
        Leave shaft and ball to the program; else they are given as the truth projects them.
    cache : Path, optional
        Where detections are kept between runs.

    Returns
    -------
    list of dict
        One row for each measure that these views can give, and one for each of `OF_THE_SCENE` and view. A refused
        shot has all of them absent.
    """
    names = [name for name in MEASURES if set(views) & set(MEASURES[name].views)]
    try:
        detections = detect_in_stills({view: shot.picture(view) for view in views}, cache=cache)
        given = None if find else {view: shot.given(view) for view in views}
        lesson = measure_detections(detections, student=shot.student, given=given)
    except PuttPostureError as error:
        refusal = absent(f"Refused: {error}", unit="")
        estimates = dict.fromkeys(names, refusal)
        scenes = {view: dict.fromkeys(OF_THE_SCENE, refusal) for view in views}
    else:
        estimates = {name: lesson.posture[name] for name in names}
        scenes = {view: read_scene_measures(lesson.views[view].scene, shot) for view in views}
    rows = []
    for name, estimate in estimates.items():
        unit, possible = MEASURES[name].unit, [view for view in views if view in MEASURES[name].views]
        view = estimate.view or (possible[0] if len(possible) == 1 else BOTH)
        rows.append(_row(shot, name, unit, view, estimate, truth=shot.measures[name]))
    for view, found in scenes.items():
        true = true_scene_measures(shot, view)
        rows += [_row(shot, name, OF_THE_SCENE[name], view, found[name], truth=true[name]) for name in OF_THE_SCENE]
    return rows


def _row(shot: Shot, name: str, unit: str, view: str, estimate: Estimate, *, truth: float | None) -> dict[str, Any]:
    return {
        "folder": shot.name,
        "seed": shot.seed,
        "measure": name,
        "unit": unit,
        "view": view,
        "truth": np.nan if truth is None else truth,
        "value": estimate.value,
        "raw_value": np.nan if estimate.raw_value is None else estimate.raw_value,
        "standard_uncertainty": estimate.standard_uncertainty,
        "low": estimate.low,
        "high": estimate.high,
        "absent": estimate.absent,
    }


def measure_shots(
    shots: Sequence[Shot],
    *,
    views: Sequence[View],
    find: bool = True,
    cache: Path | None = None,
    jobs: int = 1,
    tell: Callable[[str], None] = lambda _: None,
) -> pd.DataFrame:
    """Measure shots, several at a time where `jobs` says so; the rows of `measure_shot` in the order of the shots.

    Parameters
    ----------
    tell : callable
        Called with the name of each shot that is done.
    """
    measure = partial(measure_shot, views=tuple(views), find=find, cache=cache)
    rows: list[dict[str, Any]] = []
    for shot, found in zip(shots, _each(measure, shots, jobs), strict=True):
        rows += found
        tell(shot.name)
    return pd.DataFrame(rows)


def _each(
    measure: Callable[[Shot], list[dict[str, Any]]], shots: Iterable[Shot], jobs: int
) -> Iterator[list[dict[str, Any]]]:
    if jobs == 1:
        yield from map(measure, shots)
        return
    context = multiprocessing.get_context("spawn")  # the landmark model's threads do not survive a fork
    with ProcessPoolExecutor(max_workers=jobs, mp_context=context) as pool:
        yield from pool.map(measure, shots)
