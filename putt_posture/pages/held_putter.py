"""What a putter in a student's hands costs the body: departures from the wanted setup, in words and numbers."""

from collections.abc import Iterator, Mapping
from typing import Final

from attrs import evolve, frozen

from putt_posture.figures import (
    as_printed,
    format_given,
    format_imperial,
    format_length,
    format_margin,
    format_value,
)
from putt_posture.fitting import TOLERATED
from putt_posture.measures import MEASURES, say_value
from putt_posture.shown_units import in_shown_unit
from putt_posture.values import Estimate, Fit, HeldPutter, Lesson

__all__ = ["CostRow", "CostSection", "write_cost", "write_suggestion"]

_WORDS: Final[Mapping[str, tuple[str, str, str]]] = {
    "spine_tilt": ("Spine tilt", "more", "less"),
    "knee_flex": ("Knee flex", "more", "less"),
    "elbow_bend": ("Elbow bend", "more", "less"),
    "hand_offset": ("Hands to shoulders", "farther out", "farther in"),
    "eye_offset": ("Eyes over the ball", "farther out", "farther in"),
    "elbow_depth": ("Elbow along the ribs", "farther forward", "farther back"),
    "back_rounding": ("Back rounding", "rounder", "flatter"),
    "head_drop": ("Head drop", "lower", "higher"),
    "hand_height": ("Hand height", "higher", "lower"),
    "ball_distance": ("Ball from the toes", "farther", "nearer"),
}
"""Title, and the words for more and for less."""
_SAID: Final = 3
"""Departures that the sentence names; the table has all."""


@frozen(kw_only=True)
class CostRow:
    """One number of the setup.

    Attributes
    ----------
    name : str
        As in `Fit.setup`.
    title : str
    filmed, wanted, held : str
        With their margins; empty where there is none.
    departure : str
        Of what is held from what is wanted.
    beyond : bool
        Whether it is more than is easily tolerated.
    """

    name: str
    title: str
    filmed: str
    wanted: str
    held: str
    departure: str
    beyond: bool


@frozen(kw_only=True)
class CostSection:
    """The whole.

    Attributes
    ----------
    says : str
        The whole in a sentence or two.
    rows : tuple of CostRow
    toe : str
        Whether the sole is flat on the ground.
    """

    says: str
    rows: tuple[CostRow, ...]
    toe: str


def write_suggestion(fit: Fit) -> str:
    """Say what is suggested for a wanted setup, or why nothing is.

    Parameters
    ----------
    fit : Fit
    """
    if not fit.putter_length:
        return fit.putter_length.absent or ""
    length = f"{format_imperial(fit.putter_length)} ({format_margin(fit.putter_length)})"
    return f"Suggested for this setup: {length}, lie {format_margin(fit.lie)}."


def write_cost(lesson: Lesson, fit: Fit, held: HeldPutter | None) -> CostSection:
    """Say what a putter costs the body.

    Parameters
    ----------
    lesson : Lesson
        For what was filmed.
    fit : Fit
        For the wanted setup.
    held : HeldPutter or None
        None for the suggested putter, which costs nothing.
    """
    rows = tuple(_rows(lesson, fit, held))
    if held is None:
        found = "With the suggested putter this body stands as wanted." if fit.putter_length else ""
        return CostSection(says=found, rows=rows, toe="")
    if held.absent is not None:
        return CostSection(says=held.absent, rows=rows, toe="")
    return CostSection(says=_sum_up(held), rows=rows, toe=_say_toe(held))


def _rows(lesson: Lesson, fit: Fit, held: HeldPutter | None) -> Iterator[CostRow]:
    for name, (title, *_) in _WORDS.items():
        wanted = fit.setup.get(name)
        now = None if held is None else held.setup.get(name)
        departure = None if held is None else held.departures.get(name)
        yield CostRow(
            name=name,
            title=title,
            filmed=_say(name, _filmed(lesson, name)),
            wanted=_say(name, wanted),
            held=_say(name, wanted if held is None else now),
            departure="as wanted" if held is None and wanted else _say_departure(name, departure),
            beyond=bool(departure) and departure is not None and _share(name, departure) > 1,
        )


def _filmed(lesson: Lesson, name: str) -> Estimate | None:
    if name in MEASURES:
        return lesson.posture[MEASURES[name].name]
    found = [one for one in (lesson.posture[MEASURES[f"{name}_{side}"].name] for side in ("lead", "trail")) if one]
    return found[0] if found else None


def _say(name: str, estimate: Estimate | None) -> str:
    if not estimate:
        return ""
    measure = MEASURES[name] if name in MEASURES else MEASURES[f"{name}_lead"]
    return say_value(measure, estimate, short=True, margin=True)


def _say_departure(name: str, departure: Estimate | None) -> str:
    if not departure:
        return ""
    shown = in_shown_unit(departure)
    if as_printed(shown.value, shown.unit) == 0:
        return f"as wanted, {format_margin(evolve(shown, value=0.0, floor=None), signed=False)}"
    _, more, less = _WORDS[name]
    size = evolve(shown, value=abs(shown.value), floor=None)
    return f"{format_margin(size)} {more if departure.value > 0 else less}"


def _share(name: str, departure: Estimate) -> float:
    return abs(departure.value) / TOLERATED[name] if name in TOLERATED else 0.0


def _sum_up(held: HeldPutter) -> str:
    shares = {name: _share(name, each) for name, each in held.departures.items() if each and name in TOLERATED}
    named = [name for name in sorted(shares, key=shares.__getitem__, reverse=True) if _printed(held, name)]
    putter = f"With a putter of {format_length(held.length_cm)} and a lie of {format_value(held.lie_deg, 'deg')}"
    if not named:
        return f"{putter} this body stands as wanted."
    parts = [_say_short(name, held.departures[name]) for name in named[:_SAID]]
    beyond = [_WORDS[name][0].lower() for name in named if shares[name] > 1]
    if not beyond:
        return f"{putter}: {', '.join(parts)} than wanted. All of it is easily tolerated (judged)."
    limits = ", ".join(
        f"{_WORDS[name][0].lower()} (up to {format_given(TOLERATED[name], held.departures[name].unit)})"
        for name in named
        if shares[name] > 1
    )
    return f"{putter}: {', '.join(parts)} than wanted. More than is easily tolerated (judged): {limits}."


def _printed(held: HeldPutter, name: str) -> bool:
    departure = held.departures[name]
    return as_printed(departure.value, departure.unit) != 0


def _say_short(name: str, departure: Estimate) -> str:
    title, more, less = _WORDS[name]
    size = format_value(abs(departure.value), departure.unit)
    return f"{title.lower()} {size} {more if departure.value > 0 else less}"


def _say_toe(held: HeldPutter) -> str:
    lift = held.toe_lift
    if not lift or as_printed(lift.value, lift.unit) == 0:
        return "The sole is flat on the ground."
    end, other = ("toe", "heel") if lift.value > 0 else ("heel", "toe")
    size = evolve(lift, value=abs(lift.value), floor=None)
    return (
        f"The shaft is held at {format_margin(held.shaft_lie)}: the {end} is {format_margin(size)} off the ground, and "
        f"the putter stands on its {other}."
    )
