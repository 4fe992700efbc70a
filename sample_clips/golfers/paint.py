"""Paint: the colour of each drawn triangle of a body's skin, and where hair or a cap covers the head."""

from __future__ import annotations

import numpy as np

from .body import SIDES_LEAD, SIDES_TRAIL, Array, Body, start_with
from .outfit import Colour, Outfit

SHORT_SLEEVE = 0.62
"""A short sleeve ends here: share of the way from shoulder to elbow."""
SHORTS = 0.92
"""Shorts end here: share of the way from hip to knee."""
UNDER = 0.40
"""What is under a skirt or loose shorts has its colour down to here: share of the way from hip to knee."""
HAIR_THICKNESS = {"short": 0.010, "long": 0.020, "cap": 0.014, "bald": 0.0}
PATTERN_STEP = 0.035
"""Width of a stripe, metres."""


def paint_skin(body: Body, outfit: Outfit, centres: Array, names: np.ndarray, hair: np.ndarray) -> Array:
    """Colours (F, 3) of the skin's triangles.

    Parameters
    ----------
    centres : (F, 3) at rest.
    names : (F,) bone that moves each triangle.
    hair : (F,) bool, where hair or a cap lies.
    """
    colours = np.tile(np.array(outfit.skin), (len(names), 1))
    waist = body.heads[body.index["spine04"], 2] + 0.01
    trunk = start_with(names, "root", "pelvis", "spine", "breast", "clavicle", "shoulder")
    legs = start_with(names, "upperleg", "lowerleg", "pelvis", "root", "foot", "toe")
    colours[trunk & (centres[:, 2] >= waist)] = outfit.shirt
    colours[(trunk | legs) & (centres[:, 2] < waist)] = outfit.trousers
    end = SHORTS if outfit.legs == "shorts" and not outfit.leg_girth else UNDER
    for side in (SIDES_LEAD, SIDES_TRAIL):
        arm = body.share_along(centres, f"upperarm01.{side}", f"lowerarm01.{side}")
        upper = start_with(names, f"upperarm01.{side}", f"upperarm02.{side}")
        lower = start_with(names, f"lowerarm01.{side}", f"lowerarm02.{side}")
        colours[(upper | lower) & (arm < (SHORT_SLEEVE if outfit.sleeves == "short" else 0.98))] = outfit.shirt
        if outfit.sleeves == "long":
            colours[lower & (body.share_along(centres, f"lowerarm01.{side}", f"wrist.{side}") < 0.93)] = outfit.shirt
        if outfit.legs != "long":
            leg = body.share_along(centres, f"upperleg01.{side}", f"lowerleg01.{side}")
            lower_leg = start_with(
                names, f"upperleg02.{side}", f"lowerleg01.{side}", f"lowerleg02.{side}", f"foot.{side}"
            )
            colours[lower_leg & (leg > end)] = outfit.skin
            colours[lower_leg & (centres[:, 2] < body.heads[body.index[f"foot.{side}"], 2] + 0.06)] = (0.9, 0.9, 0.9)
    colours[
        start_with(names, "neck", "spine")
        & (centres[:, 2] < body.heads[body.index["neck01"], 2] + 0.012)
        & (centres[:, 2] >= waist)
    ] = outfit.shirt
    if outfit.pattern != "plain":
        printed = (colours == np.array(outfit.shirt)).all(axis=1)
        colours[printed] = paint_cloth(outfit, centres[printed], outfit.shirt, patterned=True)
    _paint_face(body, outfit, names, centres, colours)
    colours[hair] = outfit.hair if outfit.hair_style != "cap" else outfit.shirt
    return colours


def paint_cloth(outfit: Outfit, centres: Array, colour: Colour, *, patterned: bool) -> Array:
    """Colours (F, 3) of a garment's triangles, `centres` (F, 3) at rest."""
    colours = np.tile(np.array(colour), (len(centres), 1))
    if patterned and outfit.pattern != "plain":
        up, across = (np.floor(centres[:, k] / PATTERN_STEP).astype(int) % 2 == 0 for k in (2, 0))
        colours[up if outfit.pattern == "stripes" else up & across] = outfit.pattern_colour
    return colours


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
    low = {"short": -0.35, "long": -0.85, "cap": 0.10, "bald": 9.0}[outfit.hair_style]
    cover = (up > 0.48) | ((behind > 0.012) & (up > low)) | ((behind > -0.035) & (up > 0.22))
    ear_width = abs((body.marks["left_ear"] @ at)[0])
    is_ear = (np.abs(at[:, 0]) > ear_width - 0.012) & (np.abs(behind) < 0.03) & (up < 0.22)
    thick = np.zeros(len(at))
    chosen = np.zeros(len(at), dtype=bool)
    chosen[head] = True
    thick[chosen & cover & ~is_ear] = HAIR_THICKNESS[outfit.hair_style]
    return thick


def _paint_face(body: Body, outfit: Outfit, names: np.ndarray, centres: Array, colours: Array) -> None:
    colours[start_with(names, "oris05", "oris01", "oris03")] *= np.array([0.92, 0.75, 0.74])
    eyes = start_with(names, "eye.")
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
