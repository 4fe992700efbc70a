"""The rows of a comparison, made once for HTML, PDF, CSV and the terminal."""

from typing import Final

from attrs import evolve, frozen

from putt_posture.report.comparison.shifts import SHIFTS
from putt_posture.report.estimate_json import plain
from putt_posture.report.figures import format_imperial, format_interval, format_margin, format_number
from putt_posture.report.wording import WORDS, Part
from putt_posture.values import Changes, Estimate, MeasureChange, MeasureName

__all__ = ["ChangeRow", "change_rows"]

_UNITS: Final = {"deg": "°", "cm": "\N{NO-BREAK SPACE}cm", "%": "\N{NO-BREAK SPACE}%"}

_TWO_DIGITS_FROM: Final = 10.0
_WHOLE_FROM: Final = 2.0
"""Margins from which two values without margins are written whole, as in `putt_posture.report.figures`."""


@frozen(kw_only=True)
class ChangeRow:
    """One measure of two lessons as people read it.

    Attributes
    ----------
    name : MeasureName
    title, part : str
        See `Words`.
    before, after : str
        Value and 95 % margin with the unit; empty where absent.
    change : str
        After minus before with its margin, signed; empty where absent.
    imperial : str
        The same in inches; empty for other than lengths.
    interval : str
        The 95 % interval of the change.
    from_to : str
        Both values and no margins: ``24 → 41°``.
    real, maybe : bool
    verdict : str
        A few words: whether it is a change, and otherwise from which size on it would be beyond its own margin.
    says : str
        What it looks like and is worth to the stroke; empty for what is no change.
    absent : str
        Why there is no change to tell; empty where there is.
    """

    name: MeasureName
    title: str
    part: Part
    before: str
    after: str
    change: str
    imperial: str
    interval: str
    from_to: str
    real: bool
    maybe: bool
    verdict: str
    says: str
    absent: str

    def __bool__(self) -> bool:
        return not self.absent


def change_rows(changes: Changes) -> tuple[ChangeRow, ...]:
    """Return one row for each measure, in the order of the report; falsy where one of the two is absent."""
    return tuple(_row(each) for each in changes.measures.values())


def _row(found: MeasureChange) -> ChangeRow:
    words, change = WORDS[found.name], found.change
    signed = bool(words.plus)
    shift, digits = SHIFTS[found.name], _digits(found)
    return ChangeRow(
        name=found.name,
        title=words.title,
        part=words.part,
        before=_figure(found.before, signed=signed),
        after=_figure(found.after, signed=signed),
        change=format_margin(change, signed=True, decimals=digits) if change else "",
        imperial=format_imperial(change, signed=True) if change else "",
        interval=format_interval(change, decimals=digits) if change else "",
        from_to=_from_to(found, signed=signed) if change else "",
        real=found.real,
        maybe=found.maybe,
        verdict=_verdict(found) if change else "",
        says=(shift.more if change.value > 0 else shift.less) if found.real else "",
        absent=plain(change.absent or ""),
    )


def _figure(estimate: Estimate, *, signed: bool) -> str:
    return format_margin(evolve(estimate, floor=None), signed=signed) if estimate else ""


def _from_to(found: MeasureChange, *, signed: bool) -> str:
    digits = 0 if found.smallest_alone >= _WHOLE_FROM else 1
    ends = [format_number(each.value, decimals=digits, signed=signed) for each in (found.before, found.after)]
    return f"{ends[0]} → {ends[1]}{_UNITS[found.change.unit]}"


def _verdict(found: MeasureChange) -> str:
    if found.real:
        return "a change"
    if found.maybe:
        return "may be a change"
    least = f"{format_number(found.smallest_alone, decimals=_digits(found))}{_UNITS[found.change.unit]}"
    return f"not told from the noise (alone: from {least})"


def _digits(found: MeasureChange) -> int:
    """Return the decimals that leave a margin two digits, so that a change just beyond it does not look equal to it."""
    return 0 if found.smallest_alone >= _TWO_DIGITS_FROM else 1
