"""Skirt: rings round both legs from the waist to above the knees. Rest frame of `Body`, metres."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sparse
from scipy.spatial import cKDTree

from .body import Array, Body
from .draping import Garment
from .tailoring import grid_faces, sew_sheet

RINGS, SIDES = 16, 56
FLARE = 1.22
"""Girth of the hem over that of the hips."""
END = 0.86
"""It ends here: share of the way from hip to knee."""
CLEAR = 0.007
"""How far it lies off the skin at least, metres."""
EASE = 0.008
"""How far it is cut off the skin, metres."""
SLICE = 0.03
"""Half height of the slice that a ring is cut round, metres."""
BOUND_TO = 24
"""Each of its points moves with this many points of the skin."""


def cut_skirt(body: Body) -> Garment:
    """Cut a skirt."""
    at = _rings(body)
    rows = body.skin_of("root", "pelvis", "spine", "upperleg")
    _, near = cKDTree(body.vertices[rows]).query(at, k=BOUND_TO)
    bind = sparse.csr_array(
        (np.full(near.size, 1 / BOUND_TO), (np.repeat(np.arange(len(at)), BOUND_TO), rows[near].ravel())),
        shape=(len(at), len(body.vertices)),
    )
    return sew_sheet(
        at,
        grid_faces(RINGS, SIDES, closed=True),
        weights=sparse.csr_array(bind @ body.weights),
        held=np.arange(len(at)) < 2 * SIDES,
        clear=CLEAR,
    )


def _rings(body: Body) -> Array:
    """Lay rings (RINGS * SIDES, 3): round the body as far as the hips, from there a cone."""
    waist = body.heads[body.index["spine04"], 2] + 0.012
    hip, knee = (body.heads[body.index[f"{b}.L"], 2] for b in ("upperleg01", "lowerleg01"))
    hem = hip + END * (knee - hip)
    turn = np.linspace(0, 2 * np.pi, SIDES, endpoint=False)
    to = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    skin = body.vertices[body.skin_of("root", "pelvis", "spine", "upperleg")]
    rings: list[Array] = []
    base = np.zeros((SIDES, 2))
    for z in np.linspace(waist, hem, RINGS):
        if z >= hip:
            cut = skin[np.abs(skin[:, 2] - z) < SLICE][:, :2]
            middle = np.array([0.0, (cut[:, 1].min() + cut[:, 1].max()) / 2])
            # the farthest reach each way: a smooth round
            ring = base = middle + to * (((cut - middle) @ to.T).max(axis=0) + EASE)[:, None]
        else:
            centre = base.mean(axis=0)
            ring = centre + (base - centre) * (1 + (FLARE - 1) * (hip - z) / (hip - hem))
        rings.append(np.column_stack([ring, np.full(SIDES, z)]))
    return np.concatenate(rings)
