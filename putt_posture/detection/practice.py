"""Which strokes of a lesson's clips turned out to be practice, though a setup was taken before one of them.

The setup is found before the strokes are followed. Only then it is known whether the ball left.
"""

import math
from collections.abc import Mapping
from typing import Final

from putt_posture.detection.detect import Detection
from putt_posture.values import StrokeKind, View

__all__ = ["find_practice"]

_SAME_S: Final = 0.3
"""Starts of one stroke as told twice differ by less, real seconds."""


def find_practice(detections: Mapping[View, Detection]) -> dict[View, tuple[float, ...]]:
    """Find practice strokes where one of them has a setup and a putt was made as well.

    Parameters
    ----------
    detections : mapping of View to Detection
        With their strokes.

    Returns
    -------
    dict of View to tuple of float
        Starts of the practice strokes of each clip, clip times; empty where all setups may stay.
    """
    kinds = {view: _kinds_of(detections, view) for view in detections}
    practice_s = {
        view: tuple(start_s for start_s, kind in of_view.items() if kind == "practice")
        for view, of_view in kinds.items()
        if any(kind != "practice" for kind in of_view.values())
    }
    before_practice = any(
        setup.stroke_s is not None and any(_same(setup.stroke_s[0], start_s, detection) for start_s in practice_s[view])
        for view, detection in detections.items()
        if view in practice_s
        for setup in detection.setups
    )
    return practice_s if before_practice else {}


def _kinds_of(detections: Mapping[View, Detection], view: View) -> dict[float, StrokeKind]:
    """Return what each stroke of a clip is by its start, told by the other clip where this one does not show it."""
    detection, seen = detections[view], detections[view].strokes
    if seen is None:
        return {}
    kinds = {stroke.stroke_s[0]: stroke.kind for stroke in seen.strokes}
    for other, each in detections.items():
        if other == view or each.strokes is None or not math.isfinite(each.strokes.to_other_s):
            continue
        for stroke in each.strokes.strokes:
            there_s = (stroke.stroke_s[0] / each.clip.time_stretch + each.strokes.to_other_s) * (
                detection.clip.time_stretch
            )
            for start_s, kind in kinds.items():
                if kind == "unsure" and _same(start_s, there_s, detection):
                    kinds[start_s] = stroke.kind
    return kinds


def _same(start_s: float, other_s: float, detection: Detection) -> bool:
    return abs(start_s - other_s) < _SAME_S * detection.clip.time_stretch
