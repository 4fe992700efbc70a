"""Cap: the peak over the forehead; the rest of a cap lies on the head like hair. Rest frame of `Body`, metres."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sparse

from .body import Body
from .draping import Garment
from .tailoring import grid_faces, sew_sheet

OVER_EYES, LENGTH, THICKNESS = 0.032, 0.075, 0.004
HALF_SPAN = 1.15
"""Half of what the peak spans of the forehead, radians."""
OFF = 0.006
"""How far its root stands off the forehead, metres."""
SLOPE, SAG = 0.25, 0.35
"""How much it falls on its way out, and toward its corners."""
ROWS, COLUMNS = 5, 25


def cut_peak(body: Body) -> Garment:
    """Cut a curved blade over the forehead that goes with the head."""
    at = body.vertices
    eye, ear = (np.mean([body.marks[f"{w}_{m}"] @ at for w in ("left", "right")], axis=0) for m in ("eye", "ear"))
    level = eye[2] + OVER_EYES
    brow = at[(np.abs(at[:, 2] - level) < 0.012) & (np.abs(at[:, 1] - ear[1]) < 0.15)]
    half, front = np.abs(brow[:, 0]).max() + OFF, brow[:, 1].min() - OFF
    turn = np.linspace(-HALF_SPAN, HALF_SPAN, COLUMNS)
    reach = np.linspace(0.0, LENGTH, ROWS)[:, None] * np.cos(turn / HALF_SPAN * np.pi / 2) ** 0.6
    across = np.broadcast_to(half * np.sin(turn), reach.shape)
    behind = ear[1] + (front - ear[1]) * np.cos(turn) - reach
    top = np.stack([across, behind, level - SLOPE * reach - SAG * across**2 / half], axis=-1).reshape(-1, 3)
    faces = grid_faces(ROWS, COLUMNS)
    vertices = np.concatenate([top, top - [0.0, 0.0, THICKNESS]])
    weights = np.zeros((len(vertices), len(body.bones)))
    weights[:, body.index["head"]] = 1.0
    return sew_sheet(
        vertices,
        np.concatenate([faces, faces[:, ::-1] + len(top)]),
        weights=sparse.csr_array(weights),
        held=np.ones(len(vertices), dtype=bool),
    )
