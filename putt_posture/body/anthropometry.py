"""Body dimensions predicted from stature, with the spread between people of that stature, and what shoes add.

Lengths are centimetres; statures are barefoot.
"""

import math
from typing import Final

from putt_posture.body.tables import Regression, find_table_widening, load_ansur2
from putt_posture.values import SEXES, Estimate, Sex

__all__ = ["SHOE_SOLE", "known_dimensions", "predict"]

SHOE_SOLE: Final = Estimate(
    value=2.5, standard_uncertainty=0.7, unit="cm", method="sole of a golf shoe under the heel, common practice"
)
"""How much higher a person stands in shoes, cm (common practice; no table was found)."""
TAPE_SD_CM: Final = 0.8
"""One sigma of a wrist height taken with a tape at home, cm: the crease is up to a centimetre from the bony landmark of
the survey (common practice)."""


def known_dimensions() -> tuple[str, ...]:
    """List the names that `predict` knows."""
    return tuple(dict.fromkeys(dimension for dimension, _ in load_ansur2()))


def predict(
    dimension: str, stature_cm: float, sex: Sex | None = None, *, wrist_floor_cm: float | None = None
) -> Estimate:
    """Predict a body dimension from stature and, where it was measured, standing wrist height.

    Parameters
    ----------
    dimension : str
        One of `known_dimensions`.
    stature_cm : float
        Barefoot height, cm.
    sex : {"female", "male"}, optional
        Which table. Without it: an even mixture of the two, so the difference between the sexes is part of the
        uncertainty.
    wrist_floor_cm : float, optional
        Standing height of the wrist crease, arms hanging, barefoot, cm.

    Returns
    -------
    Estimate
        cm; the standard uncertainty is the standard error of the regression (how people of one stature differ), with
        the tape's share added where the wrist height is used.

    Raises
    ------
    KeyError
        If the dimension is not in the table.

    Notes
    -----
    The people of ANSUR II are soldiers, 30 years old on average. Outside their statures the spread is widened, see
    `find_table_widening`. Depths hardly depend on stature (r = 0.2).

    Examples
    --------
    >>> hand = predict("hand_breadth", 178.0, "male")
    >>> round(hand.value, 2), round(hand.standard_uncertainty, 2)
    (8.9, 0.39)
    """
    table = load_ansur2()
    if dimension not in known_dimensions():
        raise KeyError(f"No body dimension {dimension!r}. Known are: {', '.join(known_dimensions())}.")
    sexes = SEXES if sex is None else (sex,)
    wider = find_table_widening(stature_cm, sex)
    found = [_predict(table[dimension, one], stature_cm, wrist_floor_cm, wider=wider) for one in sexes]
    value = sum(mean for mean, _ in found) / len(found)
    variance = sum(sd**2 + (mean - value) ** 2 for mean, sd in found) / len(found)
    known = "stature" if wrist_floor_cm is None else "stature and wrist height"
    return Estimate(
        value=value,
        standard_uncertainty=math.sqrt(variance),
        unit="cm",
        method=f"ANSUR II 2012 ({sex or 'both sexes'}), from {known}",
    )


def _predict(row: Regression, stature_cm: float, wrist_floor_cm: float | None, *, wider: float) -> tuple[float, float]:
    if wrist_floor_cm is None:
        return row.intercept + row.slope * stature_cm, wider * row.see
    value = row.wrist_intercept + row.wrist_stature_slope * stature_cm + row.wrist_slope * wrist_floor_cm
    return value, math.hypot(wider * row.wrist_see, row.wrist_slope * TAPE_SD_CM)
