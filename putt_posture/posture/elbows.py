"""Elbow gap and elbow depth: the elbows placed against the trunk's section.

The down-the-line view tells how far the elbow lies ahead of the spine line, the face-on view how far beside it.
"""

import math
from collections.abc import Callable
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.body import predict
from putt_posture.posture.back import BackOutline
from putt_posture.posture.plane import Plane
from putt_posture.posture.ribs import ELBOW_RADIUS_CM, ELBOW_RADIUS_SD_CM, TrunkSection, distance_to_section
from putt_posture.values import Floats, Landmarks, Side, Student, median_seen

__all__ = ["ElbowPlace", "elbow_depth", "elbow_gap", "gap_sd", "place_elbow", "trunk_section", "visible_window_px"]

BEHIND_SHARE: Final = 0.45
"""Share of the trunk's depth behind the spine line where no outline tells it."""
NOMINAL_AHEAD_CM: Final = 4.0
"""How far the elbow is taken to lie ahead of the spine line when no side view tells it."""
NOMINAL_AHEAD_SD_CM: Final = 5.0
_MIN_WINDOW_CM: Final = 0.8
_INSIDE: Final = 127


@frozen(kw_only=True)
class ElbowPlace:
    """One elbow in the trunk's own axes, each (T,) or a number, cm.

    Attributes
    ----------
    ahead : how far the joint lies ahead of the spine line, square to it
    station : where along the spine line it lies, 0 hips, 1 shoulders
    """

    ahead: Floats
    station: Floats


def place_elbow(plane: Plane, *, side: Side) -> ElbowPlace:
    """Place an elbow along and ahead of the spine line, down the line."""
    hip, shoulder, elbow = plane.middle("hip"), plane.middle("shoulder"), plane.at(f"{side}_elbow")
    spine = shoulder - hip
    length = np.linalg.norm(spine, axis=1)
    unit = spine / length[:, None]
    offset = elbow - hip
    ahead = offset[:, 0] * unit[:, 1] - offset[:, 1] * unit[:, 0]
    return ElbowPlace(ahead=np.asarray(ahead), station=np.asarray(np.sum(offset * unit, axis=1) / length))


def trunk_section(student: Student, *, behind_cm: float | None) -> TrunkSection:
    """Return the trunk's section at the elbows for this student.

    Parameters
    ----------
    student : Student
    behind_cm : float or None
        How far the outline of the back lies behind the spine line; None where no outline was read.
    """
    parts = {name: predict(name, student.stature_cm, student.sex) for name in _SECTION}
    breadth = (parts["chest_breadth"].value + parts["waist_breadth"].value) / 2
    depth = (parts["chest_depth"].value + parts["waist_depth"].value) / 2
    return TrunkSection(
        breadth=breadth,
        depth=depth,
        breadth_sd=(parts["chest_breadth"].standard_uncertainty + parts["waist_breadth"].standard_uncertainty) / 2,
        depth_sd=(parts["chest_depth"].standard_uncertainty + parts["waist_depth"].standard_uncertainty) / 2,
        behind=BEHIND_SHARE * depth if behind_cm is None else behind_cm,
    )


_SECTION: Final = ("chest_breadth", "waist_breadth", "chest_depth", "waist_depth")


def elbow_depth(plane: Plane, *, side: Side, section: TrunkSection) -> Floats:
    """Return where the near elbow sits along the trunk's depth, (T,) cm; 0 = level with the front of the ribs.

    − = behind it, + = in front of it. Down the line.
    """
    return np.asarray(place_elbow(plane, side=side).ahead - section.front)


def elbow_gap(
    front: Plane, *, side: Side, section: TrunkSection, ahead_cm: float, station: float, window_cm: float
) -> Floats:
    """Return the shortest distance from the skin of the elbow to the skin of the trunk, (T,) cm; 0 = touching.

    Parameters
    ----------
    front : Plane
        Face on.
    side : Side
    section : TrunkSection
    ahead_cm, station : float
        As `place_elbow` gives them.
    window_cm : float
        Background seen between arm and trunk at the elbow's height, cm; 0 where none is seen. It narrows the
        section to what the picture shows.
    """
    hip, shoulder = front.middle("hip"), front.middle("shoulder")
    midline = hip[:, 0] + station * (shoulder[:, 0] - hip[:, 0])
    beside = np.abs(front.at(f"{side}_elbow")[:, 0] - midline)
    if window_cm > _MIN_WINDOW_CM and np.isfinite(beside).any():
        half = float(np.nanmedian(beside)) - ELBOW_RADIUS_CM - window_cm
        if half > section.breadth / 4:
            section = evolve(section, breadth=2 * half)
    distance = distance_to_section(beside, np.full_like(beside, ahead_cm), section)
    return np.asarray(np.maximum(distance - ELBOW_RADIUS_CM, 0.0))


def gap_sd(gap: Callable[..., Floats], *, section: TrunkSection, ahead_cm: float, ahead_sd: float) -> float:
    """Return one sigma of the gap from what is not known of trunk and elbow, cm.

    Parameters
    ----------
    gap : callable
        `elbow_gap` of one elbow as a function of ``section`` and ``ahead_cm``.
    section : TrunkSection
    ahead_cm, ahead_sd : float
        How far the elbow lies ahead of the spine line, and one sigma of that.
    """
    others = (
        (evolve(section, breadth=section.breadth + section.breadth_sd), ahead_cm),
        (evolve(section, depth=section.depth + section.depth_sd), ahead_cm),
        (section, ahead_cm + ahead_sd),
    )
    here = median_seen(gap(section=section, ahead_cm=ahead_cm))
    effects = [median_seen(gap(section=other, ahead_cm=ahead)) - here for other, ahead in others]
    return math.hypot(ELBOW_RADIUS_SD_CM, *(effect for effect in effects if math.isfinite(effect)))


def visible_window_px(landmarks: Landmarks, index: int, *, side: Side) -> tuple[float, float, float]:
    """Return the background seen between an elbow and the trunk: u of its arm edge, u of its trunk edge, v.

    The row is that of the elbow landmark; where no background is seen on the way to the mid-line, both edges are
    the same.
    """
    elbow = landmarks.point(f"{side}_elbow")[index]
    middle = (landmarks.middle("hip")[index] + landmarks.middle("shoulder")[index]) / 2
    u0, v0, u1, v1 = landmarks.mask_box_px
    if not np.isfinite([*elbow, *middle]).all() or not v0 <= elbow[1] < v1:
        return math.nan, math.nan, math.nan
    row = landmarks.outlines[index][int(elbow[1]) - v0]
    step = 1 if middle[0] > elbow[0] else -1
    columns = np.arange(int(elbow[0]), int(middle[0]) + step, step)
    columns = columns[(columns >= u0) & (columns < u1)]
    outside = row[columns - u0] <= _INSIDE
    if not outside.any():
        return float(elbow[0]), float(elbow[0]), float(elbow[1])
    start = int(np.argmax(outside))
    run = outside[start:]
    end = start + (int(np.argmin(run)) if not run.all() else 0)
    return float(columns[start]), float(columns[end]), float(elbow[1])


def back_behind_cm(outline: BackOutline | None, *, station: float, px_per_cm: float) -> float | None:
    """Return how far the back lies behind the spine line at a station, cm; None where no outline was read."""
    if outline is None:
        return None
    length = float(np.hypot(*(outline.shoulder_px - outline.hip_px))) / px_per_cm
    behind = outline.behind_at(station)
    return behind * length if math.isfinite(behind) else None
