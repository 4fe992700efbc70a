"""A fit without clips as text for the terminal; it fits into 60 columns."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from rich.console import Console

from putt_posture.cli.table import new_table, show_bullet, show_length, show_what_does_not_agree
from putt_posture.figures import format_both, format_length, format_margin, format_stature, format_value
from putt_posture.report.wording import BACK_CAUTIONS, WORDS
from putt_posture.values import MeasureName

if TYPE_CHECKING:
    from putt_posture.values import ClubSpec, Fit, PutterCurves, Student

__all__ = ["show_fit"]

_TITLES: Final[dict[str, MeasureName]] = {"elbow_bend": "elbow_bend_lead"}
"""The wording of a number of the setup, where it is not that of the measure of the same name."""

_NAMES: Final = {"elbow_bend": "Elbow bend"}


def show_fit(fit: Fit, spec: ClubSpec, student: Student, *, console: Console) -> None:
    """Print the putter, the setup it is for, what the putter in use does, and what speaks for the length."""
    console.print(f"\nA body of {format_stature(student.stature_cm)}")
    show_length(fit, spec, console=console)
    if student.putter_length_cm is not None:
        _show_change(fit, student.putter_length_cm, console=console)
    _show_setup(fit, console=console)
    _show_evidence(fit, console=console)
    show_what_does_not_agree(fit, console=console)
    console.print("\nTo know")
    for sentence in (*fit.assumptions, *BACK_CAUTIONS):
        show_bullet(sentence, console=console)


def _show_change(fit: Fit, current_cm: float, *, console: Console) -> None:
    if fit.curves is None:
        return
    low, high = fit.curves.putter_length_cm[[0, -1]]
    if low <= current_cm <= high and format_length(current_cm) != format_length(fit.putter_length.value):
        show_bullet(
            f"Held as well as can be, by the body model it makes this body {_say_curves(fit.curves, current_cm)}.",
            console=console,
        )
    if fit.toe_lift is not None and abs(fit.toe_lift.value) >= 0.1:
        end = "toe" if fit.toe_lift.value > 0 else "heel"
        lift = format_value(abs(fit.toe_lift.value), "cm")
        show_bullet(
            f"In the wanted setup the {end} of a {fit.toe_lift.method} would stand {lift} off the ground.",
            console=console,
        )


def _say_curves(curves: PutterCurves, length_cm: float) -> str:
    def at(name: str) -> float:
        return float(np.interp(length_cm, curves.putter_length_cm, getattr(curves, name)))

    offset, eyes = at("hand_offset"), at("eye_offset")
    hands = f"{format_value(abs(offset), 'cm')} {'outside' if offset >= 0 else 'inside'} the shoulders"
    tilt, rounding, knees = (format_value(at(name), "deg") for name in ("spine_tilt", "back_rounding", "knee_flex"))
    return (
        f"tilt by {tilt}, round the back by {rounding}, bend the knees by {knees}, hold the hands {hands} and the eyes "
        f"{format_value(abs(eyes), 'cm')} "
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
        table.add_row(each.title, format_both(each.length))
    console.print(table)
