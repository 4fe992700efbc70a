"""A fit without clips as text for the terminal; it fits into 60 columns."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from rich.console import Console

from putt_posture.cli.table import new_table, show_bullet, show_length, show_what_does_not_agree
from putt_posture.report.figures import format_imperial, format_margin, format_number, inches
from putt_posture.report.wording import WORDS
from putt_posture.units import format_feet_inches
from putt_posture.values import MeasureName

if TYPE_CHECKING:
    from putt_posture.values import Fit, PutterCurves, Student

__all__ = ["show_fit"]

_TITLES: Final[dict[str, MeasureName]] = {"elbow_bend": "elbow_bend_lead"}
"""The wording of a number of the setup, where it is not that of the measure of the same name."""

_NAMES: Final = {"elbow_bend": "Elbow bend"}


def show_fit(fit: Fit, student: Student, *, console: Console) -> None:
    """Print the putter, the setup it is for, what the putter in use does, and what speaks for the length."""
    console.print(f"\nA body of {student.stature_cm:g} cm ({format_feet_inches(student.stature_cm)})")
    show_length(fit, console=console)
    if student.putter_length_cm is not None:
        _show_change(fit, student.putter_length_cm, console=console)
    _show_setup(fit, console=console)
    _show_evidence(fit, console=console)
    show_what_does_not_agree(fit, console=console)
    console.print("\nTo know")
    for sentence in fit.assumptions:
        show_bullet(sentence, console=console)


def _show_change(fit: Fit, current_cm: float, *, console: Console) -> None:
    change = inches(current_cm - fit.putter_length.value)
    size = format_number(abs(change), decimals=1)
    whether = "as long as that" if float(size) == 0 else f"{size} in {'longer' if change > 0 else 'shorter'}"
    show_bullet(f"The putter in use is {format_number(inches(current_cm), decimals=1)} in: {whether}.", console=console)
    if fit.curves is None:
        return
    low, high = fit.curves.putter_length_cm[[0, -1]]
    if low <= current_cm <= high and float(size) != 0:
        show_bullet(
            f"Held as well as can be, it makes this body {_say_curves(fit.curves, current_cm)}.", console=console
        )
    if fit.toe_lift is not None and abs(fit.toe_lift.value) >= 0.1:
        end = "toe" if fit.toe_lift.value > 0 else "heel"
        lift = format_number(abs(fit.toe_lift.value), decimals=1)
        show_bullet(
            f"In the wanted setup the {end} of a {fit.toe_lift.method} would stand {lift} cm off the ground.",
            console=console,
        )


def _say_curves(curves: PutterCurves, length_cm: float) -> str:
    def at(name: str) -> float:
        return float(np.interp(length_cm, curves.putter_length_cm, getattr(curves, name)))

    offset, eyes = at("hand_offset"), at("eye_offset")
    hands = f"{abs(offset):.0f} cm {'outside' if offset >= 0 else 'inside'} the shoulders"
    return (
        f"tilt by {at('spine_tilt'):.0f}°, round the back by {at('back_rounding'):.0f}°, bend the knees by "
        f"{at('knee_flex'):.0f}°, hold the hands {hands} and the eyes {abs(eyes):.0f} cm "
        f"{'beyond' if eyes >= 0 else 'inside'} the ball"
    )


def _show_setup(fit: Fit, *, console: Console) -> None:
    table = new_table()
    table.add_column("The setup it is for")
    table.add_column("Value ± 95 %", justify="right", no_wrap=True)
    for name, estimate in fit.setup.items():
        words = next(each for key, each in WORDS.items() if key == _TITLES.get(name, name))
        title = _NAMES.get(name, words.title)
        table.add_row(title, format_margin(estimate, signed=bool(words.plus)))
    console.print(table)


def _show_evidence(fit: Fit, *, console: Console) -> None:
    table = new_table()
    table.add_column("Ways to a length")
    table.add_column("Length ± 95 %", justify="right", no_wrap=True)
    for each in fit.evidence:
        table.add_row(each.title, format_imperial(each.length))
    console.print(table)
