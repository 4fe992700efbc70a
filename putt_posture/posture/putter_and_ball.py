"""Measures that need the shaft or the ball, drawn by the coach.

Each function takes a plane and returns (T,) values; shaft and ball are picture points of the setup.
"""

import numpy as np

from putt_posture.posture.angles import inclination, slope
from putt_posture.posture.plane import Floats, Plane
from putt_posture.values import Point, Segment

__all__ = ["ball_distance", "ball_position", "eye_offset", "head_position", "putter_length", "shaft_lean", "shaft_lie"]


def shaft_lie(plane: Plane, *, shaft_px: Segment) -> Floats:
    """Return the angle of the shaft above the horizontal, (T,) deg. Down the line."""
    butt, sole = plane.to_cm(np.array(shaft_px))
    return _in_every_frame(plane, slope(sole, butt))


def shaft_lean(plane: Plane, *, shaft_px: Segment) -> Floats:
    """Return the angle of the shaft from the vertical, (T,) deg; + = hands toward the target. Face on."""
    butt, sole = plane.to_cm(np.array(shaft_px))
    return _in_every_frame(plane, inclination(sole, butt))


def putter_length(plane: Plane, *, shaft_px: Segment) -> Floats:
    """Return the length from the butt end of the grip to the sole, (T,) cm. Down the line."""
    butt, sole = plane.to_cm(np.array(shaft_px))
    return _in_every_frame(plane, np.linalg.norm(butt - sole))


def eye_offset(plane: Plane, *, ball_px: Point) -> Floats:
    """Return how far the eyes lie beyond the ball's centre, (T,) cm; − = inside it. Down the line."""
    return np.asarray(plane.middle("eye")[:, 0] - _ball_along(plane, ball_px))


def ball_distance(plane: Plane, *, ball_px: Point, toe_beyond_cm: float) -> Floats:
    """Return how far the ball's centre lies beyond the front of the toes, (T,) cm. Down the line.

    Parameters
    ----------
    toe_beyond_cm : float
        How far the front of the shoe lies beyond the toe landmark, cm.
    """
    return np.asarray(_ball_along(plane, ball_px) - plane.middle("foot_index")[:, 0] - toe_beyond_cm)


def ball_position(plane: Plane, *, ball_px: Point) -> Floats:
    """Return how far the ball lies toward the target from the mid-point of the ankles, (T,) cm. Face on."""
    return np.asarray(_ball_along(plane, ball_px) - plane.middle("ankle")[:, 0])


def head_position(plane: Plane, *, ball_px: Point) -> Floats:
    """Return how far the mid-point of the eyes lies toward the target from the ball, (T,) cm. Face on."""
    return np.asarray(plane.middle("eye")[:, 0] - _ball_along(plane, ball_px))


def _ball_along(plane: Plane, ball_px: Point) -> float:
    return float(plane.to_cm(np.array(ball_px))[0])


def _in_every_frame(plane: Plane, value: float | np.floating | Floats) -> Floats:
    return np.full(len(plane.points_px), float(value))
