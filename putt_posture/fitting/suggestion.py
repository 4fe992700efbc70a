"""The first suggestion of a putter length: for the student as filmed, once the shoulders are over the hands."""

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from putt_posture.body import LONGEST_PUTTER_CM, check_student
from putt_posture.fitting.evidence import (
    find_current_putter,
    find_hands_under_shoulders,
    find_measured_setup,
    find_same_tilt,
    find_standing,
)
from putt_posture.fitting.geometry import TILT_RANGE_DEG, find_sine_over_hands, find_tilt_over_hands
from putt_posture.fitting.inputs import FitInputs, read_inputs
from putt_posture.fitting.rules import find_stock_length_in, keep_length_to_rules, keep_lie_to_rules
from putt_posture.values import NORMAL_95, Estimate, Evidence, Fit, Posture, Student, absent

__all__ = ["fit_putter"]

LONGEST_SUGGESTION_CM: Final = LONGEST_PUTTER_CM
"""A longer one is a slip of the scale."""


def fit_putter(posture: Posture, student: Student, *, trunk_length: Estimate | None = None) -> Fit:
    """Suggest a putter length and lie.

    The student's trunk is turned about the hips until the shoulders are over the hands, which then hang straight; the
    length follows from the hands' new height, the lie, and where the hands sit on the grip.

    Parameters
    ----------
    posture : Posture
        Needs ``spine_tilt``, ``hand_offset`` and ``hand_height``; ``shaft_lie``, the elbow bends and ``knee_flex`` are
        used where they are present.
    student : Student
    trunk_length : Estimate, optional
        Mid-hip to mid-shoulder where it was measured, cm; from the body tables otherwise.

    Returns
    -------
    Fit
        `putter_length` in cm, top of the grip to the sole, kept to the Rules; absent, with the reason, where a measure
        is missing or no allowed tilt brings the shoulders over the hands. `evidence` holds what could still be said.

    Raises
    ------
    UsageError
        If the student cannot be real.
    """
    check_student(student)
    inputs = read_inputs(posture, student, trunk_length=trunk_length)
    lie, lie_note = keep_lie_to_rules(inputs.lie)
    evidence = _gather_evidence(inputs, student, lie)
    reason = _find_obstacle(inputs)
    length = next((one.length for one in evidence if one.name == "hands_under_shoulders"), None)
    if reason is None and length is not None and length.value > LONGEST_SUGGESTION_CM:
        reason = f"A length of {length.value:.0f} cm came out, longer than any putter; check the scale and the points."
    if reason is not None or length is None:
        length = absent(reason or "No length came out.", unit="cm", view="down_the_line")
    length, length_note = keep_length_to_rules(length)
    notes = (note for note in (lie_note, length_note) if note)
    return Fit(
        putter_length=length,
        stock_length_in=find_stock_length_in(length),
        lie=lie,
        evidence=evidence,
        assumptions=(*_list_assumptions(inputs, evidence, trunk_measured=trunk_length is not None), *notes),
    )


def _gather_evidence(inputs: FitInputs, student: Student, lie: Estimate) -> tuple[Evidence, ...]:
    found: list[Evidence] = []
    if inputs.hand_height:
        found.append(find_measured_setup(inputs))
    if _find_obstacle(inputs) is None:
        found += [
            find_hands_under_shoulders(inputs, lie=lie),
            find_same_tilt(inputs, lie=lie),
            find_standing(inputs, student, lie=lie),
        ]
    if current := find_current_putter(student):
        found.append(current)
    return tuple(found)


def _find_obstacle(inputs: FitInputs) -> str | None:
    """Return one sentence why no length can be suggested, or None."""
    for title, measure in (
        ("spine tilt", inputs.tilt),
        ("hand offset", inputs.offset),
        ("hand height", inputs.hand_height),
    ):
        if not measure:
            return f"The {title} is missing: {measure.absent}"
    if abs(inputs.offset.value) >= inputs.reach.value:
        return (
            f"The hands are {abs(inputs.offset.value):.0f} cm from under the shoulders, farther than the arms reach; "
            "check the scale and the points."
        )
    low, high = TILT_RANGE_DEG
    sine = float(find_sine_over_hands(inputs.tilt.value, inputs.offset.value, inputs.trunk.value))
    if sine > math.sin(math.radians(high)):
        wanted = f"of {np.degrees(np.arcsin(sine)):.0f}°" if sine <= 1 else "beyond the horizontal"
        return (
            f"Bringing the shoulders over the hands would take a tilt {wanted}, more than the {high:g}° that is safe "
            "to suggest; let the hands come in toward the body and film again."
        )
    if sine < math.sin(math.radians(low)):
        return (
            "Bringing the shoulders back over the hands would lean the student backward; let the hands come out from "
            "the body and film again."
        )
    return None


def _list_assumptions(inputs: FitInputs, evidence: tuple[Evidence, ...], *, trunk_measured: bool) -> Iterator[str]:
    names = {one.name: one for one in evidence}
    yield "The length runs from the top of the grip along the shaft's axis to the sole; some shops measure otherwise."
    yield inputs.lie_says
    yield (
        f"The hands' centre is {inputs.grip_distance.value:.0f} ± {inputs.grip_distance.margin:.0f} cm down from the "
        "top of the grip (hand size by tables, hold by common practice)."
    )
    if "hands_under_shoulders" in names:
        source = "as measured" if trunk_measured else "from body tables"
        yield (
            f"The trunk ({inputs.trunk.value:.0f} cm, {source}) turns about the hips, the hands keep their distance "
            "from the hips, and the arms then hang straight down with the elbows bent as before."
        )
        yield "Errors of the measures are taken as independent of each other."
        wanted = float(find_tilt_over_hands(inputs.tilt.value, inputs.offset.value, inputs.trunk.value))
        if wanted > inputs.tilt.value:
            yield (
                f"Tilting to {wanted:.0f}° loads the back more than {inputs.tilt.value:.0f}°: try it for a short time, "
                "stop at pain, and ask a clinician first where the back is bad."
            )
    if mismatch := _say_mismatch(names):
        yield mismatch


def _say_mismatch(names: dict[str, Evidence]) -> str | None:
    """Say where the putter in use does not fit the filmed hands."""
    if not {"current_putter", "measured_setup"} <= names.keys():
        return None
    putter, setup = names["current_putter"].length, names["measured_setup"].length
    difference = putter.value - setup.value
    if abs(difference) <= NORMAL_95 * math.hypot(putter.standard_uncertainty, setup.standard_uncertainty):
        return None
    cause = "the student grips down" if difference > 0 else "the hands sit at the very top of the grip"
    return (
        f"The putter in use is {abs(difference):.0f} cm {'longer' if difference > 0 else 'shorter'} than the filmed "
        f"hands suggest: either {cause}, or the scale is off."
    )
