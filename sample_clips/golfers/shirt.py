"""Shirt: a loose shirt, as wide below as at the chest, worn over trousers or skirt. Rest frame of `Body`, metres."""

from __future__ import annotations

from typing import Literal

import numpy as np

from .body import SIDES_LEAD, SIDES_TRAIL, Array, Body, start_with
from .draping import Garment
from .tailoring import LEVEL, Cloth, Piece, cut_out, measure_girths

SHORT_SLEEVE = 0.74
"""A loose short sleeve ends here: share of the way from shoulder to elbow."""
LONG_SLEEVE = 0.93
"""A long sleeve ends here: share of the way from elbow to wrist."""
SLEEVE_EASE = (0.05, 0.28)
"""A loose sleeve's width beyond the arm's at the shoulder and at the elbow, as a share."""
TRUNK_EASE = (0.03, 0.45)
"""The least and the most that the trunk of a shirt is wider than the trunk, as a share."""
CLEAR = 0.014
"""How far the shirt lies off the skin at least, metres: farther than trousers under it."""
MOST_OFF = 0.055
"""How far it hangs off the skin at most, metres."""
COLLAR = (-0.022, 0.012)
"""The collar that holds it, and its upper end, against the base of the neck, metres."""


def cut_shirt(cloth: Cloth, *, ease: float, sleeves: Literal["short", "long"]) -> Garment:
    """Cut a loose shirt.

    Parameters
    ----------
    ease : girth of the shirt over the chest's, as a share; below the chest it hangs as wide as at the chest.
    """
    body = cloth.body
    piece = cut_out(cloth, _covered(cloth, sleeves=sleeves))
    on_arm = np.isin(piece.rows, body.skin_of("upperarm", "lowerarm"))
    wider = _wider(piece, ease=ease)
    axis = np.tile([0.0, 0.0, 1.0], (len(piece.rows), 1))
    for side in (SIDES_LEAD, SIDES_TRAIL):
        shoulder, elbow = (body.heads[body.index[f"{bone}.{side}"]] for bone in ("upperarm01", "lowerarm01"))
        mine = on_arm & (piece.vertices[:, 0] * shoulder[0] > 0)
        axis[mine] = (elbow - shoulder) / np.linalg.norm(elbow - shoulder)
        reach = np.clip(body.share_along(piece.vertices, f"upperarm01.{side}", f"lowerarm01.{side}"), 0, 1)
        narrow, wide = SLEEVE_EASE
        wider[mine] = narrow + (wide - narrow + ease) * reach[mine]
    held = piece.vertices[:, 2] > _neck(body) + COLLAR[0]
    return piece.sew(wider=wider, axis=axis, held=held, on_arm=on_arm, clear=CLEAR, off=MOST_OFF)


def _covered(cloth: Cloth, *, sleeves: str) -> np.ndarray:
    body, names, at = cloth.body, cloth.names, cloth.middles
    hip = body.heads[body.index["upperleg01.L"], 2]
    trunk = start_with(names, "root", "pelvis", "spine", "breast", "clavicle", "shoulder", "neck", "upperleg01")
    chosen = trunk & (at[:, 2] > hip - 0.005) & (at[:, 2] < _neck(body) + COLLAR[1])
    for side in (SIDES_LEAD, SIDES_TRAIL):
        upper = start_with(names, f"upperarm01.{side}", f"upperarm02.{side}")
        lower = start_with(names, f"lowerarm01.{side}", f"lowerarm02.{side}")
        if sleeves == "short":
            chosen |= (upper | lower) & (
                body.share_along(at, f"upperarm01.{side}", f"lowerarm01.{side}") < SHORT_SLEEVE
            )
        else:
            chosen |= upper | (lower & (body.share_along(at, f"lowerarm01.{side}", f"wrist.{side}") < LONG_SLEEVE))
    return chosen


def _wider(piece: Piece, *, ease: float) -> Array:
    """How much wider the trunk of the shirt is than the trunk at each vertex (G,), as a share."""
    body, height = piece.body, piece.vertices[:, 2]
    girths = measure_girths(
        body.vertices[body.skin_of("root", "pelvis", "spine", "breast", "clavicle", "shoulder", "upperleg01")]
    )
    armpit = body.heads[body.index["upperarm02.L"], 2] - 0.02
    chest = max(girth for level, girth in girths.items() if level * LEVEL < armpit)
    own = np.array([girths.get(round(z / LEVEL), chest) for z in height])
    collar = _neck(body) + COLLAR[1]
    least, most = TRUNK_EASE
    share = np.maximum((1 + ease) * chest / own, 1 + least) - 1
    return np.asarray(np.clip(share, 0, most) * np.clip((collar - height) / (collar - armpit), 0, 1))


def _neck(body: Body) -> float:
    return float(body.heads[body.index["neck01"], 2])
