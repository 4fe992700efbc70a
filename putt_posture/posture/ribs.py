"""A section of the trunk, and how far a point is from it.

The trunk at one level is modelled as an ellipse square to the spine line. Lengths are cm.
"""

import math
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.values import Floats

__all__ = ["ARM_RADIUS_CM", "ARM_RADIUS_SD_CM", "TrunkSection", "distance_to_section"]

ARM_RADIUS_CM: Final = 3.5
"""Distance from the arm's middle line to its skin at the elbow: half the usual breadth across the elbow with its skin
(from memory)."""
ARM_RADIUS_SD_CM: Final = 0.6

_AROUND: Final = np.linspace(0.0, 2 * math.pi, 721)


@frozen(kw_only=True, eq=False)
class TrunkSection:
    """The trunk at one level or at each of several, cm.

    Attributes
    ----------
    breadth : float
        Full width of the ellipse.
    depth : (…,)
        Full depth from back to front.
    breadth_sd : float
    depth_sd : (…,)
        One sigma of them.
    behind : (…,)
        How far the skin of the back is behind the spine line there.
    """

    breadth: float
    depth: Floats
    breadth_sd: float
    depth_sd: Floats
    behind: Floats

    @property
    def front(self) -> Floats:
        """How far the front of the ribs is ahead of the spine line, cm."""
        return self.depth - self.behind


def distance_to_section(beside_cm: Floats, ahead_cm: Floats, section: TrunkSection) -> Floats:
    """Return the distance of a point outside the trunk from its skin, (…,) cm; 0 inside.

    Parameters
    ----------
    beside_cm : (…,)
        How far the point is to the side of the spine line, cm.
    ahead_cm : (…,)
        How far it lies ahead of the spine line, square to it, cm.
    section : TrunkSection
        At one level, or at that of each point.
    """
    beside, ahead = np.broadcast_arrays(np.abs(beside_cm), ahead_cm - (section.front - section.behind) / 2)
    half_breadth, half_depth = section.breadth / 2, np.asarray(section.depth / 2)
    rim_beside, rim_ahead = half_breadth * np.cos(_AROUND), half_depth[..., None] * np.sin(_AROUND)
    distance = np.hypot(beside[..., None] - rim_beside, ahead[..., None] - rim_ahead).min(axis=-1)
    inside = (beside / half_breadth) ** 2 + (ahead / half_depth) ** 2 <= 1
    return np.where(np.isfinite(beside + ahead), np.where(inside, 0.0, distance), np.nan)
