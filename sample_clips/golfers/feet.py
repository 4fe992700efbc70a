"""Feet: a shoe round each foot, and where it begins and ends.

A shoe is the convex hull of the bare foot below the ankle, grown by the leather and stood on a sole; studio frame of `body`, metres.
"""

from __future__ import annotations

import attrs
import numpy as np
import trimesh

from .body import SOLE, Array
from .pose import Posed

LEATHER = 0.006
"""Thickness of the upper, metres."""
SHAFT_ABOVE_ANKLE = 0.012
"""How far the upper reaches above the ankle's joint."""


@attrs.frozen(eq=False)
class Shoe:
    """One shoe."""

    mesh: trimesh.Trimesh
    heel: Array
    """(3,) rearmost point at the sole."""
    toe: Array
    """(3,) foremost point at the sole."""


def put_on_shoe(posed: Posed, side: str) -> Shoe:
    """Wrap a shoe round the foot of one side."""
    rows = posed.body.skin_of(f"foot.{side}", *(f"toe{k}-{p}.{side}" for k in range(1, 6) for p in range(1, 4)), f"lowerleg02.{side}")
    skin = posed.skin[rows]
    foot = skin[skin[:, 2] < posed.joints[f"foot.{side}"][2] + SHAFT_ABOVE_ANKLE]
    # Grow sideways, and set the lowest ring on the ground: heel and toe keep their outline through the sole.
    ring = LEATHER * np.stack([np.cos(a := np.linspace(0, 2 * np.pi, 12, endpoint=False)), np.sin(a), np.zeros(12)], axis=1)
    grown = (foot[:, None] + ring).reshape(-1, 3)
    low = grown[grown[:, 2] < SOLE + 0.022] * [1, 1, 0]
    mesh = trimesh.convex.convex_hull(np.concatenate([grown, low]))
    toe, heel = mesh.vertices[mesh.vertices[:, 1].argmin()], mesh.vertices[mesh.vertices[:, 1].argmax()]
    ground = np.array([1.0, 1.0, 0.0])
    return Shoe(mesh=mesh, heel=heel * ground, toe=toe * ground)
