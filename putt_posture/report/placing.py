"""The way from the plane across the target line, in centimetres, to the picture taken down the line."""

import math

import numpy as np
from attrs import frozen

from putt_posture.values import Floats, PlanePoint, Point

__all__ = ["Placing"]


@frozen(kw_only=True)
class Placing:
    """Where points of the plane are in the picture.

    Attributes
    ----------
    anchor_px : Point
        A place on the ground, full-size pixels.
    anchor_cm : float
        How far that place lies toward the ball, in the plane's own count, cm.
    px_per_cm : float
    forward : {-1, +1}
        Sign of the picture's u toward the ball.
    roll_deg : float
        Camera roll; + = a true vertical leans to the right at its top.
    """

    anchor_px: Point
    anchor_cm: float
    px_per_cm: float
    forward: int
    roll_deg: float

    def points(self, plane: Floats) -> list[Point]:
        """Carry points, (N, 2) cm toward the ball and up from the ground, to the picture."""
        roll = math.radians(self.roll_deg)
        along = self.px_per_cm * self.forward * (plane[:, 0] - self.anchor_cm)
        up = self.px_per_cm * plane[:, 1]
        u = self.anchor_px[0] + along * math.cos(roll) + up * math.sin(roll)
        v = self.anchor_px[1] + along * math.sin(roll) - up * math.cos(roll)
        return [(float(a), float(b)) for a, b in zip(u, v, strict=True)]

    def point(self, plane: PlanePoint) -> Point:
        """Carry one point to the picture."""
        return self.points(np.array([plane]))[0]
