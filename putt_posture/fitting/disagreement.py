"""Where two ways to a length are more than half an inch apart: why, and what to measure next."""

from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Final

from putt_posture.figures import format_apart, format_value
from putt_posture.fitting.inputs import FilmedSetup
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Estimate, Evidence, Student

__all__ = ["say_disagreements"]

APART_CM: Final = 0.5 * CM_PER_INCH
"""Putters are cut to the half inch (common practice): what is nearer makes no other putter."""

_TABLES: Final = ("body_model", "wrist_floor", "height_rule")

_WHY: Final[Mapping[tuple[str, str], str]] = {
    (
        "body_model",
        "wrist_floor",
    ): "The student's arms or legs are not the usual ones of their height; the wrist "
    "height knows that, the stature does not.",
    ("body_model", "height_rule"): "The rule knows the height only; the model goes by the body table and by the setup "
    "that is wanted.",
    ("wrist_floor", "height_rule"): "The rule knows the height only; the wrist height goes with arms and legs.",
}


def say_disagreements(
    evidence: tuple[Evidence, ...], student: Student, *, filmed: FilmedSetup | None, wanted_tilt: Estimate | None
) -> Iterator[str]:
    """Yield a few sentences for each way that is more than half an inch from another.

    Parameters
    ----------
    evidence : tuple of Evidence
    student : Student
    filmed : FilmedSetup, optional
        The setup as filmed, to say how it differs from the wanted one.
    wanted_tilt : Estimate, optional
        Of the wanted setup, deg.
    """
    found = {one.name: one for one in evidence if one.length}
    tables = [found[name] for name in _TABLES if name in found]
    setup = found.get("measured_setup")
    if setup is not None and filmed is not None:
        apart = [_say_apart(setup, one) for one in tables if _is_apart(setup, one)]
        if apart:
            yield f"The length {_lower(setup)} is {' and '.join(apart)}. {_explain_setup(filmed, wanted_tilt)}"
    for one, other in combinations(tables, 2):
        if _is_apart(one, other):
            yield f"The length {_lower(one)} is {_say_apart(one, other)}. {_explain_tables(one, other, student)}"


def _is_apart(one: Evidence, other: Evidence) -> bool:
    return abs(one.length.value - other.length.value) > APART_CM


def _say_apart(one: Evidence, other: Evidence) -> str:
    apart = one.length.value - other.length.value
    surely = abs(apart) > (one.length.margin**2 + other.length.margin**2) ** 0.5
    return (
        f"{format_apart(one.length.value, other.length.value)} {'longer' if apart > 0 else 'shorter'} than that "
        f"{_lower(other)} "
        f"({'more than their margins allow' if surely else 'within their margins'})"
    )


def _lower(evidence: Evidence) -> str:
    return evidence.title[0].lower() + evidence.title[1:]


def _explain_setup(filmed: FilmedSetup, wanted_tilt: Estimate | None) -> str:
    parts = []
    if filmed.tilt and wanted_tilt and abs(filmed.tilt.value - wanted_tilt.value) > filmed.tilt.margin:
        parts.append(
            f"tilts by {format_value(filmed.tilt.value, 'deg')} where the wanted setup has "
            f"{format_value(wanted_tilt.value, 'deg')}"
        )
    if filmed.offset and abs(filmed.offset.value) > filmed.offset.margin:
        side = "outside" if filmed.offset.value > 0 else "inside"
        parts.append(f"holds the hands {format_value(abs(filmed.offset.value), 'cm')} {side} the shoulders")
    if parts:
        return (
            f"As filmed the student {' and '.join(parts)}: it is the putter for another setup than the wanted one. "
            "Next: film the student again once the hands hang under the shoulders."
        )
    return (
        "The filmed setup is about the wanted one, so either this body is not the usual one of its height, or the "
        "scale is off. Next: put a known length into the picture, and measure from the floor to the wrist crease, "
        "standing "
        "barefoot."
    )


def _explain_tables(one: Evidence, other: Evidence, student: Student) -> str:
    why = _WHY[one.name, other.name]
    if student.wrist_floor_cm is None:
        return f"{why} Next: measure from the floor to the wrist crease, standing barefoot, arms hanging."
    return f"{why} Next: measure the wrist height once more, and try both lengths with gripping down."
