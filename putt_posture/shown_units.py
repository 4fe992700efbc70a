"""In which unit lengths are shown to people: centimetres, or inches for coaches who think in them.

Everything is measured, worked out, stored and written into sentences in centimetres. What is shown passes one of three
doors, which say every length in the unit of the person who reads: a page (`pages.setting`), a picture (`drawing`) and
the terminal (`cli.table`). So files hold the same numbers for every reader, and a sentence that was stored years ago is
read in the unit of today.

An inch is shown from the centimetres as they are printed, so that a length reads the same in a table, on a picture and
in a sentence. Distances in metres become feet. Where both units stand together (``33.0 in (83.8 cm)``) both stay,
inches first.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, Final, Literal, get_args

from attrs import evolve

from putt_posture.errors import UsageError
from putt_posture.figures import as_printed, format_number
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Estimate, MeasureChange

__all__ = [
    "AsIs",
    "LengthUnit",
    "change_in_shown_unit",
    "in_shown_unit",
    "length_in_shown_unit",
    "say_in_shown_unit",
    "show_lengths_in",
    "shown_length_unit",
    "shows_inches",
    "texts_in_shown_unit",
]

LengthUnit = Literal["cm", "inches"]
"""What a person may choose."""

_CHOSEN: Final[ContextVar[LengthUnit]] = ContextVar("length unit", default="cm")

_NUMBER: Final = r"(?<![\w.,/])[+\-−]?\d+(?:\.\d+)?"
_ONE: Final = re.compile(_NUMBER)
_FIGURES: Final = rf"{_NUMBER}(?:(?:\s±\s|\sto\s|\s→\s|–){_NUMBER})*(?:\s\({_NUMBER}\sto\s{_NUMBER}\))?"
_BETWEEN: Final = rf"between\s{_NUMBER}\sand\s{_NUMBER}"
_LENGTH: Final = re.compile(
    rf"(?P<cm_first>{_NUMBER}\scm)\s\((?P<feet>\d+\sft\s[\d.]+\sin)\)"
    rf"|(?P<m_first>{_NUMBER}\sm)\s\((?P<putt>{_NUMBER}\sft)\)"
    rf"|(?P<both>{_FIGURES}\s(?:in|ft)\s\({_FIGURES}\s(?:cm|m)(?:\s\(by hand\))?\))"
    rf"|(?P<long>{_BETWEEN}|{_FIGURES})(?P<space>\s)(?P<unit>cm|m)(?![\w/²])"
)
_SIZES: Final[Mapping[str, tuple[float, str]]] = {"cm": (CM_PER_INCH, "in"), "m": (12 * CM_PER_INCH / 100, "ft")}
"""How much of the unit one of the other holds."""


class AsIs(str):
    """Text that is shown as it is: what a person typed, paths, and lengths that stand in both units on purpose."""

    __slots__ = ()


@contextmanager
def show_lengths_in(unit: LengthUnit) -> Iterator[None]:
    """Show lengths in this unit for as long as the context lasts, in this thread.

    Parameters
    ----------
    unit : {"cm", "inches"}

    Raises
    ------
    UsageError
        If it is another word.

    Examples
    --------
    >>> with show_lengths_in("inches"):
    ...     say_in_shown_unit("The hands are 74.8 cm above the ground.")
    'The hands are 29.4 in above the ground.'
    """
    if unit not in get_args(LengthUnit):
        raise UsageError(f"Lengths cannot be shown in {unit!r}. Write {' or '.join(get_args(LengthUnit))}.")
    before = _CHOSEN.set(unit)
    try:
        yield
    finally:
        _CHOSEN.reset(before)


def shown_length_unit() -> LengthUnit:
    """Return the unit in which lengths are shown now."""
    return _CHOSEN.get()


def shows_inches() -> bool:
    """Whether lengths are shown in inches now."""
    return _CHOSEN.get() == "inches"


def length_in_shown_unit(value: float, unit: str) -> tuple[float, str]:
    """Return a number and its unit as they are shown; what is no length stays.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : str
        As `Estimate.unit`.

    Examples
    --------
    >>> with show_lengths_in("inches"):
    ...     length_in_shown_unit(5.08, "cm"), length_in_shown_unit(30.0, "deg")
    ((2.0078740157480315, 'in'), (30.0, 'deg'))
    """
    if unit != "cm" or not shows_inches():
        return value, unit
    return as_printed(value, "cm") / CM_PER_INCH, "in"


def in_shown_unit(estimate: Estimate) -> Estimate:
    """Return an estimate in the unit in which it is shown; what is no length stays.

    Parameters
    ----------
    estimate : Estimate
        May be absent.
    """
    if estimate.unit != "cm" or not shows_inches():
        return estimate
    if not estimate:
        return evolve(estimate, unit="in")
    value, unit = length_in_shown_unit(estimate.value, "cm")
    margin, _ = length_in_shown_unit(estimate.margin, "cm")
    return evolve(
        estimate,
        value=value,
        standard_uncertainty=margin / estimate.coverage,
        unit=unit,
        floor=None if estimate.floor is None else estimate.floor / CM_PER_INCH,
        raw_value=None if estimate.raw_value is None else estimate.raw_value / CM_PER_INCH,
        budget={cause: share / CM_PER_INCH for cause, share in estimate.budget.items()},
        repeats=tuple(each / CM_PER_INCH for each in estimate.repeats),
        per_frame=tuple(each / CM_PER_INCH for each in estimate.per_frame),
        automatic=None if estimate.automatic is None else length_in_shown_unit(estimate.automatic, "cm")[0],
    )


def change_in_shown_unit(change: MeasureChange) -> MeasureChange:
    """Return a change in the unit in which it is shown; whether it is one stays as it was found.

    Parameters
    ----------
    change : MeasureChange
    """
    return evolve(
        change,
        before=in_shown_unit(change.before),
        after=in_shown_unit(change.after),
        change=in_shown_unit(change.change),
    )


def say_in_shown_unit(text: str) -> str:
    r"""Return a text of the program with its lengths in the unit in which they are shown.

    Parameters
    ----------
    text : str
        With centimetres and metres; an `AsIs` stays.

    Examples
    --------
    >>> with show_lengths_in("inches"):
    ...     for each in ("3.3 (0.0 to 8.1) cm", "33.0 in (83.8 cm)", "172.7 cm (5 ft 8 in)", "4.4 ± 0.4 m away"):
    ...         say_in_shown_unit(each)
    '1.3 (0.0 to 3.2) in'
    '33.0 in (83.8 cm)'
    '5 ft 8 in (172.7 cm)'
    '14.4 ± 1.3 ft away'
    """
    if isinstance(text, AsIs) or not shows_inches():
        return text
    return _LENGTH.sub(_say_other, text)


def texts_in_shown_unit(value: Any) -> Any:
    """Return dicts and lists with every text in them as `say_in_shown_unit` says it.

    Parameters
    ----------
    value : dict, list, tuple, str or any other
        What is none of these stays.
    """
    if isinstance(value, str):
        return say_in_shown_unit(value)
    if isinstance(value, Mapping):
        return {name: texts_in_shown_unit(each) for name, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [texts_in_shown_unit(each) for each in value]
    return value


def _say_other(found: re.Match[str]) -> str:
    if found["both"]:
        return found["both"]
    if found["cm_first"]:
        return f"{found['feet']} ({found['cm_first']})"
    if found["m_first"]:
        return f"{found['putt']} ({found['m_first']})"
    size, unit = _SIZES[found["unit"]]
    return f"{_ONE.sub(_divide_by(size), found['long'])}{found['space']}{unit}"


def _divide_by(size: float) -> Callable[[re.Match[str]], str]:
    def divided(number: re.Match[str]) -> str:
        text = number[0].replace("−", "-")
        decimals = max(1, len(text.partition(".")[2]))
        return format_number(float(text) / size, decimals=decimals, signed=text.startswith("+"))

    return divided
