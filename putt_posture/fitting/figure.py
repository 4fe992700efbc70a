"""The model in the wanted setup with its putter, as something to draw."""

import numpy as np

from putt_posture.fitting.body_model import BodySetup
from putt_posture.values import Floats, StandingFigure

__all__ = ["find_figure"]

BALL_RADIUS_CM = 4.267 / 2
"""The R&A and USGA, Equipment Rules, Part 4, 3: a ball is at least 1.680 inches (42.67 mm) across."""


def find_figure(stands: BodySetup, *, putter_cm: float) -> StandingFigure:
    """Find joints, putter and ball of a body in its setup.

    Parameters
    ----------
    stands : BodySetup
        Of one body. Its hands are drawn where the putter holds them, so a little off the stiff links of the arms.
    putter_cm : float
        Length of the putter.
    """
    joints = {name: (float(place[0]), float(place[1])) for name, place in stands.pose.joints.items()}
    lie = np.radians(float(stands.lie))
    hands_y, _ = joints["hands"]
    joints["hands"] = (hands_y, float(stands.hand_height))
    sole: Floats = np.array([hands_y + float(stands.hand_height) / np.tan(lie), 0.0])
    butt = sole + putter_cm * np.array([-np.cos(lie), np.sin(lie)])
    return StandingFigure(
        joints=joints,
        butt=(float(butt[0]), float(butt[1])),
        sole=(float(sole[0]), 0.0),
        ball=(float(sole[0]), BALL_RADIUS_CM),
        back_rounding_deg=float(stands.back_rounding),
    )
