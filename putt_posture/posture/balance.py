"""The body's centre of mass, from segment masses, and the ends of the foot under it.

Masses after de Leva 1996 (see `putt_posture.body`); the putter is left out.
"""

from typing import Final

import numpy as np

from putt_posture.body import centre_of_mass
from putt_posture.posture.plane import Plane
from putt_posture.values import LANDMARK_NAMES, Floats, Sex

__all__ = ["LEAST_FOOT_SHARE", "body_centre", "foot_ends"]

FOOT_SHARE: Final = 0.152
"""Length of the foot, share of stature (Drillis and Contini 1966, as printed in Winter 2009, fig. 4.1)."""
LEAST_FOOT_SHARE: Final = FOOT_SHARE * float(np.cos(np.radians(45)))
"""Visible length of a foot turned out by 45°, more than at any address, as a share of its length (judged); a shorter
foot is half hidden."""


def body_centre(plane: Plane, *, sex: Sex | None) -> Floats:
    """Return the centre of mass in the plane, (T, 2) cm; NaN where a joint is unseen.

    Parameters
    ----------
    plane : Plane
    sex : {"female", "male"} or None
        Which table of masses.
    """
    return centre_of_mass({name: plane.at(name) for name in LANDMARK_NAMES}, sex=sex)


def foot_ends(plane: Plane) -> tuple[Floats, Floats]:
    """Return the back of the heel and the tip of the toe along the ground, (T,) and (T,) cm. Down the line.

    Parameters
    ----------
    plane : Plane
    """
    return plane.middle("heel")[:, 0], plane.middle("foot_index")[:, 0]
