"""Tailoring: how pieces of cloth are cut from a body's skin and sewn into garments. Rest frame of `Body`, metres."""

from __future__ import annotations

import attrs
import numpy as np
import scipy.sparse as sparse
from scipy.spatial import ConvexHull

from .body import Array, Body, Indices
from .draping import Garment

LENGTHWISE_EASE = 0.015
"""Cloth is this much longer than the skin under it, as a share."""
LEVEL = 0.03
"""Height of the slices in which girths are taken, metres."""


@attrs.frozen(eq=False)
class Cloth:
    """The skin's refined triangles, which clothes are cut from."""

    body: Body
    spread: sparse.csr_array
    """(W, V) refined vertex from skin vertices."""
    faces: Indices
    """(F, 3)."""
    names: np.ndarray
    """(F,) the bone that moves each triangle."""

    @property
    def middles(self) -> Array:
        """Middle of each triangle at rest (F, 3)."""
        return np.asarray((self.spread @ self.body.vertices)[self.faces].mean(axis=1))


@attrs.frozen(eq=False)
class Piece:
    """Triangles cut out of the cloth."""

    body: Body
    rows: Indices
    """(G,) the skin's vertices that it needs."""
    spread: sparse.csr_array
    """(W', G) its drawn vertices."""
    faces: Indices
    """(F', 3)."""

    @property
    def vertices(self) -> Array:
        """(G, 3) at rest."""
        return self.body.vertices[self.rows]

    def sew(
        self,
        *,
        wider: Array,
        held: np.ndarray,
        clear: float,
        off: float = np.inf,
        axis: Array | None = None,
        on_arm: np.ndarray | None = None,
    ) -> Garment:
        """Sew it into a garment whose threads across `axis` are longer than on the skin.

        Parameters
        ----------
        wider : (G,) by what share.
        held, clear, off, on_arm : see `Garment`; nothing is on an arm by default.
        axis : (G, 3) unit vectors along trunk or limb; upward by default.
        """
        at = self.vertices
        place = np.full(len(self.body.vertices), -1)
        place[self.rows] = np.arange(len(self.rows))
        whole = place[self.body.faces]
        edges = unique_edges(whole[(whole >= 0).all(axis=1)])
        first, second = edges.T
        way = at[first] - at[second]
        length = np.linalg.norm(way, axis=1)
        along = np.tile([0.0, 0.0, 1.0], (len(at), 1)) if axis is None else axis
        lengthwise = np.abs(np.einsum("ij,ij->i", way / length[:, None], along[first] + along[second]) / 2)
        ease = (wider[first] + wider[second]) / 2
        return Garment(
            vertices=at,
            weights=sparse.csr_array(self.body.weights[self.rows]),
            edges=edges,
            lengths=length * (1 + LENGTHWISE_EASE + ease * (1 - lengthwise**2)),
            held=held,
            on_arm=np.zeros(len(at), dtype=bool) if on_arm is None else on_arm,
            clear=clear,
            off=off,
            spread=self.spread,
            faces=self.faces,
        )


def cut_out(cloth: Cloth, chosen: np.ndarray) -> Piece:
    """Cut the `chosen` triangles (F,) out of the cloth."""
    used, fine = np.unique(cloth.faces[chosen], return_inverse=True)
    part = sparse.csr_array(cloth.spread[used])
    rows = np.unique(part.indices)
    return Piece(body=cloth.body, rows=rows, spread=sparse.csr_array(part[:, rows]), faces=fine.reshape(-1, 3))


def sew_sheet(
    vertices: Array, faces: Indices, *, weights: sparse.csr_array, held: np.ndarray, clear: float = 0.0
) -> Garment:
    """Sew a garment that is not part of the skin: `vertices` (G, 3), `faces` (F, 3), `weights` (G, B)."""
    edges = unique_edges(faces)
    return Garment(
        vertices=vertices,
        weights=weights,
        edges=edges,
        lengths=np.linalg.norm(vertices[edges[:, 0]] - vertices[edges[:, 1]], axis=1),
        held=held,
        on_arm=np.zeros(len(vertices), dtype=bool),
        clear=clear,
        off=np.inf,
        spread=sparse.csr_array(sparse.eye_array(len(vertices))),
        faces=faces,
    )


def grid_faces(rows: int, columns: int, *, closed: bool = False) -> Indices:
    """Triangles (F, 3) of a grid of vertices counted row by row; `closed` joins each row's ends."""
    k = np.arange(columns if closed else columns - 1)
    n = (k + 1) % columns
    strips = []
    for start in range(0, (rows - 1) * columns, columns):
        a, b, c, d = start + k, start + n, start + columns + k, start + columns + n
        strips += [np.stack([a, c, b], axis=1), np.stack([b, c, d], axis=1)]
    return np.concatenate(strips)


def unique_edges(faces: Indices) -> Indices:
    """Edges (E, 2) of triangles (F, 3), each once."""
    sides = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    return np.unique(sides, axis=0)


def measure_girths(points: Array) -> dict[int, float]:
    """Girth of the hull of each slice of points (N, 3): number of `LEVEL`s above the ground to metres."""
    level = np.round(points[:, 2] / LEVEL).astype(int)
    girths = {}
    for k in np.unique(level):
        cut = points[np.abs(points[:, 2] - k * LEVEL) < LEVEL][:, :2]
        if len(cut) > 4:
            girths[int(k)] = float(ConvexHull(cut).area)
    return girths
