"""Segments: the centre of mass of a body from its joints.

Masses and centres: de Leva, "Adjustments to Zatsiorsky-Seluyanov's segment inertia parameters", J. Biomechanics 29
(1996) 1223-1230. Trunk from mid-shoulder to mid-hip; head from the crown down; hand from the wrist to the third
knuckle; foot from heel to toe.
"""

from __future__ import annotations

import numpy as np

from .body import Array, Sex

SEGMENTS: dict[Sex, dict[str, tuple[float, float]]] = {
    "male": {
        "head": (0.0694, 0.5002), "trunk": (0.4346, 0.4310), "arm": (0.0271, 0.5772), "forearm": (0.0162, 0.4574),
        "hand": (0.0061, 0.7900), "thigh": (0.1416, 0.4095), "shank": (0.0433, 0.4395), "foot": (0.0137, 0.4415),
    },
    "female": {
        "head": (0.0668, 0.4841), "trunk": (0.4257, 0.3782), "arm": (0.0255, 0.5754), "forearm": (0.0138, 0.4559),
        "hand": (0.0056, 0.7474), "thigh": (0.1478, 0.3612), "shank": (0.0481, 0.4352), "foot": (0.0129, 0.4014),
    },
}  # fmt: skip
"""Segment to (share of body mass, share of the length from its first end)."""


def centre_of_mass(sex: Sex, at: dict[str, Array]) -> Array:
    """Centre of mass (..., 3) from joints (..., 3).

    Parameters
    ----------
    sex : whose table.
    at : `crown`, and with `.L` and `.R`: hip, knee, ankle, shoulder, elbow, wrist, middle (third knuckle);
    optional heel, toe
        (without them the foot's mass sits at the ankle); optional `nape` (without it the head starts at the
        mid-shoulder).
    """
    table = SEGMENTS[sex]
    shoulder, hip = (at["shoulder.L"] + at["shoulder.R"]) / 2, (at["hip.L"] + at["hip.R"]) / 2
    total = np.zeros_like(hip)
    mass = 0.0

    def add(name: str, start: Array, end: Array) -> None:
        nonlocal total, mass
        share, along = table[name]
        total = total + share * (start + along * (end - start))
        mass += share

    add("head", at["crown"], at.get("nape", shoulder))
    add("trunk", shoulder, hip)
    for side in ("L", "R"):
        add("arm", at[f"shoulder.{side}"], at[f"elbow.{side}"])
        add("forearm", at[f"elbow.{side}"], at[f"wrist.{side}"])
        add("hand", at[f"wrist.{side}"], at[f"middle.{side}"])
        add("thigh", at[f"hip.{side}"], at[f"knee.{side}"])
        add("shank", at[f"knee.{side}"], at[f"ankle.{side}"])
        add("foot", at.get(f"heel.{side}", at[f"ankle.{side}"]), at.get(f"toe.{side}", at[f"ankle.{side}"]))
    return np.asarray(total / mass)
