"""Wardrobe: what each triangle of a body's skin is covered with, and what hair adds to the head.

Clothes are colours on the skin, so that what is seen is what `truth` measures; only hair and shoes add thickness.
Colours are sRGB, 0 to 1.
"""

from __future__ import annotations

import functools
from typing import Literal

import attrs
import numpy as np
import scipy.sparse as sparse

from .body import SIDES_LEAD, SIDES_TRAIL, Array, Body
from .pose import Posed

Colour = tuple[float, float, float]

SKIN_TONES: tuple[Colour, ...] = (
    (0.94, 0.78, 0.68), (0.88, 0.69, 0.57), (0.78, 0.57, 0.43), (0.63, 0.43, 0.31),
    (0.47, 0.31, 0.22), (0.34, 0.22, 0.16),
)  # fmt: skip
HAIR_COLOURS: tuple[Colour, ...] = (
    (0.10, 0.08, 0.07),
    (0.25, 0.16, 0.10),
    (0.45, 0.31, 0.18),
    (0.70, 0.56, 0.35),
    (0.55, 0.53, 0.52),
)

SHORT_SLEEVE = 0.62
"""A short sleeve ends here: share of the way from shoulder to elbow."""
SHORTS = 0.92
"""Shorts end here: share of the way from hip to knee."""
TROUSER_THICKNESS = 0.011
"""How far trousers stand off the skin at the shin, metres; at the hip they lie on it."""
FINE = 2
"""How often by default the triangles of trunk and limbs are halved for drawing, so that hems run straight."""
HAIR_THICKNESS = {"short": 0.010, "long": 0.020, "cap": 0.014}


@attrs.frozen
class Outfit:
    """Clothes, skin and hair of one person."""

    skin: Colour = SKIN_TONES[1]
    shirt: Colour = (0.20, 0.30, 0.55)
    sleeves: Literal["short", "long"] = "short"
    trousers: Colour = (0.18, 0.18, 0.20)
    legs: Literal["long", "shorts"] = "long"
    shoes: Colour = (0.92, 0.92, 0.90)
    hair: Colour = HAIR_COLOURS[1]
    hair_style: Literal["short", "long", "cap"] = "short"


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


def dress(body: Body, outfit: Outfit, *, fine: int = FINE) -> Dressed:
    """Dress a body; `fine` is how often triangles are halved."""
    smooth = body.skin_of("root", "pelvis", "spine", "breast", "clavicle", "shoulder", "upper", "lower", "neck01")
    spread, faces = _refine(body, smooth, fine)
    rest = spread @ body.vertices
    bones = np.asarray((spread @ body.weights).argmax(axis=1)).ravel()
    hair, cloth = hair_cover(body, outfit), _trouser_cover(body, outfit)
    colours = _colours(
        body, outfit, rest[faces].mean(axis=1), bones[faces], (spread @ hair)[faces].min(axis=1) > 0.5 * hair.max()
    )
    return Dressed(spread=spread, faces=faces, colours=colours, hair=hair, cloth=cloth)


def drape(posed: Posed, dressed: Dressed) -> tuple[Array, Array]:
    """Drawn vertices (W, 3) and their normals (W, 3) for a pose, hair and trousers added; studio frame."""
    normals = _normals(posed)
    middle = posed.motion.carry("head", _skull_middle(posed.body))[0]
    away = posed.skin - middle
    away /= np.linalg.norm(away, axis=1, keepdims=True)
    thick = posed.skin + dressed.hair[:, None] * away + dressed.cloth[:, None] * normals
    spread = dressed.spread @ normals
    return np.asarray(dressed.spread @ thick), np.asarray(spread / np.linalg.norm(spread, axis=1, keepdims=True))


