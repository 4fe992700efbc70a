"""Draping: how a piece of cloth hangs on a posed body.

Position-based dynamics (Mueller et al. 2007): points under gravity, threads that resist being stretched, and a skin
that they may not pass; no point gets farther from where the cloth is held than along the cloth (Kim et al. 2012). The
cloth comes to rest; only its last shape is used. Studio frame of `body`, metres.
"""

from __future__ import annotations

import attrs
import numpy as np
import scipy.sparse as sparse
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import cKDTree

from .body import Array, Indices
from .pose import Posed

STEPS = 90
PASSES = 8
"""Rounds of pulling the threads back to length, each step."""
FALL = 0.0009
"""How far gravity moves a free point in one step, metres."""
DAMPING = 0.90
STIFF_AGAINST_PRESSURE = 0.03
"""Threads give way to pressure, but not wholly: the rest makes the cloth stand off in folds."""
STRAIGHT = 0.97
"""A way along threads zigzags: the cloth's own way is this share of it."""
SMOOTHING = 0.08
"""Share by which a point is drawn to the middle of its neighbours each step: the cloth's stiffness against folding."""
FRICTION = 0.5
"""Share of a point's motion that the skin takes away while it is touched."""
OVER = 0.006
"""A garment lies at least this far off the one under it, metres."""
REACH = 0.09
"""Skin farther inside than this is the other side of the body, metres."""

BESIDE = 0.025
"""Skin of a limb that a piece does not belong to counts only straight under it: up to here beside, metres."""

TRUNK_AND_LEGS = ("root", "pelvis", "spine", "breast", "clavicle", "shoulder", "neck", "upperleg", "lowerleg")
ARMS = ("upperarm", "lowerarm", "wrist", "finger", "metacarpal")


@attrs.frozen(eq=False)
class Garment:
    """A piece of clothing, cut round the body at rest."""

    vertices: Array
    """(G, 3) at rest."""
    weights: sparse.csr_array
    """(G, B) share of each bone, to bring it into the pose before it hangs."""
    edges: Indices
    """(E, 2) its threads."""
    lengths: Array
    """(E,) metres."""
    held: np.ndarray
    """(G,) bool, sewn to the body: collar, waistband."""
    on_arm: np.ndarray
    """(G,) bool, sleeve."""
    clear: float
    """How far it lies off the skin at least, metres."""
    off: float
    """How far it hangs off the skin at most, metres."""
    spread: sparse.csr_array
    """(W, G) drawn vertex from garment vertices."""
    faces: Indices
    """(F, 3) drawn."""
    colours: Array = attrs.field(factory=lambda: np.zeros((0, 3)))
    """(F, 3)."""

    @property
    def middles(self) -> Array:
        """Middle of each drawn triangle at rest (F, 3)."""
        return np.asarray((self.spread @ self.vertices)[self.faces].mean(axis=1))


def hang(posed: Posed, garment: Garment, *, over: tuple[Array, Array] | None = None) -> tuple[Array, Array]:
    """Drawn vertices (W, 3) and their normals (W, 3) of a garment on a posed body.

    Parameters
    ----------
    over : vertices and normals of a garment that is worn under this one, as this function returns them.
    """
    start = _carried(posed, garment)
    settled = start if garment.held.all() else _settle(posed, garment, start, over)
    drawn = np.asarray(garment.spread @ settled)
    return drawn, _normals(drawn, garment.faces)


