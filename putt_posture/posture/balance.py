"""Where the body's weight falls on the feet, from segment masses and centres of mass.

Masses after de Leva 1996 (see `putt_posture.body`); the putter is left out. A still body balances over the point
under its centre of mass.
"""

import numpy as np

from putt_posture.body import centre_of_mass
from putt_posture.posture.plane import Floats, Plane, Side
from putt_posture.values import LANDMARK_NAMES, Sex

__all__ = ["balance", "body_centre", "foot_ends", "sideways_balance"]


def body_centre(plane: Plane, *, sex: Sex | None) -> Floats:
    """Return the centre of mass in the plane, (T, 2) cm; NaN where a joint is unseen."""
    return centre_of_mass({name: plane.at(name) for name in LANDMARK_NAMES}, sex=sex)


def foot_ends(plane: Plane) -> tuple[Floats, Floats]:
    """Return the back of the heel and the tip of the toe along the ground, (T,) and (T,) cm. Down the line."""
    return plane.middle("heel")[:, 0], plane.middle("foot_index")[:, 0]


def balance(plane: Plane, *, sex: Sex | None) -> Floats:
    """Return where the centre of mass falls along the foot, (T,) %; 0 = back of the heel, 100 = tip of the toe."""
    heel, toe = foot_ends(plane)
    return np.asarray(100 * (body_centre(plane, sex=sex)[:, 0] - heel) / (toe - heel))


def sideways_balance(plane: Plane, *, lead: Side, trail: Side, sex: Sex | None) -> Floats:
    """Return where the centre of mass falls between the ankles, (T,) %; 0 = trail ankle, 100 = lead ankle."""
    start, end = plane.at(f"{trail}_ankle")[:, 0], plane.at(f"{lead}_ankle")[:, 0]
    return np.asarray(100 * (body_centre(plane, sex=sex)[:, 0] - start) / (end - start))