def _colours(body: Body, outfit: Outfit, centres: Array, dominant: np.ndarray, hair: np.ndarray) -> Array:
    bone = np.where(dominant[:, 1] == dominant[:, 2], dominant[:, 1], dominant[:, 0])
    names = np.array(body.bones)[bone]
    colours = np.tile(np.array(outfit.skin), (len(names), 1))
    waist = body.heads[body.index["spine04"], 2] + 0.01
    trunk = _starts(names, "root", "pelvis", "spine", "breast", "clavicle", "shoulder")
    legs = _starts(names, "upperleg", "lowerleg", "pelvis", "root", "foot", "toe")
    colours[trunk & (centres[:, 2] >= waist)] = outfit.shirt
    colours[(trunk | legs) & (centres[:, 2] < waist)] = outfit.trousers
    for side in (SIDES_LEAD, SIDES_TRAIL):
        arm = _along(body, centres, f"upperarm01.{side}", f"lowerarm01.{side}")
        upper = _starts(names, f"upperarm01.{side}", f"upperarm02.{side}")
        lower = _starts(names, f"lowerarm01.{side}", f"lowerarm02.{side}")
        colours[(upper | lower) & (arm < (SHORT_SLEEVE if outfit.sleeves == "short" else 0.98))] = outfit.shirt
        if outfit.sleeves == "long":
            colours[lower & (_along(body, centres, f"lowerarm01.{side}", f"wrist.{side}") < 0.93)] = outfit.shirt
        if outfit.legs == "shorts":
            leg = _along(body, centres, f"upperleg01.{side}", f"lowerleg01.{side}")
            lower_leg = _starts(names, f"upperleg02.{side}", f"lowerleg01.{side}", f"lowerleg02.{side}", f"foot.{side}")
            colours[lower_leg & (leg > SHORTS)] = outfit.skin
            colours[lower_leg & (centres[:, 2] < body.heads[body.index[f"foot.{side}"], 2] + 0.06)] = (0.9, 0.9, 0.9)
    colours[
        _starts(names, "neck", "spine")
        & (centres[:, 2] < body.heads[body.index["neck01"], 2] + 0.012)
        & (centres[:, 2] >= waist)
    ] = outfit.shirt
    _paint_face(body, outfit, names, centres, colours)
    colours[hair] = outfit.hair if outfit.hair_style != "cap" else outfit.shirt
    return colours


def _trouser_cover(body: Body, outfit: Outfit) -> Array:
    if outfit.legs == "shorts":
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


def hair_cover(body: Body, outfit: Outfit) -> Array:
    """How thick hair or cap lies on each vertex (V,), metres."""
    head = body.skin_of(
        "head", "temporalis", "oculi", "neck02", "neck03", "risorius", "orbicularis", "levator", "special"
    )
    at = body.vertices
    eye = np.mean([body.marks[f"{w}_eye"] @ at for w in ("left", "right")], axis=0)
    ear = np.mean([body.marks[f"{w}_ear"] @ at for w in ("left", "right")], axis=0)
    crown = at[:, 2].max()
    up = (at[:, 2] - eye[2]) / (crown - eye[2])
    behind = at[:, 1] - ear[1]
    low = {"short": -0.35, "long": -0.85, "cap": 0.10}[outfit.hair_style]
    cover = (up > 0.48) | ((behind > 0.012) & (up > low)) | ((behind > -0.035) & (up > 0.22))
    ear_width = abs((body.marks["left_ear"] @ at)[0])
    is_ear = (np.abs(at[:, 0]) > ear_width - 0.012) & (np.abs(behind) < 0.03) & (up < 0.22)
    thick = np.zeros(len(at))
    chosen = np.zeros(len(at), dtype=bool)
    chosen[head] = True
    thick[chosen & cover & ~is_ear] = HAIR_THICKNESS[outfit.hair_style]
    return thick


def _paint_face(body: Body, outfit: Outfit, names: np.ndarray, centres: Array, colours: Array) -> None:
    colours[_starts(names, "oris05", "oris01", "oris03")] *= np.array([0.92, 0.75, 0.74])
    eyes = _starts(names, "eye.")
    colours[eyes] = (0.93, 0.93, 0.92)
    for word in ("left", "right"):
        eye = body.marks[f"{word}_eye"] @ body.vertices
        gone = np.linalg.norm((centres - eye)[:, [0, 2]], axis=1)
        colours[eyes & (gone < 0.006)] = (0.12, 0.08, 0.06)
        brow = (
            (np.abs(centres[:, 0] - eye[0]) < 0.022)
            & (np.abs(centres[:, 2] - eye[2] - 0.022) < 0.005)
            & (centres[:, 1] < eye[1] + 0.01)
        )
        colours[brow & ~eyes] = np.array(outfit.hair) * 0.8


def _skull_middle(body: Body) -> Array:
    ear = (body.marks["left_ear"] + body.marks["right_ear"]) @ body.vertices / 2
    return np.asarray(ear + np.array([0.0, 0.0, 0.045]))


def _starts(names: np.ndarray, *starts: str) -> np.ndarray:
    return np.any([np.char.startswith(names, s) for s in starts], axis=0)


def _along(body: Body, points: Array, start: str, end: str) -> Array:
    first, last = body.heads[body.index[start]], body.heads[body.index[end]]
    line = last - first
    return np.asarray((points - first) @ line / (line @ line))
