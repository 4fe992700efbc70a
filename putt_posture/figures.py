"""How numbers, days and counts are printed: decided here once, for every page, picture, sentence and terminal.

A quantity has the digits of its unit wherever it stands: one decimal for degrees and lengths, none for percent.
Seconds and ratios have two at most, and no more than their margin allows: 2.1 ± 0.3, 0.67 ± 0.02 s. So a value reads
the same on a still, in a table and in a sentence, the nearest half inch is that of the length beside it, and what is
printed can be added up: an interval is the printed value less and plus the printed margin, and a difference is that of
its two printed ends. How much a digit is worth, the margin beside it says.

Spaces between number and unit do not break, but for numbers as they were typed.
"""

import math
from datetime import date
from typing import Final

from putt_posture.units import CM_PER_INCH, format_feet_inches
from putt_posture.values import Estimate

__all__ = [
    "DECIMALS",
    "as_printed",
    "count_of",
    "decimals_of",
    "format_apart",
    "format_both",
    "format_change",
    "format_day",
    "format_distance",
    "format_given",
    "format_imperial",
    "format_interval",
    "format_length",
    "format_margin",
    "format_number",
    "format_putt",
    "format_stature",
    "format_time",
    "format_value",
    "format_whole",
    "inches",
]

DECIMALS: Final = {"deg": 1, "cm": 1, "in": 1, "m": 1, "ft": 1, "%": 0, "s": 2, "ratio": 2}
"""Digits behind the point, by unit: a tenth of a degree, of a centimetre and of an inch is less than any margin here,
and a putter is cut to the half inch. Of seconds and ratios the most; see `decimals_of`."""
_BY_MARGIN: Final = frozenset({"s", "ratio"})
"""Units whose digits follow from the margin: how many frames a second a clip has decides how many of them are there."""
_MINUS: Final = "\N{MINUS SIGN}"
_NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_SUFFIX: Final = {
    "deg": "°",
    "cm": f"{_NO_BREAK}cm",
    "in": f"{_NO_BREAK}in",
    "m": f"{_NO_BREAK}m",
    "ft": f"{_NO_BREAK}ft",
    "%": f"{_NO_BREAK}%",
    "s": f"{_NO_BREAK}s",
    "ratio": "",
}


def format_day(day: date, *, short: bool = False) -> str:
    """Write a day with the month in letters.

    Parameters
    ----------
    day : date
    short : bool
        Whether the month is cut to three letters.

    Examples
    --------
    >>> format_day(date(2026, 11, 7)), format_day(date(2026, 11, 7), short=True)
    ('7 November 2026', '7 Nov 2026')
    """
    return f"{day.day} {day:%b %Y}" if short else f"{day.day} {day:%B %Y}"


def count_of(number: int, noun: str) -> str:
    """Write a number of things.

    Parameters
    ----------
    number : int
    noun : str
        In the singular.

    Examples
    --------
    >>> count_of(1, "visit"), count_of(0, "visit")
    ('1 visit', '0 visits')
    """
    return f"{number} {noun}{'' if number == 1 else 's'}"


def inches(length_cm: float) -> float:
    """Turn centimetres into inches.

    Parameters
    ----------
    length_cm : float
    """
    return length_cm / CM_PER_INCH


def decimals_of(unit: str, margin: float | None = None) -> int:
    """Return how many digits behind the point a number is printed with.

    Parameters
    ----------
    unit : str
        As `Estimate.unit`.
    margin : float, optional
        Half of its 95 % interval. Seconds and ratios have no digit that a margin of ten or more of it drowns.

    Examples
    --------
    >>> decimals_of("ratio", 0.25), decimals_of("s", 0.02), decimals_of("s", 1.3), decimals_of("cm", 5.0)
    (1, 2, 0, 1)
    """
    most = DECIMALS[unit]
    if unit not in _BY_MARGIN or margin is None or margin <= 0:
        return most
    return max(0, min(most, -math.floor(math.log10(margin))))


def as_printed(value: float, unit: str, *, margin: float | None = None) -> float:
    """Round a number to the digits in which it is printed.

    Parameters
    ----------
    value : float
    unit : str
        As `Estimate.unit`.
    margin : float, optional
        As for `decimals_of`.

    Examples
    --------
    >>> as_printed(32.64, "in"), as_printed(53.6, "%"), as_printed(2.114, "ratio", margin=0.25)
    (32.6, 54.0, 2.1)
    """
    return float(f"{value:.{decimals_of(unit, margin)}f}")


def format_number(value: float, *, decimals: int, signed: bool = False) -> str:
    """Write a number with a true minus sign and without a negative zero.

    Parameters
    ----------
    value : float
    decimals : int
    signed : bool
        Whether + is written too.

    Examples
    --------
    >>> format_number(-0.04, decimals=1), format_number(-3.26, decimals=1), format_number(4.0, decimals=0, signed=True)
    ('0.0', '−3.3', '+4')
    """
    text = f"{abs(value):.{decimals}f}"
    if float(text) == 0:
        return text
    return (_MINUS if value < 0 else "+" if signed else "") + text


