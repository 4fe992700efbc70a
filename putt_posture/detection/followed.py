"""What following the strokes of a lesson's clips tells of its setups, which were found before.

Only when every frame was looked at it is known whether the ball left, and whether there was a stroke at all.
"""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np

from putt_posture.detection.detect import Detection
from putt_posture.setups import FollowedStroke
from putt_posture.values import SeenStroke, StrokeKind, View

__all__ = ["find_followed"]

_TOGETHER_S: Final = 0.3
"""Starts of one stroke differ by less in two clips whose shift is known, real seconds."""
_LAID_S: Final = 0.6
"""The same where one was laid over the other clip."""


def find_followed(detections: Mapping[View, Detection]) -> dict[View, tuple[FollowedStroke, ...]]:
    """Find the strokes by which setups are to be chosen anew.

    That is so where a setup was taken before a practice stroke although another stroke was made, and where a stroke was
    followed in a clip in which none was seen before.

    Parameters
    ----------
    detections : mapping of View to Detection
        With their strokes.

    Returns
    -------
    dict of View to tuple of FollowedStroke
        The strokes of each clip, clip time; empty where all setups may stay.
    """
    followed = {view: _followed(detections, view) for view in detections}
    return followed if any(_tells_more(detections[view], of_view) for view, of_view in followed.items()) else {}


def _tells_more(detection: Detection, followed: tuple[FollowedStroke, ...]) -> bool:
    """Return whether the strokes of a clip ask for other setups than it has."""
    setups = [each for each in detection.setups if each.chosen_by == "finder"]
    if not setups or all(each.practice for each in followed):
        return False
    if all(each.stroke_s is None for each in setups):
        return True
    stretch = detection.clip.time_stretch
    return any(
        each.practice and setup.stroke_s is not None and each.begins_at(setup.stroke_s[0], time_stretch=stretch)
        for each in followed
        for setup in setups
    )


def _followed(detections: Mapping[View, Detection], view: View) -> tuple[FollowedStroke, ...]:
    seen = detections[view].strokes
    return tuple(
        FollowedStroke(
            stroke_s=stroke.stroke_s,
            address_s=stroke.address_s,
            practice=_kind(stroke, detections, view) == "practice",
        )
        for stroke in (() if seen is None else seen.strokes)
    )


def _kind(stroke: SeenStroke, detections: Mapping[View, Detection], view: View) -> StrokeKind:
    """Return what a stroke is; by the other clip where this one does not show its ball."""
    if stroke.kind == "putt" or (stroke.kind == "practice" and np.isfinite(stroke.ball_px).any()):
        return stroke.kind
    stretch = detections[view].clip.time_stretch
    for other, each in detections.items():
        if other == view or each.strokes is None:
            continue
        for theirs in each.strokes.strokes:
            there_s = theirs.stroke_s[0] / each.clip.time_stretch
            together_s = there_s + each.strokes.to_other_s
            laid_s = there_s + stroke.shift_s
            here_s = stroke.stroke_s[0] / stretch
            if _near(here_s, together_s, _TOGETHER_S) or _near(here_s, laid_s, _LAID_S):
                return theirs.kind if theirs.kind != "unsure" else stroke.kind
    return stroke.kind


def _near(one_s: float, other_s: float, most_s: float) -> bool:
    return math.isfinite(other_s) and abs(one_s - other_s) < most_s
