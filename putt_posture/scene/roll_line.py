"""Which way a ball rolls in the picture, and how far it has gone along the ground.

All points are crop pixels (`scene/crops.py`); ways along the ground are cm from the place of rest.
"""

import math

import numpy as np
from attrs import evolve, frozen

from putt_posture.values import Floats

__all__ = ["RollLine"]


@frozen(kw_only=True, eq=False)
class RollLine:
    """Which way a ball rolls in the picture, and how far it is along the ground.

    Attributes
    ----------
    rest_px : (2,)
        Centre of the ball at rest.
    along : (2,)
        Unit vector of the expected way in the picture.
    px_per_cm : float
        Scale at the place of rest.
    below_horizon_px : float
        How far the place of rest is below the horizon along the way; infinite where the ball does not roll away from
        the camera.
    distance_cm : float
        From the camera to the place of rest; only for a ball that rolls away from it.
    """

    rest_px: Floats
    along: Floats
    px_per_cm: float
    below_horizon_px: float = math.inf
    distance_cm: float = math.nan

    def gone_cm(self, points_px: Floats) -> Floats:
        """Return how far points (…, 2) are along the ground, (…,) cm.

        Parameters
        ----------
        points_px : (…, 2)
        """
        way = (points_px - self.rest_px) @ self.along
        if math.isinf(self.below_horizon_px):
            return np.asarray(way / self.px_per_cm)
        left = np.maximum(self.below_horizon_px - way, 0.02 * self.below_horizon_px)
        return np.asarray(self.distance_cm * way / left)

    def px_at(self, gone_cm: float) -> float:
        """Return how far along the picture a ball is that has rolled so far, px.

        Parameters
        ----------
        gone_cm : float
        """
        if math.isinf(self.below_horizon_px):
            return gone_cm * self.px_per_cm
        return self.below_horizon_px * gone_cm / (self.distance_cm + gone_cm)

    def nearness(self, point_px: Floats) -> float:
        """Return how large things look at a place of the way, against the place of rest.

        Parameters
        ----------
        point_px : (2,)
        """
        if math.isinf(self.below_horizon_px):
            return 1.0
        gone = float(self.gone_cm(point_px))
        return float(np.clip(self.distance_cm / (self.distance_cm + gone), 0.5, 1.2))

    def px_per_cm_along(self) -> float:
        """Return how many pixels the first cm of the way takes."""
        return self.px_at(0.5) - self.px_at(-0.5)

    def from_rest(self, rest_px: Floats) -> "RollLine":
        """Return the same way from another place of rest close by.

        Parameters
        ----------
        rest_px : (2,)
            The other place of rest, crop pixels.
        """
        return evolve(self, rest_px=rest_px)
