"""Garments: loose clothes cut to a body.

A loose shirt and loose trousers are the skin's own triangles with longer threads round the body; a skirt is a cone.
Rest frame of `Body`, metres.
"""

from __future__ import annotations

from typing import Literal

import attrs
import numpy as np
import scipy.sparse as sparse
from scipy.spatial import ConvexHull, cKDTree

from .body import SIDES_LEAD, SIDES_TRAIL, Array, Body, Indices, start_with
from .draping import Garment

LENGTHWISE_EASE = 0.015
"""Cloth is this much longer than the skin under it, as a share."""
SLEEVE_EASE = 0.28
"""A loose sleeve's width at its end beyond the arm's, as a share."""
PEAK_OVER_EYES, PEAK_LENGTH, PEAK_SPAN = 0.032, 0.075, 1.15
"""A cap's peak: above the eyes and how far it stands out, metres; half of what it spans of the forehead, radians."""
CLEAR = {"shirt": 0.014, "trousers": 0.006, "skirt": 0.007}
"""How far a garment lies off the skin at least, metres: a shirt over trousers farther than they."""
MOST_OFF = 0.055
"""How far a loose shirt hangs off the skin at most, metres."""
LEVEL = 0.03
"""Height of the slices in which girths are taken, metres."""
SKIRT_RINGS, SKIRT_SIDES = 16, 56
SKIRT_FLARE = 1.22
"""Girth of the skirt's hem over that of the hips."""
SKIRT_END = 0.86
"""A skirt ends here: share of the way from hip to knee."""


@attrs.frozen(eq=False)
class Cloth:
    """The skin's refined triangles, which clothes are cut from."""

    spread: sparse.csr_array
    """(W, V) refined vertex from skin vertices."""
    faces: Indices
    """(F, 3)."""
    names: np.ndarray
    """(F,) the bone that moves each triangle."""

    def middles(self, body: Body) -> Array:
        """Middle of each triangle at rest (F, 3)."""
        return np.asarray((self.spread @ body.vertices)[self.faces].mean(axis=1))


def cut_shirt(body: Body, cloth: Cloth, *, ease: float, sleeves: Literal["short", "long"]) -> tuple[Garment, Array]:
    """Cut a loose shirt.

    Parameters
    ----------
    ease : girth of the shirt over the chest's, as a share; below the chest it hangs as wide as at the chest.

    Returns
    -------
    garment : without colours.
    centres : (F', 3) middle of each of its drawn triangles at rest.
    """
    names, centres = cloth.names, cloth.middles(body)
    hip = body.heads[body.index["upperleg01.L"], 2]
    collar = body.heads[body.index["neck01"], 2] + 0.012
    trunk = start_with(names, "root", "pelvis", "spine", "breast", "clavicle", "shoulder", "neck", "upperleg01")
    chosen = trunk & (centres[:, 2] > hip - 0.005) & (centres[:, 2] < collar)
    for side in (SIDES_LEAD, SIDES_TRAIL):
        upper = start_with(names, f"upperarm01.{side}", f"upperarm02.{side}")
        lower = start_with(names, f"lowerarm01.{side}", f"lowerarm02.{side}")
        arm = body.share_along(centres, f"upperarm01.{side}", f"lowerarm01.{side}")
        if sleeves == "short":
            chosen |= (upper | lower) & (arm < 0.74)
        else:
            chosen |= upper | (lower & (body.share_along(centres, f"lowerarm01.{side}", f"wrist.{side}") < 0.93))
    rows, drawn, fine = _piece(cloth.spread, cloth.faces[chosen])
    at = body.vertices[rows]
    on_arm = np.isin(rows, body.skin_of("upperarm", "lowerarm"))
    edges = _edges(body, rows)
    # girths: the trunk as wide as the chest, the sleeve wider toward its end
    trunk_rows = body.skin_of("root", "pelvis", "spine", "breast", "clavicle", "shoulder", "upperleg01")
    girths = _girths(body.vertices[trunk_rows])
    armpit = body.heads[body.index["upperarm02.L"], 2] - 0.02
    chest = max(g for k, g in girths.items() if k * LEVEL < armpit)
    own = np.array([girths.get(round(z / LEVEL), chest) for z in at[:, 2]])
    low = np.clip((collar - at[:, 2]) / (collar - armpit), 0, 1)
    wider = np.maximum((1 + ease) * chest / own, 1.03) - 1
    wider = np.clip(wider, 0, 0.45) * low
    for side in (SIDES_LEAD, SIDES_TRAIL):
        reach = np.clip(body.share_along(at, f"upperarm01.{side}", f"lowerarm01.{side}"), 0, 1)
        mine = on_arm & (at[:, 0] * body.heads[body.index[f"upperarm01.{side}"], 0] > 0)
        wider[mine] = 0.05 + (SLEEVE_EASE - 0.05 + ease) * reach[mine]
    axis = np.tile([0.0, 0.0, 1.0], (len(rows), 1))
    for side in (SIDES_LEAD, SIDES_TRAIL):
        mine = on_arm & (at[:, 0] * body.heads[body.index[f"upperarm01.{side}"], 0] > 0)
        bone = body.heads[body.index[f"lowerarm01.{side}"]] - body.heads[body.index[f"upperarm01.{side}"]]
        axis[mine] = bone / np.linalg.norm(bone)
    held = at[:, 2] > body.heads[body.index["neck01"], 2] - 0.022
    garment = _sewn(
        body,
        rows,
        edges,
        wider=wider,
        axis=axis,
        held=held,
        on_arm=on_arm,
        clear=CLEAR["shirt"],
        off=MOST_OFF,
        drawn=drawn,
        fine=fine,
    )
    return garment, centres[chosen]


