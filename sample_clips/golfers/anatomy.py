"""Anatomy: joint centres as a biomechanist finds them, from points on the skin, and not from the rig's bones.

A rig's bone starts where its skin folds well, which is not where a joint is. So the bony landmarks that can be felt
through the skin are marked on it once (the skin has the same vertices on every body), and the joint centres follow
from them by published rules. Studio frame of `body`, metres.

- Hip: centre of the femoral head from ASIS and PSIS by the regression of Harrington and others, J. Biomech. 40 (2007)
  595-602; those of Bell and others, J. Biomech. 23 (1990) 617-621, and Hara and others, Sci. Rep. 6 (2016) 37707,
  beside it. Coefficients from memory.
- Shoulder: below the acromion along the trunk, by the mean of two rules: 17 % of the distance between the acromia (Rab
  and others, Gait & Posture 15 (2002) 113-119) and 10.4 % of the upper arm (de Leva, J. Biomech. 29 (1996) 1231-1233).
  Both from memory.
- Elbow, knee, ankle: mid-points of the epicondyles, of the malleoli. The wrist's bone starts between the styloids and
  is kept.

The centres are found on the body at rest and go with the bones on either side. Where the rig turns the two about
another point than the centre, they tear it apart, and the mean of both is taken. The shoulder goes with the shoulder
blade alone, which the acromion is a part of: the mark on the skin lies 2 to 3 cm outside of the bone, and an arm that
swings down and forward from rest would carry that distance to the front.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from .body import Array, Body

if TYPE_CHECKING:
    from .pose import Posed

__all__ = ["HIP_RULES", "find_centres", "find_hip", "find_rest_centres", "mark_bones"]

SIDES: Final = ("L", "R")

MARKS: Final[dict[str, int]] = {
    "asis": 10959, "psis": 10792, "acromion": 8260,
    "outer_epicondyle": 10037, "inner_epicondyle": 10025,
    "outer_knee": 11232, "inner_knee": 11223, "outer_malleolus": 12805, "inner_malleolus": 12910,
}  # fmt: skip
"""Vertices of the left side. Chosen on the average man and woman at rest: the sharpest bump of the groin's upper end at
0.58 of the stature, the dimple over the sacrum at 0.59 to 0.60, the outer end of the shoulder's roof at 0.818 of the
stature and 0.24 apart (ANSUR II: 0.820; 0.237 and 0.224), the knee's widest place at 0.28 (ANSUR II: 0.280 and 0.286),
the widest places of ankle (0.05) and elbow. On women the bump of the ASIS is weak."""

OVER_BONE: Final = 0.010
"""How thick skin and fat lie over ASIS and PSIS, metres (judged; the regressions are from bones seen in scans)."""

RAB: Final = 0.17
DE_LEVA: Final = 0.104

CARRIED_BY: Final = {
    "hip": ("root", "upperleg01"), "knee": ("upperleg01", "lowerleg01"), "ankle": ("lowerleg01", "foot"),
    "shoulder": ("shoulder01",), "elbow": ("upperarm02", "lowerarm01"),
}  # fmt: skip
"""The bones that carry each centre; `root` is the pelvis and `shoulder01` the shoulder blade."""


def mark_bones(body: Body) -> dict[str, Array]:
    """Find the bony landmarks on the skin of a body at rest: names of `MARKS` with `.L` or `.R`, 3 each."""
    marks = {}
    for name, row in MARKS.items():
        left = body.vertices[row]
        marks[f"{name}.L"], marks[f"{name}.R"] = left, left * [-1.0, 1.0, 1.0]
    return marks


def find_hip(marks: dict[str, Array], side: str, *, rule: str = "harrington", leg: float | None = None) -> Array:
    """Find the centre of a femoral head, 3.

    Parameters
    ----------
    marks : of `mark_bones`.
    side : `L` or `R`.
    rule : one of `HIP_RULES`.
    leg : from ASIS to inner malleolus, metres; only `hara` asks for it.
    """
    middle_front = (marks["asis.L"] + marks["asis.R"]) / 2
    middle_back = (marks["psis.L"] + marks["psis.R"]) / 2
    out = (marks["asis.L"] - marks["asis.R"]) / np.linalg.norm(marks["asis.L"] - marks["asis.R"])
    ahead = middle_front - middle_back
    ahead = ahead / np.linalg.norm(ahead)
    up = np.cross(ahead, out) if np.cross(ahead, out)[2] > 0 else np.cross(out, ahead)
    width = float(np.linalg.norm(marks["asis.L"] - marks["asis.R"]))
    depth = float(np.linalg.norm(middle_front - middle_back)) - 2 * OVER_BONE
    forward, upward, outward = HIP_RULES[rule](width, depth, leg if leg is not None else np.nan)
    sign = 1.0 if side == "L" else -1.0
    return np.asarray(middle_front - OVER_BONE * ahead + forward * ahead + upward * up + sign * outward * out)


HIP_RULES: Final = {
    "harrington": lambda width, depth, leg: (-0.24 * depth - 0.0099, -0.30 * width - 0.0109, 0.33 * width + 0.0073),
    "bell": lambda width, depth, leg: (-0.19 * width, -0.30 * width, 0.36 * width),
    "hara": lambda width, depth, leg: (0.011 - 0.063 * leg, -0.009 - 0.078 * leg, 0.008 + 0.086 * leg),
}
"""Forward, up and outward of the mid-point between the ASIS in the pelvis's own axes, metres, from the distance between
the ASIS, the depth from PSIS to ASIS and the length of the leg, metres."""


def find_rest_centres(body: Body) -> dict[str, Array]:
    """Find the joint centres of a body at rest, 3 each, names such as `hip.L`."""
    marks = mark_bones(body)
    across = float(np.linalg.norm(marks["acromion.L"] - marks["acromion.R"]))
    centres = {}
    for side in SIDES:
        arm = float(np.linalg.norm(marks[f"acromion.{side}"] - marks[f"outer_epicondyle.{side}"]))
        below = (RAB * across + DE_LEVA * arm) / 2
        centres[f"hip.{side}"] = find_hip(marks, side)
        centres[f"shoulder.{side}"] = marks[f"acromion.{side}"] - [0.0, 0.0, below]
        pairs = {"elbow": "epicondyle", "knee": "knee", "ankle": "malleolus"}
        for joint, bump in pairs.items():
            centres[f"{joint}.{side}"] = (marks[f"outer_{bump}.{side}"] + marks[f"inner_{bump}.{side}"]) / 2
    return centres


def find_centres(posed: Posed) -> dict[str, Array]:
    """Find the joint centres of a posed body, 3 each, studio frame, names such as `hip.L`."""
    centres = {}
    for name, rest in find_rest_centres(posed.body).items():
        joint, side = name.split(".")
        bones = [bone if bone == "root" else f"{bone}.{side}" for bone in CARRIED_BY[joint]]
        centres[name] = np.mean([posed.motion.carry(bone, rest)[0] for bone in bones], axis=0)
    return centres
