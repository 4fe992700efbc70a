"""The base of the neck, which is not a landmark, from the landmarks down the line."""

from typing import Final

import numpy as np

from putt_posture.values import Floats, Landmarks, Sex, Side

__all__ = ["find_nape"]

# Distances from the mid-shoulder landmark in lengths of the line mid-hip to mid-shoulder, (along it, ahead of it). From
# rendered golfers with known joints, even seeds of sample_clips/make_stills.py; on the odd ones 1.4 % and 2.0 % of the
# trunk are left (the mean alone leaves 2.5 % and 3.7 %).
PLACE: Final = (0.061, -0.240)
FROM_EAR: Final = ((0.19, 0.22), (0.09, 0.65))
"""Where the near ear is higher or farther ahead, so is the base of the neck: per length along, then ahead."""
FROM_HIPS_APART: Final = (-0.20, 0.04)
FROM_SHOULDERS_APART: Final = (-0.22, 0.30)
"""The landmark model puts mid-points too high where the near joint is lower than the far one: correction per length
that the near one is farther along."""
OF_MEN: Final = (0.014, 0.015)
"""Added for men and subtracted for women, whose shoulder landmarks are lower and farther back."""


def find_nape(seen: Landmarks, *, near: Side, forward: int, sex: Sex | None) -> Floats:
    """Find the base of the neck in every frame, (T, 2) px; NaN where a hip, a shoulder or the near ear is unseen.

    Parameters
    ----------
    seen : Landmarks
        Down the line, as the model gave them.
    near : Side
        Which side is toward the camera.
    forward : int
        +1 where the ball side is to the right of the picture, else −1.
    sex : Sex or None
    """
    far = "left" if near == "right" else "right"
    hip, shoulder = seen.middle("hip"), seen.middle("shoulder")
    spine = shoulder - hip
    square = forward * np.column_stack([-spine[:, 1], spine[:, 0]])
    per_length = np.sum(spine**2, axis=1)

    def in_lengths(vectors: Floats) -> tuple[Floats, Floats]:
        return np.sum(vectors * spine, axis=1) / per_length, np.sum(vectors * square, axis=1) / per_length

    ear_along, ear_ahead = in_lengths(seen.point(f"{near}_ear") - shoulder)
    hips, _ = in_lengths(seen.point(f"{near}_hip") - seen.point(f"{far}_hip"))
    shoulders, _ = in_lengths(seen.point(f"{near}_shoulder") - seen.point(f"{far}_shoulder"))
    man = {"male": 1.0, "female": -1.0}.get(sex or "", 0.0)
    along, ahead = (
        PLACE[axis]
        + FROM_EAR[0][axis] * ear_along
        + FROM_EAR[1][axis] * ear_ahead
        + FROM_HIPS_APART[axis] * hips
        + FROM_SHOULDERS_APART[axis] * shoulders
        + OF_MEN[axis] * man
        for axis in (0, 1)
    )
    return np.asarray(shoulder + along[:, None] * spine + ahead[:, None] * square)