def cut_trousers(body: Body, cloth: Cloth, *, girth: float, end: float | None) -> tuple[Garment, Array]:
    """Cut loose trousers or shorts.

    Parameters
    ----------
    girth : of a leg at its end, metres.
    end : share of the way from hip to knee where shorts end; None for long trousers.
    """
    names, centres = cloth.names, cloth.middles(body)
    waist = body.heads[body.index["spine04"], 2] + 0.01
    hip, knee, ankle = (body.heads[body.index[f"{b}.L"], 2] for b in ("upperleg01", "lowerleg01", "foot"))
    hem = ankle + 0.015 if end is None else hip + end * (knee - hip)
    limb = start_with(names, "root", "pelvis", "spine", "upperleg", "lowerleg")
    chosen = limb & (centres[:, 2] < waist) & (centres[:, 2] > hem)
    rows, drawn, fine = _piece(cloth.spread, cloth.faces[chosen])
    at = body.vertices[rows]
    crotch = hip - 0.09
    wider = np.full(len(rows), 0.02)
    for sign in (1.0, -1.0):
        leg = body.vertices[body.skin_of("upperleg", "lowerleg")]
        girths = _girths(leg[(leg[:, 0] * sign > 0) & (leg[:, 2] < crotch)])
        mine = (at[:, 0] * sign > 0) & (at[:, 2] < crotch)
        own = np.array([girths.get(round(z / LEVEL), girth) for z in at[mine, 2]])
        wider[mine] = np.clip(np.maximum(girth / own, 1.05) - 1, 0.0, 0.9)
    axis = np.tile([0.0, 0.0, 1.0], (len(rows), 1))
    held = at[:, 2] > waist - 0.03
    nowhere = np.zeros(len(rows), dtype=bool)
    garment = _sewn(
        body,
        rows,
        _edges(body, rows),
        wider=wider,
        axis=axis,
        held=held,
        on_arm=nowhere,
        clear=CLEAR["trousers"],
        off=1.0,
        drawn=drawn,
        fine=fine,
    )
    return garment, centres[chosen]