def format_value(value: float, unit: str, *, signed: bool = False, margin: float | None = None) -> str:
    r"""Write a number with its unit.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : {"deg", "cm", "in", "m", "ft", "%", "s", "ratio"}
    signed : bool
        Whether a plus is written too.
    margin : float, optional
        As for `decimals_of`.

    Examples
    --------
    >>> format_value(31.26, "deg"), format_value(3.0, "cm", signed=True), format_value(2.114, "ratio", margin=0.25)
    ('31.3°', '+3.0\xa0cm', '2.1')
    """
    return f"{_bare(value, unit, signed=signed, margin=margin)}{_SUFFIX[unit]}"


def format_whole(value: float, unit: str) -> str:
    r"""Write a number in whole units: for a screen that is read from afar, where tenths only flicker.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : {"deg", "cm", "in", "m", "ft", "%", "s", "ratio"}

    Examples
    --------
    >>> format_whole(31.26, "deg"), format_whole(-0.4, "cm")
    ('31°', '0\xa0cm')
    """
    return f"{format_number(value, decimals=0)}{_SUFFIX[unit]}"


def format_given(value: float, unit: str) -> str:
    """Write a number that was typed or asked for: as it was given, to the digits of its unit.

    Parameters
    ----------
    value : float
    unit : str
        As `Estimate.unit`.

    Examples
    --------
    >>> format_given(172.72, "cm"), format_given(178.0, "cm")
    ('172.7 cm', '178 cm')
    """
    return f"{_short(value, unit)}{_SUFFIX[unit]}".replace(_NO_BREAK, " ")


def format_stature(stature_cm: float) -> str:
    """Write a stature in centimetres and in feet and inches.

    Parameters
    ----------
    stature_cm : float

    Examples
    --------
    >>> format_stature(172.72)
    '172.7 cm (5 ft 8 in)'
    """
    return f"{format_given(stature_cm, 'cm')} ({format_feet_inches(stature_cm)})"


def format_length(length_cm: float, *, signed: bool = False) -> str:
    r"""Write the length of a putter, or of a part of the body, in inches and in centimetres.

    Parameters
    ----------
    length_cm : float
    signed : bool
        Whether + is written too.

    Examples
    --------
    >>> format_length(83.82)
    '33.0\xa0in (83.8\xa0cm)'
    """
    return f"{format_value(inches(length_cm), 'in', signed=signed)} ({format_value(length_cm, 'cm', signed=signed)})"


def format_putt(putt_cm: float) -> str:
    """Write the length of a putt in metres and in feet.

    Parameters
    ----------
    putt_cm : float

    Examples
    --------
    >>> format_putt(304.8), format_putt(150.0)
    ('3 m (10 ft)', '1.5 m (4.9 ft)')
    """
    return f"{format_given(putt_cm / 100, 'm')} ({format_given(putt_cm / (12 * CM_PER_INCH), 'ft')})"


def format_apart(one_cm: float, other_cm: float) -> str:
    r"""Write how far two lengths are apart, in both units, without a sign: the difference of what is printed of them.

    Parameters
    ----------
    one_cm, other_cm : float

    Examples
    --------
    >>> format_apart(86.9, 83.82)  # 34.2 in and 33.0 in
    '1.2\xa0in (3.1\xa0cm)'
    """
    in_inches, in_cm = (
        format_value(abs(as_printed(one_cm / size, unit) - as_printed(other_cm / size, unit)), unit)
        for unit, size in (("in", CM_PER_INCH), ("cm", 1.0))
    )
    return f"{in_inches} ({in_cm})"


def format_distance(estimate: Estimate) -> str:
    r"""Write a present distance in centimetres as metres with its 95 % margin.

    Parameters
    ----------
    estimate : Estimate
        Present or absent.

    Examples
    --------
    >>> format_distance(Estimate(value=436.0, standard_uncertainty=20.0, unit="cm"))
    '4.4 ± 0.4\xa0m'
    """
    return _with_margin(estimate, 100.0, "m", signed=False)


def format_margin(estimate: Estimate, *, signed: bool = False) -> str:
    r"""Write a present estimate with its 95 % margin and its unit.

    Where the lower end is cut at the floor, the interval is written instead of ±. A number that rests on something
    typed, drawn or placed by hand says so.

    Parameters
    ----------
    estimate : Estimate
        Present or absent.
    signed : bool
        Whether + is written too.

    Examples
    --------
    >>> format_margin(Estimate(value=31.26, standard_uncertainty=2.0, unit="deg"))
    '31.3 ± 3.9°'
    >>> format_margin(Estimate(value=31.26, standard_uncertainty=2.0, unit="deg", by_hand=("left hip",)))
    '31.3 ± 3.9° (by hand)'
    >>> format_margin(Estimate(value=1.0, standard_uncertainty=2.0, unit="cm", floor=0.0))
    '1.0 (0.0 to 4.9)\xa0cm'
    >>> format_margin(Estimate(value=0.668, standard_uncertainty=0.0136, unit="s"))
    '0.67 ± 0.03\xa0s'
    """
    figure = _with_margin(estimate, 1.0, estimate.unit, signed=signed)
    return f"{figure} (by hand)" if estimate.by_hand else figure


