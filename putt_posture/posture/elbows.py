"""Elbow gap and elbow depth: the elbows relative to the trunk.

The down-the-line view shows how far an arm is ahead of the spine line, the face-on view how far beside it.
"""

import math
from collections.abc import Callable
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.posture.plane import Plane
from putt_posture.posture.trunk_shape import ARM_RADIUS_CM, ARM_RADIUS_SD_CM, TrunkShape, distance_to_section
from putt_posture.values import Floats, Landmarks, Side, median_seen

__all__ = [
    "NOMINAL_ARM",
    "ArmPlace",
    "elbow_depth",
    "elbow_depth_sd",
    "elbow_gap",
    "gap_sd",
    "place_arm",
    "visible_window_px",
]

UP_THE_ARM_CM: Final = (0.0, 2.5, 5.0)
"""Up to this distance from the elbow joint toward the shoulder, cm, the skin counts as the elbow's."""
_INSIDE: Final = 127


@frozen(kw_only=True, eq=False)
class ArmPlace:
    """Elbow and shoulder of one arm in the trunk's own axes, in each of T frames.

    Attributes
    ----------
    elbow_ahead, shoulder_ahead : (T,)
        How far the joint is ahead of the spine line, square to it, cm.
    elbow_station, shoulder_station : (T,)
        Where along the spine line it lies, 0 hips, 1 shoulders.
    """

    elbow_ahead: Floats
    elbow_station: Floats
    shoulder_ahead: Floats
    shoulder_station: Floats


NOMINAL_ARM: Final = ArmPlace(
    elbow_ahead=np.array([4.0]),
    elbow_station=np.array([0.35]),
    shoulder_ahead=np.array([0.0]),
    shoulder_station=np.array([1.0]),
)
"""Assumed place of an arm without a side view."""


def place_arm(plane: Plane, *, side: Side) -> ArmPlace | None:
    """Place an arm along and ahead of the spine line, down the line; None where no frame shows all of its joints.

    Parameters
    ----------
    plane : Plane
    side : Side
    """
    elbow_ahead, elbow_station = _place(plane, f"{side}_elbow")
    shoulder_ahead, shoulder_station = _place(plane, f"{side}_shoulder")
    if not np.isfinite(elbow_ahead + shoulder_ahead).any():
        return None
    return ArmPlace(
        elbow_ahead=elbow_ahead,
        elbow_station=elbow_station,
        shoulder_ahead=shoulder_ahead,
        shoulder_station=shoulder_station,
    )


def _place(plane: Plane, joint: str, *, spine_px: Floats | None = None) -> tuple[Floats, Floats]:
    """Return how far a joint lies ahead of the spine line, cm, and its station, (T,) each."""
    if spine_px is None:
        hip, shoulder = plane.middle("hip"), plane.middle("shoulder")
    else:
        hip, shoulder = (np.resize(plane.to_cm(end), (len(plane.points_px), 2)) for end in np.swapaxes(spine_px, 0, 1))
    spine, offset = shoulder - hip, plane.at(joint) - hip
    length = np.linalg.norm(spine, axis=1)
    ahead = (offset[:, 0] * spine[:, 1] - offset[:, 1] * spine[:, 0]) / length
    return np.asarray(ahead), np.asarray(np.sum(offset * spine, axis=1) / length**2)


def elbow_depth(plane: Plane, *, side: Side, shape: TrunkShape) -> Floats:
    """Return where the near elbow is along the trunk's depth, (T,) cm; 0 = level with the front of the ribs.

    − = behind it, + = in front of it. Down the line. Where the shape comes from an outline, elbow and front are
    relative to the same line in the picture, so that an error of hips or shoulders moves both.

    Parameters
    ----------
    plane : Plane
    side : Side
    shape : TrunkShape
    """
    ahead, station = _place(plane, f"{side}_elbow", spine_px=shape.spine_px)
    return np.asarray(ahead - shape.section(station).front)


