"""Bring examples measured against a rig's bones to the anatomical centres: `python bring_to_centres.py STILLS`.

The examples behind ``landmark_error_model.npz`` are numbers of golfers whose pictures are mostly gone. They said how
far landmarks lay from the starts of the rig's bones. Where the centres lie from the bones follows from sex and tilt to
within 0.4 % of the body (face on up and down 0.6 %, the knee along the leg 0.8 to 1.3 %). That rule is fitted here on
the golfers of a study set, whose truth has both, and subtracted from the examples. Done once, on 2026-11-26; a file
that was converted already is left alone.
"""

import argparse
import itertools
import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
from learn_joints import EXAMPLES, VIEWS

from putt_posture.joints.features import TRUNK_PARTS
from putt_posture.joints.fit import residual_name
from putt_posture.values import Floats, View

PARTS: Final = ("ankle", "knee", "hip", "shoulder", "elbow")
CHAINS: Final[Mapping[View, tuple[str, ...]]] = {
    "down_the_line": ("ankle", "knee", "hip", "shoulder"),
    "face_on": ("ankle", "knee", "hip"),
}
GONE: Final = ("sex", "upper_arm", "forearm", "elbow", "wrist")
"""Features that are no longer used, by the beginning of their names."""
TRUNK: Final = 0.38
"""Length of the trunk, shares of the body's size."""
USUAL_TILT_DEG: Final = 40.0


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("stills", type=Path)
    options = parser.parse_args()
    with np.load(EXAMPLES) as kept:
        table = {name: kept[name] for name in kept.files}
    if "centres" in table:
        sys.exit(f"{EXAMPLES.name} is measured against anatomical centres already; nothing was changed.")
    truths = [json.loads(path.read_text()) for path in sorted(options.stills.glob("*_usual/truth.json"))]
    truths = [truth for truth in truths if "bones_m" in truth]
    tilts = find_tilts(table)
    for view in VIEWS:
        rule = fit_rule(truths, view)
        whose, names = table[f"{view}/whose"].tolist(), table[f"{view}/residual_names"].tolist()
        female = table[f"{view}/features"][:, table[f"{view}/feature_names"].tolist().index("sex")] < 0
        usual = float(np.median(list(tilts.values())))
        told = np.column_stack([np.ones(len(whose)), female, [tilts.get(one, usual) for one in whose]])
        told[:, 2] /= USUAL_TILT_DEG
        for name, weights in rule.items():
            table[f"{view}/residuals"][:, names.index(name)] -= (told @ weights).astype(np.float32)
        here = [not str(name).startswith(GONE) for name in table[f"{view}/feature_names"]]
        table[f"{view}/features"] = table[f"{view}/features"][:, here]
        table[f"{view}/feature_names"] = table[f"{view}/feature_names"][here]
    np.savez_compressed(EXAMPLES, **table, centres=np.array("anatomical"))


def fit_rule(truths: list[Any], view: View) -> dict[str, Floats]:
    """Return how each step from bone to centre follows from 1, being a woman, and the tilt by bones over 40°."""
    steps = [find_steps(truth, view) for truth in truths]
    told = np.array(
        [
            (1.0, truth["student"]["sex"] == "female", truth["by_bones"]["spine_tilt"] / USUAL_TILT_DEG)
            for truth in truths
        ]
    )
    values = np.array([list(one.values()) for one in steps])
    weights, *_ = np.linalg.lstsq(told, values, rcond=None)
    left = np.sqrt(np.mean((values - told @ weights) ** 2, axis=0))
    for name, mean, rest in zip(steps[0], values.mean(axis=0), left, strict=True):
        print(f"{view} {name:24s} {100 * mean:+.2f} % of the body, ± {100 * rest:.2f} once sex and tilt are known")
    return dict(zip(steps[0], weights.T, strict=True))


def find_steps(truth: Any, view: View) -> dict[str, float]:
    """Return how far each centre lies from its bone, in the golfer's axes as a square camera sees them."""
    lead, trail = ("left", "right") if truth["student"]["handed"] == "right" else ("right", "left")
    side_view = view == "down_the_line"
    sides = {"near": trail, "far": lead} if side_view else {"lead": lead, "trail": trail}
    seen = [1, 2] if side_view else [0, 2]
    bones, centres = (
        {(side, part): np.array(truth[key][f"{word}_{part}"])[seen] for side, word in sides.items() for part in PARTS}
        for key in ("bones_m", "joints_m")
    )
    middle = {part: np.mean([bones[side, part] for side in sides], axis=0) for part in PARTS}
    chain = CHAINS[view]
    size = sum(float(np.linalg.norm(middle[b] - middle[a])) for a, b in itertools.pairwise(chain))
    along = (middle["shoulder"] - middle["hip"]) / np.linalg.norm(middle["shoulder"] - middle["hip"])
    trunk = np.array([[along[1], -along[0]], along])
    return {
        residual_name(side, part, axis): float(step)
        for side, part in bones
        for axis, step in enumerate(
            (trunk if side_view and part in TRUNK_PARTS else np.eye(2))
            @ (centres[side, part] - bones[side, part])
            / size
        )
    }


def find_tilts(table: Mapping[str, Any]) -> dict[str, float]:
    """Return each golfer's tilt by bones, deg: that of the landmarks less their residuals."""
    view: View = "down_the_line"
    features, residuals = table[f"{view}/feature_names"].tolist(), table[f"{view}/residual_names"].tolist()
    raw = np.degrees(np.arcsin(np.clip(table[f"{view}/features"][:, features.index("tilt")] / 0.2, -1.0, 1.0)))

    def middle(part: str) -> Floats:
        both = [
            table[f"{view}/residuals"][:, residuals.index(residual_name(side, part, 0))] for side in ("near", "far")
        ]
        return np.asarray(np.mean(both, axis=0))

    missed = np.degrees((middle("shoulder") - middle("hip")) / TRUNK)
    return dict(zip(table[f"{view}/whose"].tolist(), (raw - missed).tolist(), strict=True))


if __name__ == "__main__":
    main()
