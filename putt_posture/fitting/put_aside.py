"""Data that were put aside because they contradict the rest: by how much, and what to check."""

from collections.abc import Iterator, Sequence
from typing import Final

from attrs import frozen

from putt_posture.figures import format_given, format_length, format_value
from putt_posture.fitting.body_model import MOST_WRIST_SD, find_beyond_belief, find_wrist_departure
from putt_posture.fitting.geometry import find_length
from putt_posture.fitting.inputs import FilmedSetup, find_putter_slip, name_long_putter
from putt_posture.fitting.posterior import Posterior
from putt_posture.values import Student

__all__ = ["Doubt", "find_doubts", "say_doubts", "say_long_putter", "say_wrist_doubt"]

PUT_ASIDE: Final = 0.5
"""A datum of which this share or more was put aside is reported as put aside: it is more likely an outlier than not."""

DOUBTED: Final = 0.25
"""A datum of which this share or more was put aside is reported as counted only in part."""


HOW_OFTEN_WRONGLY: Final = "In simulated fits without any mistake, a number was put aside in 1 of 100."
"""Without any mistake, in `tests/accuracy/put_aside_study.py`: 0.8 %, rounded up."""


@frozen(kw_only=True)
class Doubt:
    """How a datum compares with all others.

    Attributes
    ----------
    name : str
        As `find_filmed_data` names it.
    aside : float
        How much of it was put aside, 0 to 1.
    gap_cm, gap_sd_cm : float
        By how much it is above its prediction from the others, and the standard uncertainty of that, cm.
    """

    name: str
    aside: float
    gap_cm: float
    gap_sd_cm: float

    @property
    def put_aside(self) -> bool:
        """Whether it is more likely an outlier than not."""
        return self.aside >= PUT_ASIDE


def find_doubts(posterior: Posterior, names: Sequence[str]) -> tuple[Doubt, ...]:
    """Find how each datum compares with the others.

    Parameters
    ----------
    posterior : Posterior
    names : sequence of str
        Names of its first data, in their order.
    """
    aside = posterior.aside()
    doubts = []
    for at, name in enumerate(names):
        gap, sd = posterior.against_the_rest(at)
        doubts.append(Doubt(name=name, aside=float(aside[at]), gap_cm=gap, gap_sd_cm=sd))
    return tuple(doubts)


def say_doubts(doubts: Sequence[Doubt], student: Student, filmed: FilmedSetup) -> Iterator[str]:
    """Yield three or four sentences for each datum that was put aside, wholly or in part.

    Parameters
    ----------
    doubts : sequence of Doubt
    student : Student
    filmed : FilmedSetup
    """
    for doubt in doubts:
        if doubt.aside < DOUBTED:
            continue
        if doubt.name == "putter" and doubt.put_aside and student.putter_length_cm is not None:
            kind = name_long_putter(student.putter_length_cm)
            if kind is not None:
                below = float(find_length(filmed.hand_height.value, filmed.lie.value, 0.0))
                yield _say_long(student.putter_length_cm, kind, held_cm=student.putter_length_cm - below)
                continue
        rate = f" {HOW_OFTEN_WRONGLY}" if doubt.put_aside else ""
        yield f"{_say_gap(doubt, filmed)}, {_say_what_was_done(doubt)}. {_CHECK[doubt.name]}{rate}"


def say_long_putter(student: Student) -> str | None:
    """Say that the putter in use is a long putter, where its length alone makes that more likely than not.

    Parameters
    ----------
    student : Student
    """
    length = student.putter_length_cm
    if length is None or find_putter_slip(length) < PUT_ASIDE:
        return None
    kind = name_long_putter(length)
    return None if kind is None else _say_long(length, kind)


def say_wrist_doubt(student: Student) -> str | None:
    """Say how much of a wrist height does not count for this stature; None where all counts, or none was measured.

    Parameters
    ----------
    student : Student
    """
    departure = find_wrist_departure(student)
    if student.wrist_floor_cm is None or departure is None:
        return None
    beyond = abs(find_beyond_belief(departure))
    if beyond == 0:
        return None
    way = "above" if departure.value > 0 else "below"
    return (
        f"The wrist height of {format_given(student.wrist_floor_cm, 'cm')} is "
        f"{format_value(abs(departure.value), 'cm')} {way} what is expected for a height of "
        f"{format_given(student.stature_cm, 'cm')}, {_times(departure.value / departure.standard_uncertainty)}: the "
        f"{format_value(beyond, 'cm')} beyond {MOST_WRIST_SD:g} times were put aside, and the interval is wider for "
        "it. Check the height, and measure again from the floor to the wrist crease, barefoot, standing, arms hanging."
    )


_CHECK: Final = {
    "putter": "Check how far down the student grips, and measure the putter again from the top of the grip along the "
    "shaft to the sole.",
    "hand_height": "Check the student's height, the scale and the points of shoulders and hands.",
    "eye_offset": "Check the points of the ball and of the head, and that the camera is level.",
}


def _say_gap(doubt: Doubt, filmed: FilmedSetup) -> str:
    size, times = abs(doubt.gap_cm), _times(doubt.gap_cm / doubt.gap_sd_cm)
    if doubt.name == "putter":
        way = "longer" if doubt.gap_cm > 0 else "shorter"
        says = f"The putter in use is {format_length(size)} {way} than the filmed setup and the body"
    elif doubt.name == "hand_height":
        way = "higher" if doubt.gap_cm > 0 else "lower"
        height = f"{format_value(filmed.hand_height.value, 'cm')} above the ground"
        says = f"The filmed hands, {height}, are {format_value(size, 'cm')} {way} than everything else"
    else:
        way = "farther beyond" if doubt.gap_cm > 0 else "farther inside"
        says = f"The filmed eyes are {format_value(size, 'cm')} {way} the ball than everything else"
    return f"{says} suggest{'' if doubt.name == 'putter' else 's'} ({times})"


def _say_what_was_done(doubt: Doubt) -> str:
    if doubt.put_aside:
        return "so it was put aside" if doubt.name == "putter" else "so they were put aside"
    who = "it was" if doubt.name == "putter" else "they were"
    return f"so {who} counted at only {100 * (1 - doubt.aside):.0f} %, and the interval is wider for it"


def _say_long(length_cm: float, kind: str, *, held_cm: float | None = None) -> str:
    article = "an" if kind.startswith("arm") else "a"
    held = "" if held_cm is None else f", and the filmed hands hold it {format_value(held_cm, 'cm')} below its top"
    return (
        f"A putter of {format_length(length_cm)} is {article} {kind} one by its length (common practice){held}: its "
        "top does not show where the hands are, so its length is put aside. What is suggested is a putter to be held "
        "at the top of its grip; an arm-lock, mid-length or long one is fitted by another rule."
    )


def _times(departure: float) -> str:
    return f"{abs(departure):.1f} times the usual difference"