def elbow_depth_sd(plane: Plane, *, side: Side, shape: TrunkShape) -> float:
    """Return the uncertainty of the trunk's front at the elbow's level, one sigma, cm; 0 where that is unseen.

    Parameters
    ----------
    plane : Plane
    side : Side
    shape : TrunkShape
    """
    _, station = _place(plane, f"{side}_elbow", spine_px=shape.spine_px)
    return float(np.nan_to_num(median_seen(shape.section(station).depth_sd)))


def elbow_gap(front: Plane, *, side: Side, shape: TrunkShape, arm: ArmPlace) -> Floats:
    """Return the shortest distance from the skin of the elbow to the skin of the trunk, (T,) cm; 0 = touching.

    The elbow is a sphere that is moved up the arm a little: there the arm is nearer to the trunk, and the chest may
    extend farther.

    Parameters
    ----------
    front : Plane
        Face on.
    side : Side
    shape : TrunkShape
        In the frames that belong to those of `front`, or in one frame; see `Plane.beside`.
    arm : ArmPlace
        Of this side, from the other view, in the same number of frames.
    """
    frames = len(front.points_px)
    low, high, low_ahead, high_ahead, trunk = (
        np.resize(each, frames)
        for each in (arm.elbow_station, arm.shoulder_station, arm.elbow_ahead, arm.shoulder_ahead, shape.length)
    )
    elbow, shoulder = _beside(front, f"{side}_elbow", low), _beside(front, f"{side}_shoulder", high)
    ahead, along = high_ahead - low_ahead, trunk * (high - low)
    length = np.sqrt((shoulder - elbow) ** 2 + ahead**2 + along**2)
    gaps = []
    for way in UP_THE_ARM_CM:
        share = way / length
        section = shape.section(low + share * (high - low))
        gaps.append(distance_to_section(elbow + share * (shoulder - elbow), low_ahead + share * ahead, section))
    return np.asarray(np.maximum(np.min(gaps, axis=0) - ARM_RADIUS_CM, 0.0))


def _beside(front: Plane, joint: str, station: Floats) -> Floats:
    """Return how far a joint is beside the mid-line of the trunk at each frame's station, (T,) cm."""
    hip, shoulder = front.middle("hip")[:, 0], front.middle("shoulder")[:, 0]
    return np.abs(front.at(joint)[:, 0] - hip - station * (shoulder - hip))


def gap_sd(gap: Callable[..., Floats], *, shape: TrunkShape, arm: ArmPlace, ahead_sd: float) -> float:
    """Return the uncertainty of the gap, from those of trunk and elbow, one sigma, cm.

    Parameters
    ----------
    gap : callable
        `elbow_gap` of one elbow as a function of ``shape`` and ``arm``.
    shape : TrunkShape
    arm : ArmPlace
    ahead_sd : float
        One sigma of the elbow's distance ahead of the spine line, cm.
    """
    others = (
        (evolve(shape, breadth=shape.breadth + shape.breadth_sd), arm),
        (evolve(shape, ahead=shape.ahead + shape.depth_sd), arm),
        (shape, evolve(arm, elbow_ahead=arm.elbow_ahead + ahead_sd)),
    )
    here = median_seen(gap(shape=shape, arm=arm))
    effects = [median_seen(gap(shape=other, arm=place)) - here for other, place in others]
    return math.hypot(ARM_RADIUS_SD_CM, *(effect for effect in effects if math.isfinite(effect)))


def visible_window_px(landmarks: Landmarks, index: int, *, side: Side) -> tuple[float, float, float]:
    """Return the background seen between an elbow and the trunk: u of its arm edge, u of its trunk edge, v.

    The row is that of the elbow landmark; where no background is seen between it and the mid-line, both edges are the
    same.

    Parameters
    ----------
    landmarks : Landmarks
    index : int
        Which frame.
    side : Side
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
