"""Measures that need the shaft or the ball, drawn by the coach or found in the picture.

Each function takes a plane and returns (T,) values; shaft and ball are picture points of the setup with what is
known of their depth.
"""

import numpy as np
from attrs import frozen

from putt_posture.posture.angles import inclination, slope
from putt_posture.posture.plane import Plane
from putt_posture.values import Floats, Point, Segment

__all__ = [
    "SeenBall",
    "SeenShaft",
    "ball_distance",
    "ball_position",
    "eye_offset",
    "head_position",
    "putter_length",
    "shaft_lean",
    "shaft_lie",
]


@frozen(kw_only=True)
class SeenShaft:
    """The shaft in one picture.

    Attributes
    ----------
    ends_px : Segment
        Butt end of the grip, then the sole.
    toward_cm : (float, float)
        How much nearer to the camera than the mid-plane each end is.
    """

    ends_px: Segment
    toward_cm: tuple[float, float] = (0.0, 0.0)

    def ends(self, plane: Plane) -> tuple[Floats, Floats]:
        """Return butt and sole in the plane, (2,) and (2,) cm."""
        butt, sole = plane.to_cm(np.array(self.ends_px), toward_cm=np.array(self.toward_cm))
        return butt, sole


@frozen(kw_only=True)
class SeenBall:
    """The ball in one picture: its centre, and how much nearer to the camera than the mid-plane it lies."""

    centre_px: Point
    toward_cm: float = 0.0

    def along(self, plane: Plane) -> float:
        """Return where the ball lies along the plane, cm."""
        return float(plane.to_cm(np.array(self.centre_px), toward_cm=self.toward_cm)[0])


def shaft_lie(plane: Plane, *, shaft: SeenShaft) -> Floats:
    """Return the angle of the shaft above the horizontal, (T,) deg. Down the line."""
    butt, sole = shaft.ends(plane)
    return _in_every_frame(plane, slope(sole, butt))


def shaft_lean(plane: Plane, *, shaft: SeenShaft) -> Floats:
    """Return the angle of the shaft from the vertical, (T,) deg; + = hands toward the target. Face on."""
    butt, sole = shaft.ends(plane)
    return _in_every_frame(plane, inclination(sole, butt))


def putter_length(plane: Plane, *, shaft: SeenShaft) -> Floats:
    """Return the length from the butt end of the grip to the sole, (T,) cm. Down the line."""
    butt, sole = shaft.ends(plane)
    toward = shaft.toward_cm[0] - shaft.toward_cm[1]
    return _in_every_frame(plane, np.hypot(np.linalg.norm(butt - sole), toward))


def eye_offset(plane: Plane, *, ball: SeenBall) -> Floats:
    """Return how far the eyes lie beyond the ball's centre, (T,) cm; − = inside it. Down the line."""
    return np.asarray(plane.middle("eye")[:, 0] - ball.along(plane))


def ball_distance(plane: Plane, *, ball: SeenBall) -> Floats:
    """Return how far the ball's centre lies beyond the front of the toes, (T,) cm. Down the line."""
    return np.asarray(ball.along(plane) - plane.middle("foot_index")[:, 0])


def ball_position(plane: Plane, *, ball: SeenBall) -> Floats:
    """Return how far the ball lies toward the target from the mid-point of the ankles, (T,) cm. Face on."""
    return np.asarray(ball.along(plane) - plane.middle("ankle")[:, 0])


def head_position(plane: Plane, *, ball: SeenBall) -> Floats:
    """Return how far the mid-point of the eyes lies toward the target from the ball, (T,) cm. Face on."""
    return np.asarray(plane.middle("eye")[:, 0] - ball.along(plane))


def _in_every_frame(plane: Plane, value: float | np.floating | Floats) -> Floats:
    return np.full(len(plane.points_px), float(value))