def _settle(posed: Posed, garment: Garment, start: Array, over: tuple[Array, Array] | None) -> Array:
    """Let the cloth come to rest from `start` (G, 3)."""
    trunk, arms = _Wall.of(posed, *TRUNK_AND_LEGS), _Wall.of(posed, *ARMS)
    forearms = _Wall.of(posed, *ARMS[1:])
    under = None if over is None else _Wall(points=over[0], normals=over[1], tree=cKDTree(over[0]))
    first, second = garment.edges.T
    count, threads = len(start), len(garment.edges)
    ends = sparse.csr_array(
        (
            np.concatenate([np.ones(threads), -np.ones(threads)]),
            (np.concatenate([first, second]), np.tile(np.arange(threads), 2)),
        ),
        shape=(count, threads),
    )
    degree = np.maximum(abs(ends).sum(axis=1), 1)[:, None]
    near = sparse.csr_array(
        (np.ones(2 * threads), (np.concatenate([first, second]), np.concatenate([second, first]))),
        shape=(count, count),
    )
    free = ~garment.held[:, None]
    holder, leash = _leashes(garment)
    at, before = start.copy(), start.copy()
    for _ in range(STEPS):
        moved = at + free * (DAMPING * (at - before) - [0.0, 0.0, FALL])
        before, at = at, moved
        for _ in range(PASSES):
            along = at[first] - at[second]
            length = np.maximum(np.linalg.norm(along, axis=1), 1e-9)
            off = (length - garment.lengths) / length
            pull = np.where(off > 0, off, STIFF_AGAINST_PRESSURE * off)[:, None] * along
            at = at - free * 1.2 * (ends @ pull) / degree
        at = at + free * SMOOTHING * (near @ at / degree - at)
        off_holder = at - at[holder]
        taut = leash / np.maximum(np.linalg.norm(off_holder, axis=1), 1e-9)
        at = at[holder] + off_holder * np.minimum(taut, 1.0)[:, None]
        # the skin that a point belongs to comes last and has the last word
        for rows, walls in (
            (np.flatnonzero(garment.on_arm & ~garment.held), ((trunk, BESIDE), (arms, REACH))),
            (np.flatnonzero(~garment.on_arm & ~garment.held), ((arms, BESIDE), (forearms, REACH), (trunk, REACH))),
        ):
            for wall, beside in walls:
                at[rows], touched = wall.push_out(at[rows], clear=garment.clear, beside=beside)
                before[rows[touched]] += FRICTION * (at[rows[touched]] - before[rows[touched]])
            at[rows] = walls[-1][0].hold_near(at[rows], reach=garment.off)
        if under is not None:
            rows = np.flatnonzero(~garment.on_arm & ~garment.held)
            at[rows], _ = under.push_out(at[rows], clear=OVER)
    return at


@attrs.frozen(eq=False)
class _Wall:
    """Skin that cloth may not pass."""

    points: Array
    normals: Array
    tree: cKDTree

    @classmethod
    def of(cls, posed: Posed, *bones: str) -> _Wall:
        rows = posed.body.skin_of(*bones)
        normals = _normals(posed.skin, posed.body.faces)
        return cls(points=posed.skin[rows], normals=normals[rows], tree=cKDTree(posed.skin[rows]))

    def push_out(self, at: Array, *, clear: float, beside: float = REACH) -> tuple[Array, np.ndarray]:
        """Points outside the skin (N, 3) and which of them touched it (N,)."""
        if not len(at):
            return at, np.zeros(0, dtype=bool)
        away, rows = self.tree.query(at)
        normal = self.normals[rows]
        height = np.einsum("ij,ij->i", at - self.points[rows], normal)
        depth = clear - height
        touched = (depth > 0) & (away < REACH) & (away**2 - height**2 < beside**2)
        return at + np.where(touched, depth, 0.0)[:, None] * normal, touched

    def hold_near(self, at: Array, *, reach: float) -> Array:
        """Points (N, 3) drawn back to `reach` from the skin."""
        away, rows = self.tree.query(at)
        share = np.minimum(reach / np.maximum(away, 1e-9), 1.0)[:, None]
        return np.asarray(self.points[rows] + share * (at - self.points[rows]))


def _leashes(garment: Garment) -> tuple[Indices, Array]:
    """Nearest held point (G,) of each point along the cloth, and how far it is (G,), metres."""
    count = len(garment.vertices)
    graph = sparse.csr_array((garment.lengths, (garment.edges[:, 0], garment.edges[:, 1])), shape=(count, count))
    way, _, source = dijkstra(
        graph, directed=False, indices=np.flatnonzero(garment.held), return_predecessors=True, min_only=True
    )
    own = np.where(source < 0, np.arange(count), source)
    return np.asarray(own, dtype=np.int64), np.where(garment.held, 1.0, STRAIGHT * way)


def _carried(posed: Posed, garment: Garment) -> Array:
    bones = posed.body.bones
    turn = np.stack([posed.motion.turn[b][0] for b in bones]).reshape(-1, 9)
    shift = np.stack([posed.motion.shift[b][0] for b in bones])
    blend = np.asarray(garment.weights @ np.concatenate([turn, shift], axis=1))
    return np.einsum("vij,vj->vi", blend[:, :9].reshape(-1, 3, 3), garment.vertices) + blend[:, 9:]


def _normals(vertices: Array, faces: Indices) -> Array:
    corners = vertices[faces]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    total = np.zeros_like(vertices)
    for k in range(3):
        np.add.at(total, faces[:, k], across)
    return np.asarray(total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-12))
