"""Trunk and head: spine tilt, head drop, side bend, shoulder level.

Each function takes a plane and returns (T,) degrees; NaN where a landmark is unseen. The two ends of the spine
line are the mid-points of the hip and of the shoulder landmarks.
"""

from putt_posture.posture.angles import inclination, slope
from putt_posture.posture.plane import Plane
from putt_posture.values import Floats, Side

__all__ = ["head_drop", "shoulder_level", "side_bend", "spine_tilt"]


def spine_tilt(plane: Plane) -> Floats:
    """Return the lean of the spine line toward the ball, (T,) deg; + = toward the ball. Down the line."""
    return inclination(plane.middle("hip"), plane.middle("shoulder"))


def head_drop(plane: Plane) -> Floats:
    """Return how far the line mid-shoulder to mid-ear leans beyond the spine line, (T,) deg.

    + = chin toward the chest. Down the line.
    """
    return inclination(plane.middle("shoulder"), plane.middle("ear")) - spine_tilt(plane)


def side_bend(plane: Plane) -> Floats:
    """Return the lean of the spine line away from the target, (T,) deg; + = away. Face on."""
    return -inclination(plane.middle("hip"), plane.middle("shoulder"))


def shoulder_level(plane: Plane, *, lead: Side, trail: Side) -> Floats:
    """Return the slope of the shoulder line, (T,) deg; + = lead shoulder higher. Face on."""
    return slope(plane.at(f"{trail}_shoulder"), plane.at(f"{lead}_shoulder"))