def cut_skirt(body: Body) -> tuple[Garment, Array]:
    """Cut a skirt: rings round both legs from the waist to above the knees."""
    waist = body.heads[body.index["spine04"], 2] + 0.012
    hip, knee = (body.heads[body.index[f"{b}.L"], 2] for b in ("upperleg01", "lowerleg01"))
    hem = hip + SKIRT_END * (knee - hip)
    around = np.linspace(0, 2 * np.pi, SKIRT_SIDES, endpoint=False)
    skin = body.vertices[body.skin_of("root", "pelvis", "spine", "upperleg")]
    rings: list[Array] = []
    for z in np.linspace(waist, hem, SKIRT_RINGS):
        cut = skin[np.abs(skin[:, 2] - z) < 0.03][:, :2]
        middle = np.array([0.0, (cut[:, 1].min() + cut[:, 1].max()) / 2])
        # support function of the slice's hull: a smooth round of the same reach
        to = np.stack([np.cos(around), np.sin(around)], axis=1)
        reach = ((cut - middle) @ to.T).max(axis=0) + 0.008
        ring = middle + to * reach[:, None]
        widest = rings[-1] if rings else None
        if widest is not None and z < hip:
            low = (hip - z) / (hip - hem)
            base = rings[int(np.searchsorted(-np.linspace(waist, hem, SKIRT_RINGS), -hip)) - 1]
            centre = base[:, :2].mean(axis=0)
            ring = centre + (base[:, :2] - centre) * (1 + (SKIRT_FLARE - 1) * low)
        rings.append(np.column_stack([ring, np.full(SKIRT_SIDES, z)]))
    at = np.concatenate(rings)
    k = np.arange(SKIRT_SIDES)
    quads = [
        (r * SKIRT_SIDES + k, r * SKIRT_SIDES + (k + 1) % SKIRT_SIDES, (r + 1) * SKIRT_SIDES + k)
        for r in range(SKIRT_RINGS - 1)
    ]
    faces = np.concatenate(
        [np.concatenate([np.stack([a, c, b], 1), np.stack([b, c, c - a + b], 1)]) for a, b, c in quads]
    )
    skin_rows = body.skin_of("root", "pelvis", "spine", "upperleg")
    _, near = cKDTree(body.vertices[skin_rows]).query(at, k=24)
    bind = sparse.csr_array(
        (
            np.full(near.size, 1 / near.shape[1]),
            (np.repeat(np.arange(len(at)), near.shape[1]), skin_rows[near].ravel()),
        ),
        shape=(len(at), len(body.vertices)),
    )
    edges = _unique_edges(faces)
    garment = Garment(
        vertices=at,
        weights=sparse.csr_array(bind @ body.weights),
        edges=edges,
        lengths=np.linalg.norm(at[edges[:, 0]] - at[edges[:, 1]], axis=1),
        held=np.arange(len(at)) < 2 * SKIRT_SIDES,
        on_arm=np.zeros(len(at), dtype=bool),
        clear=CLEAR["skirt"],
        off=1.0,
        spread=sparse.csr_array(sparse.eye_array(len(at))),
        faces=faces,
        colours=np.zeros((len(faces), 3)),
    )
    return garment, at[faces].mean(axis=1)


