"""The spec sheet: what it says, set as HTML and as one page."""

from datetime import date
from typing import Final

import attrs
from attrs import frozen

from putt_posture.figures import format_day, format_imperial, format_interval, format_margin, format_value, inches
from putt_posture.measures import LENGTH_CONVENTION
from putt_posture.pages.setting import NAMELESS, Fact, Paper, as_typed, render_page, typeset
from putt_posture.shown_units import AsIs
from putt_posture.units import CM_PER_INCH
from putt_posture.values import ChosenPutter, ClubSpec, Estimate, Fit, Student

__all__ = ["SpecRow", "SpecSheet", "spec_sheet_as_html", "spec_sheet_as_pdf", "write_spec_sheet"]

_LEFT: Final = "left to the coach"
_DECIDE: Final = (
    "The coach and the club-builder decide; these numbers come with 95 % margins, tried on rendered golfers only."
)


@frozen(kw_only=True)
class SpecRow:
    """One thing to build, in both units, with small print; ``built`` asks for a line to write on."""

    title: str
    figure: str
    other: str = ""
    says: str = ""
    built: bool = True


@frozen(kw_only=True)
class CheckRow:
    """One limit of the Rules."""

    title: str
    limit: str
    clause: str
    says: str


@frozen(kw_only=True)
class SpecSheet:
    """The text of a spec sheet, from top to bottom."""

    student: str
    facts: tuple[Fact, ...]
    rows: tuple[SpecRow, ...]
    feel: tuple[str, ...]
    checks: tuple[CheckRow, ...]
    notes: tuple[str, ...]


def write_spec_sheet(
    spec: ClubSpec,
    student: Student,
    *,
    made_on: date | None = None,
    chosen: ChosenPutter | None = None,
    suggested: Fit | None = None,
) -> SpecSheet:
    """Return the text of a spec sheet.

    Parameters
    ----------
    spec : ClubSpec
    student : Student
    made_on : date, optional
        The day to print; none is printed where it is not given.
    chosen : ChosenPutter, optional
        What of the spec the coach chose.
    suggested : Fit, optional
        What the fit suggests, to be printed beside what was chosen.
    """
    chosen = chosen or ChosenPutter()
    facts = [Fact(name="Putts", says=f"{student.handed}-handed")]
    if made_on is not None:
        facts.append(Fact(name="Made", says=format_day(made_on)))
    return SpecSheet(
        student=as_typed(student.name or NAMELESS),
        facts=tuple(facts),
        rows=(
            _length(spec.length) if chosen.length_cm is None else _chosen_length(spec.length, suggested),
            _stock(spec),
            _current(spec),
            _change(spec),
            _lie(spec.lie) if chosen.lie_deg is None else _chosen_lie(spec.lie, suggested),
            _bend(spec),
            SpecRow(title="Loft", figure=_LEFT, says=spec.loft),
            SpecRow(title="Grip", figure=_LEFT, says=spec.grip),
        ),
        feel=spec.feel,
        checks=tuple(
            CheckRow(title=each.title, limit=each.limit, clause=each.clause, says=each.says) for each in spec.checks
        ),
        notes=(*spec.notes, _DECIDE),
    )


def spec_sheet_as_html(sheet: SpecSheet) -> str:
    """Return the text of `spec_sheet.html`.

    Parameters
    ----------
    sheet : SpecSheet
    """
    return render_page("spec_sheet.html.jinja", sheet=sheet)


def spec_sheet_as_pdf(sheet: SpecSheet, *, made_on: date | None = None, paper: Paper = "a4") -> bytes:
    """Return the bytes of `spec_sheet.pdf`, stamped with the day of creation where it is given.

    Parameters
    ----------
    sheet : SpecSheet
    made_on : date or None
        Day that the document carries; none without.
    paper : {"a4", "letter"}
    """
    return typeset("spec_sheet.typ", {"sheet": attrs.asdict(sheet)}, made_on=made_on, paper=paper)


def _length(length: Estimate) -> SpecRow:
    convention = f"Measured {LENGTH_CONVENTION}."
    if not length:
        return SpecRow(title="Suggested length", figure="not found", says=f"{length.absent or ''} {convention}")
    interval = f"95 % interval {format_interval(length, unit='in')} ({format_interval(length)})."
    return SpecRow(
        title="Suggested length",
        figure=format_imperial(length),
        other=AsIs(format_margin(length)),
        says=f"{convention} {interval}",
    )


def _chosen_length(length: Estimate, suggested: Fit | None) -> SpecRow:
    says = f"Chosen by the coach. Measured {LENGTH_CONVENTION}."
    if suggested is not None and (found := suggested.putter_length):
        says = f"{says} The fit suggests {format_imperial(found)} ({format_margin(found)})."
    return SpecRow(
        title="Length",
        figure=format_value(inches(length.value), "in"),
        other=AsIs(format_value(length.value, "cm")),
        says=says,
    )


def _chosen_lie(lie: Estimate, suggested: Fit | None) -> SpecRow:
    says = "Chosen by the coach. Shaft above the ground, the sole flat."
    if suggested is not None and suggested.lie:
        says = f"{says} The fit suggests {format_margin(suggested.lie)}."
    return SpecRow(title="Lie", figure=format_value(lie.value, "deg"), says=says)


def _stock(spec: ClubSpec) -> SpecRow:
    if spec.stock_length_in is None:
        return SpecRow(title="Nearest half inch", figure="not found", built=False)
    return SpecRow(
        title="Nearest half inch",
        figure=format_value(spec.stock_length_in, "in"),
        other=AsIs(format_value(spec.stock_length_in * CM_PER_INCH, "cm")),
        says="The length in which putters are sold and cut.",
        built=False,
    )


def _current(spec: ClubSpec) -> SpecRow:
    if spec.current_length_cm is None:
        return SpecRow(title="Putter in use", figure="not given", built=False)
    current = spec.current_length_cm
    return SpecRow(
        title="Putter in use",
        figure=format_value(inches(current), "in"),
        other=AsIs(format_value(current, "cm")),
        built=False,
    )


def _change(spec: ClubSpec) -> SpecRow:
    return SpecRow(
        title="Leave, cut or extend",
        figure=spec.advice_says,
        other=as_typed(spec.advice_other),
        says=spec.advice_why,
    )


def _lie(lie: Estimate) -> SpecRow:
    if not lie:
        return SpecRow(title="Lie", figure="not found", says=lie.absent or "")
    says = f"Shaft above the ground, the sole flat. 95 % interval {format_interval(lie)}."
    return SpecRow(title="Lie", figure=format_margin(lie), says=says)


def _bend(spec: ClubSpec) -> SpecRow:
    return SpecRow(title="Bend", figure=spec.bend_says, says=spec.bending, built=False)
