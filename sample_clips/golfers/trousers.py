"""Trousers: loose long trousers and shorts. Rest frame of `Body`, metres."""

from __future__ import annotations

import numpy as np

from .body import start_with
from .draping import Garment
from .tailoring import LEVEL, Cloth, cut_out, measure_girths

CLEAR = 0.006
"""How far they lie off the skin at least, metres."""
SEAT_EASE, LEG_EASE = 0.02, (0.05, 0.90)
"""How much wider they are than the seat, and the least and the most than a leg, as a share."""
CROTCH = 0.09
"""Legs begin this far under the hip joints, metres."""
TURN_UP = 0.015
"""Long trousers end this far over the ankle joints, metres."""
WAISTBAND = 0.03


def cut_trousers(cloth: Cloth, *, girth: float, end: float | None) -> Garment:
    """Cut loose trousers or shorts.

    Parameters
    ----------
    girth : round a leg at its end, metres.
    end : share of the way from hip to knee where shorts end; None for long trousers.
    """
    body, middles = cloth.body, cloth.middles
    waist = body.heads[body.index["spine04"], 2] + 0.01
    hip, knee, ankle = (body.heads[body.index[f"{b}.L"], 2] for b in ("upperleg01", "lowerleg01", "foot"))
    hem = ankle + TURN_UP if end is None else hip + end * (knee - hip)
    limb = start_with(cloth.names, "root", "pelvis", "spine", "upperleg", "lowerleg")
    piece = cut_out(cloth, limb & (middles[:, 2] < waist) & (middles[:, 2] > hem))
    at = piece.vertices
    wider = np.full(len(at), SEAT_EASE)
    least, most = LEG_EASE
    leg = body.vertices[body.skin_of("upperleg", "lowerleg")]
    for sign in (1.0, -1.0):
        girths = measure_girths(leg[(leg[:, 0] * sign > 0) & (leg[:, 2] < hip - CROTCH)])
        mine = (at[:, 0] * sign > 0) & (at[:, 2] < hip - CROTCH)
        own = np.array([girths.get(round(z / LEVEL), girth) for z in at[mine, 2]])
        wider[mine] = np.clip(np.maximum(girth / own, 1 + least) - 1, 0.0, most)
    return piece.sew(wider=wider, held=at[:, 2] > waist - WAISTBAND, clear=CLEAR)