def cut_peak(body: Body) -> tuple[Garment, Array]:
    """Cut a cap's peak: a curved blade over the forehead that goes with the head."""
    at = body.vertices
    eye = np.mean([body.marks[f"{w}_eye"] @ at for w in ("left", "right")], axis=0)
    ear = np.mean([body.marks[f"{w}_ear"] @ at for w in ("left", "right")], axis=0)
    level = eye[2] + PEAK_OVER_EYES
    slice_ = at[(np.abs(at[:, 2] - level) < 0.012) & (np.abs(at[:, 1] - ear[1]) < 0.15)]
    half, front, middle = np.abs(slice_[:, 0]).max() + 0.006, slice_[:, 1].min() - 0.006, ear[1]
    turn = np.linspace(-PEAK_SPAN, PEAK_SPAN, 25)
    rows = []
    for out in np.linspace(0.0, 1.0, 5):
        reach = out * PEAK_LENGTH * np.cos(turn / PEAK_SPAN * np.pi / 2) ** 0.6
        x, y = half * np.sin(turn), middle + (front - middle) * np.cos(turn) - reach
        rows.append(np.stack([x, y, level - 0.25 * reach - 0.35 * x**2 / half], axis=1))
    top = np.concatenate(rows)
    k = np.arange(24)
    strips = [np.concatenate([np.stack([a, b, c], 1), np.stack([b, d, c], 1)]) for a, b, c, d in _strips(k)]
    faces = np.concatenate(strips)
    vertices = np.concatenate([top, top - [0.0, 0.0, 0.004]])
    faces = np.concatenate([faces, faces[:, ::-1] + len(top)])
    weights = np.zeros((len(vertices), len(body.bones)))
    weights[:, body.index["head"]] = 1.0
    edges = _unique_edges(faces)
    garment = Garment(
        vertices=vertices,
        weights=sparse.csr_array(weights),
        edges=edges,
        lengths=np.linalg.norm(vertices[edges[:, 0]] - vertices[edges[:, 1]], axis=1),
        held=np.ones(len(vertices), dtype=bool),
        on_arm=np.zeros(len(vertices), dtype=bool),
        clear=0.0,
        off=1.0,
        spread=sparse.csr_array(sparse.eye_array(len(vertices))),
        faces=faces,
        colours=np.zeros((len(faces), 3)),
    )
    return garment, vertices[faces].mean(axis=1)


def _strips(k: Indices) -> list[tuple[Indices, Indices, Indices, Indices]]:
    return [(25 * r + k, 25 * r + k + 1, 25 * r + k + 25, 25 * r + k + 26) for r in range(4)]


def _piece(spread: sparse.csr_array, faces: Indices) -> tuple[Indices, sparse.csr_array, Indices]:
    """Skin vertices that a piece needs, drawn vertex from them, and its triangles."""
    used, fine = np.unique(faces, return_inverse=True)
    part = sparse.csr_array(spread[used])
    rows = np.unique(part.indices)
    return rows, sparse.csr_array(part[:, rows]), fine.reshape(-1, 3)


def _edges(body: Body, rows: Indices) -> Indices:
    place = np.full(len(body.vertices), -1)
    place[rows] = np.arange(len(rows))
    faces = place[body.faces]
    return _unique_edges(faces[(faces >= 0).all(axis=1)])


def _unique_edges(faces: Indices) -> Indices:
    sides = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    return np.unique(sides, axis=0)


def _girths(points: Array) -> dict[int, float]:
    """Girth of the hull of each slice."""
    level = np.round(points[:, 2] / LEVEL).astype(int)
    girths = {}
    for k in np.unique(level):
        cut = points[np.abs(points[:, 2] - k * LEVEL) < LEVEL][:, :2]
        if len(cut) > 4:
            girths[int(k)] = float(ConvexHull(cut).area)
    return girths


def _sewn(
    body: Body,
    rows: Indices,
    edges: Indices,
    *,
    wider: Array,
    axis: Array,
    held: np.ndarray,
    on_arm: np.ndarray,
    clear: float,
    off: float,
    drawn: sparse.csr_array,
    fine: Indices,
) -> Garment:
    """Sew a piece of the skin with longer threads across `axis` (G, 3) by the share `wider` (G,)."""
    at = body.vertices[rows]
    first, second = edges.T
    way = at[first] - at[second]
    length = np.linalg.norm(way, axis=1)
    lengthwise = np.abs(np.einsum("ij,ij->i", way / length[:, None], axis[first] + axis[second]) / 2)
    ease = (wider[first] + wider[second]) / 2
    return Garment(
        vertices=at,
        weights=sparse.csr_array(body.weights[rows]),
        edges=edges,
        lengths=length * (1 + LENGTHWISE_EASE + ease * (1 - lengthwise**2)),
        held=held,
        on_arm=on_arm,
        clear=clear,
        off=off,
        spread=drawn,
        faces=fine,
        colours=np.zeros((len(fine), 3)),
    )
