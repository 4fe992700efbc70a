"""Whether a face-on picture shows the chest or the back.

The model recognises left and right largely by the head. It mistakes a chest for a back where a cap or a bald crown is
bowed, and now and then a back for a chest. So four cues vote: the sides as the model names them, the hands, the toes
and the bend. Lengths are in trunk lengths, from pixels with v down; depth is smaller for nearer.
"""

from typing import Final

import numpy as np

from putt_posture.values import LANDMARK_INDEX, Floats

__all__ = ["BACK_FOR_SURE", "read_chest"]


ACROSS: Final = 0.2
"""With the left shoulder at least this far to the right of the right one, the model's sides vote for a chest; at least
as far to the left, for a back."""

TOGETHER: Final = 0.65
"""Wrists farther apart are not on one grip, and their visibility says nothing."""

HANDS: Final = (0.25, 0.5)
"""Visibility of hands on a grip. For rendered backs at address it was 0.1 at most, once 0.27, since trunk and thighs
hide the hands; for 60 chests it was 0.6 and more, except in dark pictures (0.1 to 0.2)."""

TOES: Final = (-0.06, 0.1)
"""How far the toes are below the heels in the picture. With the chest toward the camera they are nearer to it and so
lower: 0.14 to 0.29 on rendered chests, 0.07 to 0.28 on people who walk toward it; -0.23 to 0.01 from behind."""

BEND: Final = (-0.2, 0.5)
"""How much farther away than the hips the shoulders are, by the model's depth: at address -0.3 to -3.7 toward the
camera, 0.5 to 4.4 away from it, also where the sides are wrong."""

FAR_AWAY: Final = 1.5
"""A bend this far away counts twice; for a chest with the sides of a back it was 0.7 at most."""

BACK_FOR_SURE: Final = -2
"""At this sum of votes or lower it is a back, even if a closer look shows something else."""

_HANDS: Final = [LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in ("wrist", "index", "thumb")]


def read_chest(points_px: Floats, visibility: Floats, depth: Floats) -> int:
    """Add up the votes for a chest and for a back, over all frames of a face-on student.

    Parameters
    ----------
    points_px : (N, 33, 2)
        Sides as the model named them, not yet corrected; NaN where the student was not seen.
    visibility : (N, 33)
    depth : (N, 33)
        Pixels relative to the hips.

    Returns
    -------
    int
        -5 to +4: one vote for each cue and two for a far bend away; below 0 the back is seen. The sides break a tie.
    """
    seen = np.isfinite(points_px).all(axis=(1, 2))
    if not seen.any():
        return 0
    points, sure, deep = points_px[seen], visibility[seen], depth[seen]

    def pair(part: str, table: Floats) -> Floats:
        return np.asarray(table[:, [LANDMARK_INDEX[f"left_{part}"], LANDMARK_INDEX[f"right_{part}"]]])

    def mean(part: str, table: Floats) -> Floats:
        return np.asarray(pair(part, table).mean(axis=1))

    trunk = np.maximum(np.linalg.norm(mean("shoulder", points) - mean("hip", points), axis=1), 1.0)
    shoulders, wrists = pair("shoulder", points), pair("wrist", points)
    sides = _vote(float(np.median((shoulders[:, 0, 0] - shoulders[:, 1, 0]) / trunk)), (-ACROSS, ACROSS))
    together = np.linalg.norm(wrists[:, 0] - wrists[:, 1], axis=1) / trunk < TOGETHER
    hands = _vote(float(np.median(sure[together][:, _HANDS])), HANDS) if together.any() else 0
    toes = _vote(float(np.median((mean("foot_index", points) - mean("heel", points))[:, 1] / trunk)), TOES)
    away = float(np.median((mean("shoulder", deep) - mean("hip", deep)) / trunk))
    bend = -_vote(away, BEND) - int(away > FAR_AWAY)
    votes = sides + hands + toes + bend
    return votes or sides


def _vote(value: float, limits: tuple[float, float]) -> int:
    """-1 below the limits, +1 above them, 0 between."""
    low, high = limits
    return int(value > high) - int(value < low)
