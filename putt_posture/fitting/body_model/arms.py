"""Two arms that meet on a grip, seen from the side.

Seen from the side an arm looks shorter than it is, since it also runs sideways from the shoulder to the ribs and from
there to the grip. Angles are degrees, lengths cm; every argument may be a number or an array, and they broadcast.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike

from putt_posture.values import Floats

__all__ = ["Arm", "find_arm"]

WRIST_BESIDE_CM: Final = 5.0
"""Mid-line to the wrist joint, each side: the palms face each other across the grip (judged)."""

HAND_BESIDE_CM: Final = 3.0
"""Mid-line to the centre of a hand, each side (judged)."""


@frozen(kw_only=True, eq=False)
class Arm:
    """An arm from the side, with forearm and hand in one line.

    Attributes
    ----------
    upper, lower : (…)
        Shoulder to elbow, and elbow to hand centre, in the plane, cm.
    forearm : (…)
        Elbow to wrist in the plane, cm.
    true_upper, true_forearm : (…)
        Their lengths in space, cm.
    across : (…)
        Product of the lengths of upper arm and forearm across the plane, cm²; negative where they go opposite ways.
    """

    upper: Floats
    lower: Floats
    forearm: Floats
    true_upper: Floats
    true_forearm: Floats
    across: Floats

    def bend_from_the_side(self, bend: ArrayLike) -> Floats:
        """Return the elbow bend seen from the side for one in space, deg; 0 where the arm is as straight as possible.

        Parameters
        ----------
        bend : float or array
            Elbow bend in space, deg; 0 = straight.
        """
        along = self.true_upper * self.true_forearm * np.cos(np.radians(bend)) - self.across
        return np.asarray(np.degrees(np.arccos(np.clip(along / (self.upper * self.forearm), -1.0, 1.0))))

    def bend_in_space(self, seen: ArrayLike) -> Floats:
        """Return the elbow bend in space for one seen from the side, deg.

        Parameters
        ----------
        seen : float or array
            Elbow bend as seen from the side, deg; 0 = straight.
        """
        along = self.upper * self.forearm * np.cos(np.radians(seen)) + self.across
        return np.asarray(np.degrees(np.arccos(np.clip(along / (self.true_upper * self.true_forearm), -1.0, 1.0))))

    def reach(self, seen: ArrayLike) -> Floats:
        """Return the distance from shoulder to hand centre in the plane at a bend seen from the side, cm.

        Parameters
        ----------
        seen : float or array
            Elbow bend as seen from the side, deg; 0 = straight.
        """
        square = self.upper**2 + self.lower**2 + 2 * self.upper * self.lower * np.cos(np.radians(seen))
        return np.asarray(np.sqrt(square))

    def upper_arm_back(self, seen: ArrayLike, hand_offset: ArrayLike) -> Floats:
        """Return how far the upper arm leans back from the plumb line under the shoulder, deg; NaN out of reach.

        Shoulder, elbow and hand are a triangle. The angle from the line to the hand back to the upper arm has the sine
        lower · sin(bend) / reach; the angle of that line ahead of the plumb line has the sine offset / reach.

        Parameters
        ----------
        seen : float or array
            Elbow bend as seen from the side, deg; 0 = straight.
        hand_offset : float or array
            Hand centre outside the plumb line under the shoulder, cm, + toward the ball.
        """
        reach = self.reach(seen)
        with np.errstate(invalid="ignore"):
            behind = np.arctan2(
                self.lower * np.sin(np.radians(seen)), self.upper + self.lower * np.cos(np.radians(seen))
            )
            ahead = np.arcsin(np.asarray(hand_offset) / reach)
        return np.asarray(np.degrees(behind - ahead))

    def bend_to_reach(self, back: ArrayLike, hand_offset: ArrayLike) -> Floats:
        """Return the bend seen from the side of an upper arm that leans `back`, deg; NaN where the hand cannot reach.

        Negative where the elbow would have to bend the wrong way.

        Parameters
        ----------
        back : float or array
            How far the upper arm leans back from the plumb line, deg.
        hand_offset : float or array
            Hand centre outside the plumb line under the shoulder, cm, + toward the ball.
        """
        with np.errstate(invalid="ignore"):
            ahead = np.arcsin((np.asarray(hand_offset) + self.upper * np.sin(np.radians(back))) / self.lower)
        return np.asarray(np.asarray(back) + np.degrees(ahead))


def find_arm(lengths: Mapping[str, Floats]) -> Arm:
    """Find how the arms of a body look from the side, with the elbows beside the ribs and the hands on one grip.

    Parameters
    ----------
    lengths : mapping of str to array
        Lengths of the body, cm, as `find_lengths` names them.
    """
    out = lengths["half_ribs"] - lengths["half_shoulders"]
    inward = WRIST_BESIDE_CM - lengths["half_ribs"]
    forearm = _seen(lengths["forearm"], inward)
    return Arm(
        upper=_seen(lengths["upper_arm"], out),
        lower=forearm + _seen(lengths["hand"], np.asarray(WRIST_BESIDE_CM - HAND_BESIDE_CM)),
        forearm=forearm,
        true_upper=lengths["upper_arm"],
        true_forearm=lengths["forearm"],
        across=np.asarray(out * inward),
    )


def _seen(length: Floats, across: Floats) -> Floats:
    shown: Floats = np.sqrt(np.maximum(length**2 - across**2, (length / 2) ** 2))
    return shown
