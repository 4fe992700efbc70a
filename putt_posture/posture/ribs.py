"""A section of the trunk, and how far a point is from it.

The trunk at one level is taken as an ellipse square to the spine line. Lengths are cm.
"""

import math
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.values import Floats

__all__ = ["ARM_RADIUS_CM", "ARM_RADIUS_SD_CM", "TrunkSection", "distance_to_section"]

ARM_RADIUS_CM: Final = 3.5
"""Middle line of the arm to its skin about the elbow: half the usual breadth across the elbow with its skin (from
memory)."""
ARM_RADIUS_SD_CM: Final = 0.6

_AROUND: Final = np.linspace(0.0, 2 * math.pi, 721)


@frozen(kw_only=True)
class TrunkSection:
    """The trunk at the elbow's level, cm.

    Attributes
    ----------
    breadth, depth : float
        Full axes of the ellipse.
    breadth_sd, depth_sd : float
        One sigma of them.
    behind : float
        How far the skin of the back lies behind the spine line there.
    """

    breadth: float
    depth: float
    breadth_sd: float
    depth_sd: float
    behind: float

    @property
    def front(self) -> float:
        """How far the front of the ribs lies ahead of the spine line, cm."""
        return self.depth - self.behind


def distance_to_section(beside_cm: Floats, ahead_cm: Floats, section: TrunkSection) -> Floats:
    """Return the distance of a point outside the trunk from its skin, (…,) cm; 0 inside.

    Parameters
    ----------
    beside_cm : (…,)
        How far the point lies to the side of the spine line, cm.
    ahead_cm : (…,)
        How far it lies ahead of the spine line, square to it, cm.
    section : TrunkSection
    """
    beside, ahead = np.broadcast_arrays(np.abs(beside_cm), ahead_cm - (section.front - section.behind) / 2)
    half_breadth, half_depth = section.breadth / 2, section.depth / 2
    rim = np.stack([half_breadth * np.cos(_AROUND), half_depth * np.sin(_AROUND)])
    distance = np.hypot(beside[..., None] - rim[0], ahead[..., None] - rim[1]).min(axis=-1)
    inside = (beside / half_breadth) ** 2 + (ahead / half_depth) ** 2 <= 1
    return np.where(np.isfinite(beside + ahead), np.where(inside, 0.0, distance), np.nan)