def format_imperial(estimate: Estimate, *, signed: bool = False) -> str:
    r"""Write a present length in inches with its 95 % margin; empty for other units.

    Parameters
    ----------
    estimate : Estimate
        Present or absent.
    signed : bool
        Whether + is written too.

    Examples
    --------
    >>> format_imperial(Estimate(value=5.0, standard_uncertainty=1.0, unit="cm"), signed=True)
    '+2.0 ± 0.8\xa0in'
    """
    return _with_margin(estimate, CM_PER_INCH, "in", signed=signed) if estimate.unit == "cm" else ""


def format_both(length: Estimate, *, signed: bool = False) -> str:
    r"""Write a present length in inches and in centimetres, each with its 95 % margin.

    Parameters
    ----------
    length : Estimate
        Centimetres.
    signed : bool
        Whether + is written too.

    Examples
    --------
    >>> format_both(Estimate(value=82.9, standard_uncertainty=2.65, unit="cm"))
    '32.6 ± 2.0\xa0in (82.9 ± 5.2\xa0cm)'
    """
    return f"{format_imperial(length, signed=signed)} ({format_margin(length, signed=signed)})"


def format_interval(estimate: Estimate, *, unit: str | None = None) -> str:
    r"""Write the 95 % interval of a present estimate, in its own unit or (for centimetres) in inches.

    Its ends are the printed value less and plus the printed margin, the lower one not below the floor.

    Parameters
    ----------
    estimate : Estimate
        Present or absent.
    unit : str or None
        As `Estimate.unit`.

    Examples
    --------
    >>> format_interval(Estimate(value=86.0, standard_uncertainty=1.0, unit="cm"), unit="in")
    '33.1 to 34.7\xa0in'
    """
    unit = unit or estimate.unit
    low, high = _ends(estimate, CM_PER_INCH if (estimate.unit, unit) == ("cm", "in") else 1.0, unit)
    low_text, high_text = (_bare(each, unit, margin=estimate.margin) for each in (low, high))
    return f"{low_text} to {high_text}{_SUFFIX[unit]}"


def format_change(before: float, after: float, *, margin: float, unit: str) -> str:
    r"""Write a change with its 95 % margin: the difference of the two ends as they are printed.

    Parameters
    ----------
    before, after, margin : float
        In `unit`.
    unit : str

    Examples
    --------
    >>> format_change(27.66, 31.14, margin=3.0, unit="deg")  # printed as 27.7 and 31.1
    '+3.4 ± 3.0°'
    """
    shift = as_printed(after, unit, margin=margin) - as_printed(before, unit, margin=margin)
    return f"{_bare(shift, unit, signed=True, margin=margin)} ± {_bare_margin(margin, unit)}{_SUFFIX[unit]}"


def format_time(seconds: float) -> str:
    r"""Write a clip time.

    Parameters
    ----------
    seconds : float

    Examples
    --------
    >>> format_time(3.4567), format_time(75.5)
    ('3.46\xa0s', '1:15.50')
    """
    if seconds < 60:
        return f"{seconds:.2f}{_NO_BREAK}s"
    hundredths = round(seconds * 100)
    return f"{hundredths // 6000}:{hundredths % 6000 / 100:05.2f}"


def _bare(value: float, unit: str, *, signed: bool = False, margin: float | None = None) -> str:
    return format_number(value, decimals=decimals_of(unit, margin), signed=signed)


def _bare_margin(margin: float, unit: str) -> str:
    return _bare(_printed_margin(margin, unit), unit, margin=margin)


def _printed_margin(margin: float, unit: str) -> float:
    """Return the margin as it is printed; of a number whose digits follow from it, never as zero."""
    printed = as_printed(margin, unit, margin=margin)
    least = 10.0 ** -DECIMALS[unit]
    return max(printed, least) if unit in _BY_MARGIN and margin > 0 else printed


def _short(value: float, unit: str) -> str:
    return _bare(value, unit).removesuffix(".0")


def _ends(estimate: Estimate, unit_size: float, unit: str) -> tuple[float, float]:
    margin = estimate.margin / unit_size
    value, margin = as_printed(estimate.value / unit_size, unit, margin=margin), _printed_margin(margin, unit)
    low = value - margin
    return (low if estimate.floor is None else max(low, estimate.floor / unit_size)), value + margin


def _with_margin(estimate: Estimate, unit_size: float, unit: str, *, signed: bool) -> str:
    """Write value and margin in `unit`, of which one holds `unit_size` of the estimate's own."""
    margin = estimate.margin / unit_size
    text = _bare(estimate.value / unit_size, unit, signed=signed, margin=margin)
    if estimate.floor is not None and estimate.value - estimate.margin < estimate.floor:
        low, high = _ends(estimate, unit_size, unit)
        low_text, high_text = (_bare(each, unit, margin=margin) for each in (low, high))
        return f"{text} ({low_text} to {high_text}){_SUFFIX[unit]}"
    return f"{text} ± {_bare_margin(margin, unit)}{_SUFFIX[unit]}"
