"""The measures of balance: where the body's weight falls on the feet.

From segment masses (`putt_posture.posture.balance`); the putter is left out. A still body balances over the point under
its centre of mass. Formulas take a plane and return (T,) percent; NaN where a joint is unseen.

Axes and signs are those of ``measures.md`` beside this file.
"""

from functools import partial
from typing import Any, Final

import numpy as np

from putt_posture.measures.record import DOWN_THE_LINE, FACE_ON, Measure, Reading, Said, Shift, Words
from putt_posture.measures.sketch import Between, Bracket, Mark, Pointer, Polyline, Ring, Sketch
from putt_posture.posture.balance import LEAST_FOOT_SHARE, body_centre, foot_ends
from putt_posture.posture.plane import Plane
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.values import Estimate, Floats, Sex, Side, absent

__all__ = ["BALANCE", "SIDEWAYS_BALANCE", "balance", "sideways_balance"]

USELESS_MARGIN: Final = 50.0
"""A 95 % margin this wide covers the whole foot or stance, %."""

_MASS: Final = Mark("balance", 0)
_GROUND: Final = Mark("balance", 1)
_FOOT: Final = Bracket(Mark("foot", 0), Mark("foot", 1), tick=0.3)
_PLUMB_LINE: Final[dict[str, Any]] = {
    "strokes": (Polyline((_MASS, _GROUND), width=0.07, dashed=True), Ring(_MASS, radius=0.28), Pointer(_GROUND)),
    "anchor": Between(_MASS, _GROUND, share=0.42),
}


def balance(plane: Plane, *, sex: Sex | None, stature_cm: float) -> Floats:
    """Return where the centre of mass falls along the foot, (T,) %; 0 = back of the heel, 100 = tip of the toe.

    NaN where the foot looks too short to be fully visible.

    Parameters
    ----------
    plane : Plane
    sex : {"female", "male"} or None
        Which table of masses.
    stature_cm : float
        Barefoot height, cm.
    """
    heel, toe = foot_ends(plane)
    foot = np.where(toe - heel < LEAST_FOOT_SHARE * stature_cm, np.nan, toe - heel)
    return np.asarray(100 * (body_centre(plane, sex=sex)[:, 0] - heel) / foot)


def sideways_balance(plane: Plane, *, lead: Side, trail: Side, sex: Sex | None) -> Floats:
    """Return where the centre of mass falls between the ankles, (T,) %; 0 = trail ankle, 100 = lead ankle.

    Parameters
    ----------
    plane : Plane
    lead : Side
    trail : Side
    sex : {"female", "male"} or None
        Which table of masses.
    """
    start, end = plane.at(f"{trail}_ankle")[:, 0], plane.at(f"{lead}_ankle")[:, 0]
    return np.asarray(100 * (body_centre(plane, sex=sex)[:, 0] - start) / (end - start))


def _read_along_foot(seen: SeenSetup) -> Reading:
    return Reading(
        of=partial(balance, sex=seen.student.sex, stature_cm=seen.student.stature_cm),
        view="down_the_line",
        method="segment masses on the landmarks",
        unseen="A joint or a foot is hidden or outside the picture, so the centre of mass is not known.",
    )


def _read_between_feet(seen: SeenSetup) -> Reading:
    return Reading(
        of=partial(sideways_balance, lead=seen.side("lead"), trail=seen.side("trail"), sex=seen.student.sex),
        view="face_on",
        method="segment masses on the landmarks",
        unseen="A joint is hidden or outside the picture, so the centre of mass is not known.",
    )


def _keep_if_telling(found: Estimate, _seen: SeenSetup) -> Estimate:
    """Return the balance, or an absent one where it is too uncertain or impossible: a still body is over its feet."""
    if not found:
        return found
    reason = None
    if found.margin > USELESS_MARGIN:
        reason = (
            f"Its uncertainty of ± {found.margin:.0f} % is too large to be useful; the feet look too near each other "
            "or are half hidden."
        )
    if found.high < 0 or found.low > 100:
        reason = "The weight was found outside the feet, where no one can stand still: a foot or a joint was misread."
    return absent(reason, unit=found.unit, view=found.view, method=found.method) if reason else found


BALANCE: Final = Measure(
    name="balance",
    order=140,
    part="balance",
    unit="%",
    views=DOWN_THE_LINE,
    axes="y",
    title="Balance, heel to toe",
    definition=(
        "Where the centre of mass of the body, by the masses of its segments and without the putter, falls along "
        "the foot: heel to tip of the toe is 100 %."
    ),
    words=Words(
        what="Where the body's centre of mass falls along the foot, from the shape of the body, the putter left out.",
        direction="0 % is the back of the heel, 100 % the tip of the toe.",
        stroke="The nearer it is to either end, the less room there is to sway before the feet have to work, and "
        "the less still the body tends to be over the ball.",
        said=Said(plus="of the way from heel to toe"),
    ),
    shift=Shift(
        more="The weight is further toward the toes: the nearer the end of the foot, the less still the body tends to "
        "be over the ball.",
        less="The weight is further toward the heels: the nearer the end of the foot, the less still the body tends to "
        "be over the ball.",
    ),
    reading=_read_along_foot,
    settle=_keep_if_telling,
    model_sd=6.0,
    scatter_sd=4.0,
    sketches={
        "down_the_line": Sketch(rank=6, wanted=(-1.0, 0.3), more=(_FOOT,), **_PLUMB_LINE),
    },
)


SIDEWAYS_BALANCE: Final = Measure(
    name="sideways_balance",
    order=230,
    part="balance",
    unit="%",
    views=FACE_ON,
    axes="x",
    title="Balance, foot to foot",
    definition=(
        "Where the centre of mass of the body, by the masses of its segments and without the putter, falls between "
        "the ankle joints: trail to lead is 100 %."
    ),
    words=Words(
        what="Where the body's centre of mass falls between the ankles, from the shape of the body, the putter "
        "left out.",
        direction="0 % is the trail ankle, 100 % the lead ankle, 50 % the middle.",
        stroke="Further onto the lead foot the low point of the swing tends to move forward, further onto the "
        "trail foot it tends to move back.",
        said=Said(plus="of the way from the trail to the lead ankle"),
    ),
    shift=Shift(
        more="The weight is further onto the lead foot: the low point of the swing tends to move forward.",
        less="The weight is further onto the trail foot: the low point of the swing tends to move back.",
    ),
    reading=_read_between_feet,
    settle=_keep_if_telling,
    model_sd=3.0,
    scatter_sd=4.0,
    sketches={
        "face_on": Sketch(rank=5, wanted=(1.0, 0.3), **_PLUMB_LINE),
    },
)
