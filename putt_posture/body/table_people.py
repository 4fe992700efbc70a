"""Whom the body tables were made of, and how much less they tell of anybody else.

ANSUR II (2012) measured adult soldiers: men of 175.6 ± 6.9 cm, women of 162.9 ± 6.4 cm. Their lines on stature go on
beyond the people, but nothing says that bodies follow them there; juniors have other proportions.
"""

from typing import Final

from putt_posture.values import Sex

__all__ = ["TABLE_STATURES_CM", "find_table_widening"]

TABLE_STATURES_CM: Final[dict[Sex | None, tuple[float, float]]] = {
    "male": (150.0, 200.0),
    "female": (150.0, 187.0),
    None: (150.0, 200.0),
}
"""Barefoot statures that the tables hold for, cm: 3.7 standard deviations about the men's mean and up to as many above
the women's. Below 150 cm women were measured too, but most who play are juniors."""

WIDENING_CM: Final = 25.0
"""Over how many cm beyond them what the tables leave open becomes twice as wide (judged: at 125 cm the men's line on
stature and an even share of it, two ways to go on, differ by 0.9, 1.9 and 2.3 standard errors for wrists, hips and
shoulders; 1.7 make a spread twice as wide)."""


def find_table_widening(stature_cm: float, sex: Sex | None) -> float:
    """Find how many times as wide as among the people of the tables bodies of a stature spread; 1 among them.

    Parameters
    ----------
    stature_cm : float
        Barefoot height, cm.
    sex : {"female", "male"}, optional

    Examples
    --------
    >>> [find_table_widening(stature, "male") for stature in (130.0, 178.0, 210.0)]
    [1.8, 1.0, 1.4]
    """
    low, high = TABLE_STATURES_CM[sex]
    return 1.0 + max(low - stature_cm, stature_cm - high, 0.0) / WIDENING_CM
