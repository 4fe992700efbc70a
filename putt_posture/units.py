"""Lengths, angles, days and picture points as a coach types them.

Lengths come in as text with a unit and go out as centimetres (float).
"""

import re
from datetime import date
from typing import Final

from putt_posture.errors import UnitError

__all__ = [
    "CM_PER_INCH",
    "format_feet_inches",
    "read_day",
    "read_degrees",
    "read_length_cm",
    "read_point",
    "read_segment",
]

CM_PER_INCH: Final = 2.54
"""Exact by definition (international yard and pound agreement, 1959)."""

_NUMBER = r"(\d+(?:[.,]\d+)?|\d+\s+\d+/\d+|\d+/\d+)"
_FEET = re.compile(rf"^\s*(\d+)\s*(?:ft|feet|foot|'|′|’)\s*(?:{_NUMBER}\s*(?:in|inch|inches|\"|″|”|'')?)?\s*$", re.I)
_PLAIN = re.compile(rf"^\s*{_NUMBER}\s*([a-z\"″”]+)?\s*$", re.I)
_FACTORS: Final = {
    "cm": 1.0,
    "mm": 0.1,
    "m": 100.0,
    "in": CM_PER_INCH,
    "inch": CM_PER_INCH,
    "inches": CM_PER_INCH,
    '"': CM_PER_INCH,
    "″": CM_PER_INCH,
    "”": CM_PER_INCH,
}


def read_length_cm(text: str) -> float:
    """Read a length with its unit.

    Parameters
    ----------
    text : str
        ``178cm``, ``1.78m``, ``1780 mm``, ``70in``, ``33 1/2in``, ``5ft10in``, ``5'10"`` or ``5ft``.

    Returns
    -------
    float
        Centimetres.

    Raises
    ------
    UnitError
        If it is not text, or has no number, no unit or an unknown unit.

    Examples
    --------
    >>> read_length_cm("5ft10in")
    177.8
    >>> read_length_cm("1,78m")
    178.0
    """
    if not isinstance(text, str):
        raise UnitError(f"The length {text!r} is not text. Write it with its unit, like '178cm' or '5ft10in'.")
    if feet := _FEET.match(text):
        inches = _number(feet[2]) if feet[2] else 0.0
        if inches >= 12:
            raise UnitError(
                f"The length {text!r} has {inches:g} inches after the feet. Give less than 12 inches there."
            )
        return round((int(feet[1]) * 12 + inches) * CM_PER_INCH, 6)
    plain = _PLAIN.match(text)
    if plain is None:
        raise UnitError(f"The length {text!r} cannot be read. Write it like 178cm, 1.78m, 70in or 5ft10in.")
    unit = (plain[2] or "").lower()
    if not unit:
        raise UnitError(f"The length {text!r} has no unit. Add one: {text.strip()}cm or {text.strip()}in, for example.")
    if unit not in _FACTORS:
        raise UnitError(f"The length {text!r} has the unknown unit {unit!r}. Use mm, cm, m, in or ft.")
    return round(_number(plain[1]) * _FACTORS[unit], 6)


def read_degrees(text: str) -> float:
    """Read an angle in degrees, with its sign.

    Parameters
    ----------
    text : str

    Raises
    ------
    UnitError
        If it is not a number, or beyond a half turn.

    Examples
    --------
    >>> read_degrees("-1.5"), read_degrees("2°")
    (-1.5, 2.0)
    """
    found = re.fullmatch(r"\s*([+-]?\d+(?:\.\d+)?)\s*(?:deg|°)?\s*", text)
    if found is None or abs(float(found[1])) > 180:
        raise UnitError(f"The angle {text!r} cannot be read. Write degrees between -180 and 180, like -1.5.")
    return float(found[1])


def read_day(text: str) -> date:
    """Read a day.

    Parameters
    ----------
    text : str

    Raises
    ------
    UnitError
        If it is not a date, year first.

    Examples
    --------
    >>> read_day("2026-05-07")
    datetime.date(2026, 5, 7)
    """
    try:
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text.strip(), re.ASCII):
            return date.fromisoformat(text.strip())
    except ValueError:
        pass
    raise UnitError(f"The day {text!r} cannot be read. Write year-month-day, like 2026-05-07.")


def read_point(text: str) -> tuple[float, float]:
    """Read a picture point ``u,v`` in pixels.

    Parameters
    ----------
    text : str

    Raises
    ------
    UnitError
        If it is not two non-negative numbers with a comma between them.

    Examples
    --------
    >>> read_point("640,1012.5")
    (640.0, 1012.5)
    """
    found = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*,\s*(\d+(?:\.\d+)?)\s*", text)
    if found is None:
        raise UnitError(f"The picture point {text!r} cannot be read. Write it as pixels from the top left: 640,1012.")
    return float(found[1]), float(found[2])


def read_segment(text: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Read two picture points ``u1,v1 u2,v2`` in pixels.

    Parameters
    ----------
    text : str

    Raises
    ------
    UnitError
        If there are not two points, or they are the same.
    """
    parts = text.split()
    if len(parts) != 2:
        raise UnitError(f"{text!r} was given where two picture points were needed. Write them as 600,200 610,900.")
    first, second = read_point(parts[0]), read_point(parts[1])
    if first == second:
        raise UnitError(f"The two picture points in {text!r} are the same. Give the two ends.")
    return first, second


def format_feet_inches(length_cm: float) -> str:
    """Write a height in feet and inches to the nearest half inch.

    Parameters
    ----------
    length_cm : float

    Examples
    --------
    >>> format_feet_inches(177.8)
    '5 ft 10 in'
    """
    halves = round(length_cm / CM_PER_INCH * 2)
    feet, rest = divmod(halves, 24)
    return f"{feet} ft {rest / 2:g} in"


def _number(text: str) -> float:
    if "/" in text:
        whole, _, fraction = text.rpartition(" ")
        over, under = fraction.split("/")
        if int(under) == 0:
            raise UnitError(f"The fraction {text!r} divides by zero. Write 33.5 or 33 1/2.")
        return (int(whole) if whole.strip() else 0) + int(over) / int(under)
    return float(text.replace(",", "."))
