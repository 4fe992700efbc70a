"""The way between the plane that a view sees, in centimetres, and its picture."""

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
        How far that place lies along, in the plane's own count, cm.
    px_per_cm : float
    forward : {-1, +1}
        Sign of the picture's u toward the ball (down the line) or the target (face on).
    roll_deg : float
        Camera roll; + = a true vertical leans to the right at its top.
    """

    anchor_px: Point
    anchor_cm: float
    px_per_cm: float
    forward: int
    roll_deg: float

    def points(self, plane: Floats) -> list[Point]:
        """Carry points, (N, 2) cm along and up from the ground, to the picture."""
        roll = math.radians(self.roll_deg)
        along = self.px_per_cm * self.forward * (plane[:, 0] - self.anchor_cm)
        up = self.px_per_cm * plane[:, 1]
        u = self.anchor_px[0] + along * math.cos(roll) + up * math.sin(roll)
        v = self.anchor_px[1] + along * math.sin(roll) - up * math.cos(roll)
        return [(float(a), float(b)) for a, b in zip(u, v, strict=True)]

    def plane(self, points_px: Floats) -> Floats:
        """Carry points of the picture, (N, 2) full-size pixels, to the plane: the inverse of `points`, (N, 2) cm."""
        roll = math.radians(self.roll_deg)
        du, dv = (points_px - np.array(self.anchor_px)).T
        along = (du * math.cos(roll) + dv * math.sin(roll)) * self.forward + self.px_per_cm * self.anchor_cm
        up = du * math.sin(roll) - dv * math.cos(roll)
        return np.stack([along, up], axis=-1) / self.px_per_cm

    def point(self, plane: PlanePoint) -> Point:
        """Carry one point to the picture."""
        return self.points(np.array([plane]))[0]
