"""Wardrobe: a body dressed in an outfit, and its skin brought into a pose.

Clothes that lie on the skin are colours; loose clothes are garments that hang over it. `truth` measures joints and
skin either way.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator

import attrs
import numpy as np
import scipy.sparse as sparse

from .body import Array, Body
from .cap import cut_peak
from .draping import Garment
from .outfit import Colour, Outfit
from .paint import SHORTS, hair_cover, paint_cloth, paint_skin
from .pose import Posed
from .shirt import cut_shirt
from .skirt import cut_skirt
from .tailoring import Cloth
from .trousers import cut_trousers

TROUSER_THICKNESS = 0.011
"""How far trousers stand off the skin at the shin, metres; at the hip they lie on it."""
FINE = 2
"""How often by default the triangles of trunk and limbs are halved for drawing, so that hems run straight."""


@attrs.frozen(eq=False)
class Dressed:
    """A body's drawable skin: refined triangles with colours, bound to the skin's vertices."""

    spread: sparse.csr_array
    """(W, V) drawn vertex from skin vertices."""
    faces: np.ndarray
    colours: Array
    """(F, 3)."""
    hair: Array
    """(V,) thickness of hair on the skin, metres."""
    cloth: Array
    """(V,) thickness of trousers on the skin, metres."""
    garments: tuple[Garment, ...] = ()
    """Clothes that hang over the skin."""


def dress(body: Body, outfit: Outfit, *, fine: int = FINE) -> Dressed:
    """Dress a body; `fine` is how often triangles are halved."""
    smooth = body.skin_of("root", "pelvis", "spine", "breast", "clavicle", "shoulder", "upper", "lower", "neck01")
    spread, faces = _refine(body, smooth, fine)
    rest = spread @ body.vertices
    bones = np.asarray((spread @ body.weights).argmax(axis=1)).ravel()[faces]
    names = np.array(body.bones)[np.where(bones[:, 1] == bones[:, 2], bones[:, 1], bones[:, 0])]
    hair = hair_cover(body, outfit)
    covered = (spread @ hair)[faces].min(axis=1) > 0.5 * hair.max()
    return Dressed(
        spread=spread,
        faces=faces,
        colours=paint_skin(body, outfit, rest[faces].mean(axis=1), names, covered),
        hair=hair,
        cloth=_trouser_cover(body, outfit),
        garments=tuple(_garments(Cloth(body=body, spread=spread, faces=faces, names=names), outfit)),
    )


def drape(posed: Posed, dressed: Dressed) -> tuple[Array, Array]:
    """Drawn vertices (W, 3) and their normals (W, 3) for a pose, hair and trousers added; studio frame."""
    normals = _normals(posed)
    middle = posed.motion.carry("head", _skull_middle(posed.body))[0]
    away = posed.skin - middle
    away /= np.linalg.norm(away, axis=1, keepdims=True)
    thick = posed.skin + dressed.hair[:, None] * away + dressed.cloth[:, None] * normals
    spread = dressed.spread @ normals
    return np.asarray(dressed.spread @ thick), np.asarray(spread / np.linalg.norm(spread, axis=1, keepdims=True))


def _garments(cloth: Cloth, outfit: Outfit) -> Iterator[Garment]:
    """Yield what hangs over the skin, from the innermost outward."""
    shorts = SHORTS if outfit.legs == "shorts" else None
    if outfit.legs == "skirt":
        yield _dyed(cut_skirt(cloth.body), outfit, outfit.trousers)
    elif outfit.leg_girth:
        yield _dyed(cut_trousers(cloth, girth=outfit.leg_girth, end=shorts), outfit, outfit.trousers)
    if outfit.shirt_ease:
        shirt = cut_shirt(cloth, ease=outfit.shirt_ease, sleeves=outfit.sleeves)
        yield _dyed(shirt, outfit, outfit.shirt, patterned=True)
    if outfit.peak and outfit.hair_style == "cap":
        yield _dyed(cut_peak(cloth.body), outfit, outfit.shirt)


def _dyed(garment: Garment, outfit: Outfit, colour: Colour, *, patterned: bool = False) -> Garment:
    return attrs.evolve(garment, colours=paint_cloth(outfit, garment.middles, colour, patterned=patterned))


def _trouser_cover(body: Body, outfit: Outfit) -> Array:
    if outfit.legs != "long" or outfit.leg_girth:
        return np.zeros(len(body.vertices))
    rows = body.skin_of("upperleg", "lowerleg")
    top, bottom = (body.heads[body.index[f"{bone}.L"], 2] for bone in ("upperleg01", "lowerleg01"))
    thick = np.zeros(len(body.vertices))
    thick[rows] = TROUSER_THICKNESS * np.clip((top - 0.05 - body.vertices[rows, 2]) / (top - bottom), 0, 1)
    return thick


def _refine(body: Body, rows: np.ndarray, times: int) -> tuple[sparse.csr_array, np.ndarray]:
    """Halve the triangles whose corners are all in `rows`, `times` times; the others stay."""
    chosen = np.zeros(len(body.vertices), dtype=bool)
    chosen[rows] = True
    inner = chosen[body.faces].all(axis=1)
    faces, rest = body.faces[inner], body.faces[~inner]
    spread = sparse.csr_array(sparse.eye_array(len(body.vertices)))
    for _ in range(times):
        count = spread.shape[0]
        sides = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
        edges, where = np.unique(sides, axis=0, return_inverse=True)
        a, b, c = count + where.reshape(3, -1)
        halves = sparse.csr_array(
            (np.full(2 * len(edges), 0.5), (np.repeat(np.arange(len(edges)), 2), edges.ravel())),
            shape=(len(edges), count),
        )
        spread = sparse.csr_array(sparse.vstack([spread, halves @ spread]))
        p, q, r = faces.T
        faces = np.concatenate([np.stack(t, axis=1) for t in ((p, a, c), (a, q, b), (c, b, r), (a, b, c))])
    return spread, np.concatenate([faces, rest])


def _normals(posed: Posed) -> Array:
    corners = posed.skin[posed.body.faces]
    face = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    total = _around(posed.body) @ face
    return np.asarray(total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-12))


@functools.cache
def _around(body: Body) -> sparse.csr_array:
    """(V, F) which triangles meet in a vertex."""
    count = len(body.faces)
    table = sparse.coo_array(
        (np.ones(3 * count), (body.faces.ravel(), np.repeat(np.arange(count), 3))), shape=(len(body.vertices), count)
    )
    return sparse.csr_array(table)


def _skull_middle(body: Body) -> Array:
    ear = (body.marks["left_ear"] + body.marks["right_ear"]) @ body.vertices / 2
    return np.asarray(ear + np.array([0.0, 0.0, 0.045]))
