"""Feet: a shoe round each foot, and where it begins and ends.

A shoe is the convex hull of the bare foot below the ankle, grown by the leather and stood on a sole; studio frame of
`body`, metres.
"""

from __future__ import annotations

import functools

import attrs
import numpy as np
import trimesh

from .body import SOLE, Array, Body
from .pose import Posed

LEATHER = 0.006
"""Thickness of the upper, metres."""
UPPER_ABOVE_ANKLE = 0.012
"""How far the upper reaches above the ankle's joint."""


LOW_RING = 0.022
"""The part of the foot below this height shapes the sole, metres."""


@attrs.frozen(eq=False)
class Shoe:
    """One shoe."""

    vertices: Array
    """(N, 3)"""
    faces: np.ndarray
    heel: Array
    """(3,) rearmost point of the sole."""
    toe: Array
    """(3,) foremost point of the sole."""


def put_on_shoe(posed: Posed, side: str) -> Shoe:
    """Fetch the shoe of one side, going with the foot."""
    turn, shift = posed.motion.turn[f"foot.{side}"][0], posed.motion.shift[f"foot.{side}"][0]
    vertices, faces = _last(posed.body, side)
    placed = vertices @ turn.T + shift
    toe, heel = placed[placed[:, 1].argmin()], placed[placed[:, 1].argmax()]
    ground = np.array([1.0, 1.0, 0.0])
    return Shoe(vertices=placed, faces=faces, heel=heel * ground, toe=toe * ground)


@functools.cache
def _last(body: Body, side: str) -> tuple[Array, np.ndarray]:
    """Make the shoe round the foot of the body at rest, its sole `SOLE` below the bare foot."""
    toes = [f"toe{k}-{p}.{side}" for k in range(1, 6) for p in range(1, 4)]
    skin = body.vertices[body.skin_of(f"foot.{side}", f"lowerleg02.{side}", *toes)]
    foot = skin[skin[:, 2] < body.heads[body.index[f"foot.{side}"], 2] + UPPER_ABOVE_ANKLE]
    # Grown sideways, and the lowest ring set on the ground: heel and toe keep their outline through the sole.
    around = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    ring = LEATHER * np.stack([np.cos(around), np.sin(around), np.zeros(12)], axis=1)
    grown = (foot[:, None] + ring).reshape(-1, 3)
    low = grown[grown[:, 2] < LOW_RING] * [1, 1, 0] - [0, 0, SOLE]
    hull = trimesh.convex.convex_hull(np.concatenate([grown, low]))
    return np.asarray(hull.vertices), np.asarray(hull.faces)
