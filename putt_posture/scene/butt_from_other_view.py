"""The butt end of a putter in the picture down the line, from the face-on picture."""

import math
from collections.abc import Mapping
from typing import Final

from attrs import evolve

from putt_posture.scene.shaft import SOLE_AHEAD_CM
from putt_posture.values import FoundShaft, Scene, View

__all__ = ["find_butt_from_other_view"]

LENT_BUTT_SD_CM: Final = 1.4
"""One sigma of a butt end from the other view alone, cm (rendered golfers)."""
_ABOVE_HANDS_CM: Final = (3.0, 22.0)
"""Possible range of the butt above the hand centre, cm."""
_MISFIT: Final = 2.0
"""Farther than this many combined sigmas from the judged butt, one of the two pictures has mistaken something else for
the grip's end."""


def find_butt_from_other_view(side: FoundShaft, front: FoundShaft, scenes: Mapping[View, Scene]) -> FoundShaft | None:
    """Return the down-the-line shaft with its butt placed by the face-on picture; None where that is impossible.

    The end of the grip is visible in both pictures. It divides the putter in the same ratio, once it is corrected that
    the sole is nearer to the face-on camera than the butt.

    Parameters
    ----------
    side : FoundShaft
        Down the line, its butt judged.
    front : FoundShaft
        Face on, its butt seen.
    scenes : mapping of View to Scene
    """
    if side.ends_px is None or not (math.isfinite(side.grip_share) and math.isfinite(front.grip_share)):
        return None
    (butt_u, butt_v), (sole_u, sole_v) = side.ends_px
    scale = scenes["down_the_line"].px_per_cm.value
    near = scenes["face_on"].distance_cm.value - SOLE_AHEAD_CM
    deeper = abs(butt_u - sole_u) / scale
    share = front.grip_share * near / (near + deeper - front.grip_share * deeper)
    stretch = side.grip_share / share
    low, high = _ABOVE_HANDS_CM
    above = side.butt_above_cm + (stretch - 1) * math.dist(*side.ends_px) / scale
    apart = abs(above - side.butt_above_cm)
    if apart > _MISFIT * math.hypot(side.butt_sd_cm, LENT_BUTT_SD_CM) or not low <= above <= high:
        return None
    # The usual place of hands and grips still counts.
    weight = side.butt_sd_cm**2 / (side.butt_sd_cm**2 + LENT_BUTT_SD_CM**2)
    above = weight * above + (1 - weight) * side.butt_above_cm
    stretch = 1 + (above - side.butt_above_cm) * scale / math.dist(*side.ends_px)
    lent = (sole_u + stretch * (butt_u - sole_u), sole_v + stretch * (butt_v - sole_v))
    return evolve(
        side, ends_px=(lent, side.ends_px[1]), butt_above_cm=above, butt_sd_cm=math.sqrt(weight) * LENT_BUTT_SD_CM
    )
