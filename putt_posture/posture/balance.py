"""Where the body's weight falls on the feet, from segment masses and centres of mass.

Masses after de Leva 1996 (see `putt_posture.body`); the putter is left out. A still body balances over the point
under its centre of mass.
"""

from typing import Final

import numpy as np

from putt_posture.body import centre_of_mass
from putt_posture.posture.plane import Plane
from putt_posture.values import LANDMARK_NAMES, Estimate, Floats, Sex, Side, absent

__all__ = ["balance", "body_centre", "foot_ends", "keep_if_telling", "sideways_balance"]

FOOT_SHARE: Final = 0.152
"""Length of the foot, share of stature (Drillis and Contini 1966, as printed in Winter 2009, fig. 4.1)."""
LEAST_FOOT_SHARE: Final = FOOT_SHARE * float(np.cos(np.radians(45)))
"""Of a foot turned out by 45°, farther than anybody stands at address (judged); what looks shorter is half hidden."""
USELESS_MARGIN: Final = 50.0
"""A 95 % margin this wide, %, covers the whole foot or stance."""


def body_centre(plane: Plane, *, sex: Sex | None) -> Floats:
    """Return the centre of mass in the plane, (T, 2) cm; NaN where a joint is unseen."""
    return centre_of_mass({name: plane.at(name) for name in LANDMARK_NAMES}, sex=sex)


def foot_ends(plane: Plane) -> tuple[Floats, Floats]:
    """Return the back of the heel and the tip of the toe along the ground, (T,) and (T,) cm. Down the line."""
    return plane.middle("heel")[:, 0], plane.middle("foot_index")[:, 0]


def balance(plane: Plane, *, sex: Sex | None, stature_cm: float) -> Floats:
    """Return where the centre of mass falls along the foot, (T,) %; 0 = back of the heel, 100 = tip of the toe.

    NaN where the foot looks too short to be all in view.
    """
    heel, toe = foot_ends(plane)
    foot = np.where(toe - heel < LEAST_FOOT_SHARE * stature_cm, np.nan, toe - heel)
    return np.asarray(100 * (body_centre(plane, sex=sex)[:, 0] - heel) / foot)


def sideways_balance(plane: Plane, *, lead: Side, trail: Side, sex: Sex | None) -> Floats:
    """Return where the centre of mass falls between the ankles, (T,) %; 0 = trail ankle, 100 = lead ankle."""
    start, end = plane.at(f"{trail}_ankle")[:, 0], plane.at(f"{lead}_ankle")[:, 0]
    return np.asarray(100 * (body_centre(plane, sex=sex)[:, 0] - start) / (end - start))


def keep_if_telling(found: Estimate) -> Estimate:
    """Return the balance, or an absent one where it tells nothing or cannot be: a still body is over its feet."""
    if not found:
        return found
    reason = None
    if found.margin > USELESS_MARGIN:
        reason = (
            f"It came out no surer than ± {found.margin:.0f} %, which tells nothing; the feet look too near each "
            "other or are half hidden."
        )
    if found.high < 0 or found.low > 100:
        reason = "The weight came out beyond the feet, where nobody stands still, so a foot or a joint was misread."
    return absent(reason, unit=found.unit, view=found.view, method=found.method) if reason else found
