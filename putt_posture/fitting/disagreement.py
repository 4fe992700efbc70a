"""Where two ways to a length are more than half an inch apart: why, and what to measure next."""

from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Final

from putt_posture.fitting.inputs import FilmedSetup
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Estimate, Evidence, Student

__all__ = ["say_disagreements"]

APART_CM: Final = 0.5 * CM_PER_INCH
"""Putters are cut to the half inch (common practice): what is nearer makes no other putter."""

_COMPARED: Final = ("body_model", "wrist_floor", "measured_setup", "height_rule")


def say_disagreements(
    evidence: tuple[Evidence, ...],
    student: Student,
    *,
    filmed: FilmedSetup | None,
    wanted_tilt: Estimate | None,
) -> Iterator[str]:
    """Yield one sentence or two for each pair of ways that are more than half an inch apart.

    Parameters
    ----------
    evidence : tuple of Evidence
    student : Student
    filmed : FilmedSetup, optional
        The setup as filmed, to say how it differs from the wanted one.
    wanted_tilt : Estimate, optional
        Of the wanted setup, deg.
    """
    found = {one.name: one for one in evidence if one.name in _COMPARED and one.length}
    for one, other in combinations((found[name] for name in _COMPARED if name in found), 2):
        apart = other.length.value - one.length.value
        if abs(apart) <= APART_CM:
            continue
        longer, shorter = (other, one) if apart > 0 else (one, other)
        surely = abs(apart) > (one.length.margin**2 + other.length.margin**2) ** 0.5
        weight = "more than their margins allow" if surely else "within their margins"
        yield (
            f"{_titled(longer)} is {abs(apart) / CM_PER_INCH:.1f} in longer than {_titled(shorter, start=False)}, "
            f"{weight}. {_explain(one.name, other.name, student, filmed, wanted_tilt)}"
        )


def _titled(evidence: Evidence, *, start: bool = True) -> str:
    title = evidence.title[0].lower() + evidence.title[1:]
    return f"{'The' if start else 'the'} length {title}"


def _explain(one: str, other: str, student: Student, filmed: FilmedSetup | None, wanted_tilt: Estimate | None) -> str:
    pair = {one, other}
    if "measured_setup" in pair and filmed is not None:
        return (
            f"{_say_change(filmed, wanted_tilt)} Next: film the student again once the hands hang under the shoulders; "
            "if the two still differ then, check the scale with a known length in the picture."
        )
    why = _WHY[frozenset(pair)]
    if student.wrist_floor_cm is None:
        return f"{why} Next: measure from the floor to the wrist crease, standing, arms hanging."
    return f"{why} Next: measure the wrist height once more, and try both lengths with gripping down."


_WHY: Final[Mapping[frozenset[str], str]] = {
    frozenset({"body_model", "wrist_floor"}): "The student's arms or legs are not the usual ones of their height; the "
    "wrist height knows that, the stature does not.",
    frozenset({"body_model", "height_rule"}): "The rule knows the height only; the model goes by the body table and by "
    "the setup that is wanted.",
    frozenset({"wrist_floor", "height_rule"}): "The rule knows the height only; the wrist height goes with arms and "
    "legs.",
}


def _say_change(filmed: FilmedSetup, wanted_tilt: Estimate | None) -> str:
    parts = []
    if filmed.tilt and wanted_tilt:
        parts.append(f"tilts by {filmed.tilt.value:.0f}° where the wanted setup has {wanted_tilt.value:.0f}°")
    if filmed.offset and abs(filmed.offset.value) > filmed.offset.margin:
        side = "outside" if filmed.offset.value > 0 else "inside"
        parts.append(f"holds the hands {abs(filmed.offset.value):.0f} cm {side} the shoulders")
    if not parts:
        return "The filmed setup is not the wanted one."
    return f"As filmed the student {' and '.join(parts)}."
