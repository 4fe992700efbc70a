"""Numbers as people read them: digits that follow from the margin, units in centimetres and inches.

The digits follow the advice of the GUM (JCGM 100:2008, 7.2.6) not to write an uncertainty with more digits than it is
worth: a margin of 2 or more is written whole, a smaller one with one decimal.
"""

from datetime import date
from typing import Final

from putt_posture.units import CM_PER_INCH
from putt_posture.values import Estimate

__all__ = [
    "format_day",
    "format_imperial",
    "format_interval",
    "format_margin",
    "format_number",
    "format_time",
    "inches",
]

_MINUS: Final = "\N{MINUS SIGN}"
_THIN: Final = "\N{NO-BREAK SPACE}"
_SUFFIX: Final = {"deg": "°", "cm": f"{_THIN}cm", "in": f"{_THIN}in", "%": f"{_THIN}%"}
_WHOLE_FROM: Final = 2.0
"""Margins from here on are written without decimals."""


def inches(length_cm: float) -> float:
    """Turn centimetres into inches."""
    return length_cm / CM_PER_INCH


def format_number(value: float, *, decimals: int, signed: bool = False) -> str:
    """Write a number with a true minus sign and without a negative nought.

    Examples
    --------
    >>> format_number(-0.04, decimals=1), format_number(-3.26, decimals=1), format_number(4.0, decimals=0, signed=True)
    ('0.0', '−3.3', '+4')
    """
    text = f"{abs(value):.{decimals}f}"
    if float(text) == 0:
        return text
    return (_MINUS if value < 0 else "+" if signed else "") + text


def format_margin(estimate: Estimate, *, signed: bool = False, decimals: int | None = None) -> str:
    r"""Write a present estimate with its 95 % margin and its unit.

    Where the lower end is cut at the floor, the interval is written instead of ±. Without `decimals` they follow from
    the margin.

    Examples
    --------
    >>> format_margin(Estimate(value=31.26, standard_uncertainty=2.0, unit="deg"))
    '31 ± 4°'
    >>> format_margin(Estimate(value=1.0, standard_uncertainty=2.0, unit="cm", floor=0.0))
    '1 (0 to 5)\xa0cm'
    """
    return _with_margin(estimate, 1.0, estimate.unit, signed, decimals)


def format_imperial(estimate: Estimate, *, signed: bool = False) -> str:
    r"""Write a present length in inches with its 95 % margin; empty for other units.

    Examples
    --------
    >>> format_imperial(Estimate(value=5.0, standard_uncertainty=1.0, unit="cm"), signed=True)
    '+2.0 ± 0.8\xa0in'
    """
    return _with_margin(estimate, 1 / CM_PER_INCH, "in", signed) if estimate.unit == "cm" else ""


def format_interval(estimate: Estimate, *, unit: str | None = None, decimals: int | None = None) -> str:
    r"""Write the 95 % interval of a present estimate, in its own unit or (for centimetres) in inches.

    Examples
    --------
    >>> format_interval(Estimate(value=86.0, standard_uncertainty=1.0, unit="cm"), unit="in")
    '33.1 to 34.6\xa0in'
    """
    unit = unit or estimate.unit
    factor = 1 / CM_PER_INCH if unit == "in" else 1.0
    decimals = _decimals(estimate.margin * factor) if decimals is None else decimals
    low, high = (format_number(end * factor, decimals=decimals) for end in (estimate.low, estimate.high))
    return f"{low} to {high}{_SUFFIX[unit]}"


def format_day(day: date, *, short: bool = False) -> str:
    """Write a day with the month in letters.

    Examples
    --------
    >>> format_day(date(2026, 11, 7)), format_day(date(2026, 11, 7), short=True)
    ('7 November 2026', '7 Nov 2026')
    """
    return f"{day.day} {day:%b %Y}" if short else f"{day.day} {day:%B %Y}"


def format_time(seconds: float) -> str:
    r"""Write a clip time.

    Examples
    --------
    >>> format_time(3.4567), format_time(75.5)
    ('3.46\xa0s', '1:15.50')
    """
    if seconds < 60:
        return f"{seconds:.2f}{_THIN}s"
    hundredths = round(seconds * 100)
    return f"{hundredths // 6000}:{hundredths % 6000 / 100:05.2f}"


def _decimals(margin: float) -> int:
    return 0 if margin >= _WHOLE_FROM else 1


def _with_margin(estimate: Estimate, factor: float, unit: str, signed: bool, decimals: int | None = None) -> str:
    value, margin = estimate.value * factor, estimate.margin * factor
    decimals = _decimals(margin) if decimals is None else decimals
    text = format_number(value, decimals=decimals, signed=signed)
    if estimate.floor is not None and value - margin < estimate.floor * factor:
        low, high = (format_number(end * factor, decimals=decimals) for end in (estimate.low, estimate.high))
        return f"{text} ({low} to {high}){_SUFFIX[unit]}"
    return f"{text} ± {format_number(margin, decimals=decimals)}{_SUFFIX[unit]}"
