"""Putter and ball: a straight shaft through the hands' centre, a head flat on the ground, a ball in front of its face.

Right-handed studio frame of `body`, metres.
"""

from __future__ import annotations

import attrs
import numpy as np

from .body import SIDES_LEAD, SIDES_TRAIL, Array
from .pose import Posed

BALL_RADIUS = 0.042_67 / 2
"""Half of 42.67 mm, the smallest diameter that the Rules of Golf allow."""
HEAD_DEPTH = 0.030
"""From the face to the back of the head along the target line."""
HEAD_LENGTH = 0.110
HEAD_HEIGHT = 0.026
GRIP_LENGTH = 0.27
BALL_GAP = 0.012
"""Between the face and the ball at address."""


@attrs.frozen(eq=False)
class Putter:
    """Where the putter lies."""

    butt: Array
    """(3,) end of the grip on the shaft's axis."""
    sole: Array
    """(3,) where the shaft's axis meets the sole: on the ground at address."""
    roll: Array = attrs.field(factory=lambda: np.eye(3))
    """(3, 3) how the head has turned since address."""

    @property
    def length(self) -> float:
        """Along the shaft's axis from the butt to the sole, metres."""
        return float(np.linalg.norm(self.butt - self.sole))

    @property
    def down(self) -> Array:
        """Unit vector from butt to sole."""
        return np.asarray((self.sole - self.butt) / self.length)


def hand_centre(posed: Posed) -> Array:
    """Mean over both hands of wrist joint, index knuckle and little-finger knuckle, (3,)."""
    names = [f"{bone}.{side}" for side in (SIDES_LEAD, SIDES_TRAIL) for bone in ("wrist", "finger2-1", "finger5-1")]
    return np.asarray(np.mean([posed.joints[n] for n in names], axis=0))


def hold_putter(posed: Posed, down: Array, *, length: float | None = None, butt_above: float = 0.13) -> Putter:
    """Put a putter into the hands.

    Parameters
    ----------
    down : (3,) unit vector along the shaft.
    length : of the putter, metres; without it the butt ends `butt_above` over the hand centre.
    """
    centre = hand_centre(posed)
    sole = centre - down * (centre[2] / down[2])
    butt = sole - down * length if length is not None else centre - down * butt_above
    return Putter(butt=butt, sole=sole)


def place_ball(putter: Putter) -> Array:
    """Centre (3,) of the ball in front of the face, the target being at +x."""
    return np.array([putter.sole[0] + HEAD_DEPTH / 2 + BALL_GAP + BALL_RADIUS, putter.sole[1], BALL_RADIUS])
