"""The first suggestion of a putter length: for the student as filmed, once the hands hang under the shoulders."""

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from putt_posture.body import LONGEST_PUTTER_CM, check_student
from putt_posture.fitting.cross_checks import find_current_putter, find_standing
from putt_posture.fitting.evidence import (
    TRUNK_SHARE,
    find_hands_under_shoulders,
    find_measured_setup,
    find_same_tilt,
    find_trunk_only,
)
from putt_posture.fitting.geometry import TILT_RANGE_DEG, find_sine_over_hands, find_tilt_over_hands
from putt_posture.fitting.inputs import FitInputs, read_inputs
from putt_posture.fitting.putter_in_use import GRIP_DOWN_SD_CM, find_anchor
from putt_posture.fitting.rules import find_stock_length_in, keep_length_to_rules, keep_lie_to_rules
from putt_posture.values import NORMAL_95, Estimate, Evidence, Fit, Posture, Student, absent

__all__ = ["fit_putter"]

LONGEST_SUGGESTION_CM: Final = LONGEST_PUTTER_CM
"""A longer one is a slip of the scale."""


def fit_putter(posture: Posture, student: Student, *, trunk_length: Estimate | None = None) -> Fit:
    """Suggest a putter length and lie.

    The student's trunk is turned about the hips, and the hands come in, until they hang straight under the shoulders;
    the length follows from the hands' new height, the lie, and where the hands sit on the grip. Where the length of
    the putter in use is known, the change of length is counted from it and the filmed length together.

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
        is missing or no allowed tilt brings the hands under the shoulders. `evidence` holds what could still be said.

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
        assumptions=(*_list_assumptions(inputs, student, evidence, trunk_measured=trunk_length is not None), *notes),
    )


def _gather_evidence(inputs: FitInputs, student: Student, lie: Estimate) -> tuple[Evidence, ...]:
    found: list[Evidence] = []
    if inputs.hand_height:
        found.append(find_measured_setup(inputs))
    if _find_obstacle(inputs) is None:
        anchor = find_anchor(student, found[0].length)
        found += [
            find_hands_under_shoulders(inputs, lie=lie, anchor=anchor),
            find_same_tilt(inputs, lie=lie, anchor=anchor),
        ]
        if _is_allowed(_find_sine(inputs, share=1.0)):
            found.append(find_trunk_only(inputs, lie=lie, anchor=anchor))
        found.append(find_standing(inputs, student, lie=lie))
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
    sine = _find_sine(inputs, share=TRUNK_SHARE.value)
    if _is_allowed(sine):
        return None
    if sine < 0:
        return (
            "Bringing the shoulders back over the hands would lean the student backward; let the hands come out from "
            "the body and film again."
        )
    wanted = f"of {np.degrees(np.arcsin(sine)):.0f}°" if sine <= 1 else "beyond the horizontal"
    meanwhile = (1 - TRUNK_SHARE.value) * inputs.offset.value
    even = f", even with the hands coming in by {meanwhile:.0f} cm" if meanwhile > 0 else ""
    return (
        f"Bringing the shoulders over the hands would take a tilt {wanted}{even}; that is more than the "
        f"{TILT_RANGE_DEG[1]:g}° that is safe to suggest. Let the hands come in farther and film again."
    )


def _find_sine(inputs: FitInputs, *, share: float) -> float:
    return float(find_sine_over_hands(inputs.tilt.value, inputs.offset.value, inputs.trunk.value, share=share))


def _is_allowed(sine: float) -> bool:
    low, high = TILT_RANGE_DEG
    return math.sin(math.radians(low)) <= sine <= math.sin(math.radians(high))


def _list_assumptions(
    inputs: FitInputs, student: Student, evidence: tuple[Evidence, ...], *, trunk_measured: bool
) -> Iterator[str]:
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
            f"The trunk ({inputs.trunk.value:.0f} cm, {source}) turns about the hips and takes up about "
            f"{TRUNK_SHARE.value:.0%} of the hands' offset, with one sigma of {TRUNK_SHARE.standard_uncertainty:.0%}; "
            "the hands take up the rest, and the arms then hang straight down with the elbows bent as before. The "
            "share is centred on what the trade does (common practice)."
        )
        yield (
            "Errors of tilt, offset and hand height go together as the accuracy study found (a shoulder placed too far "
            "forward raises the tilt and lowers the offset); all other errors are taken as independent."
        )
        if anchored := _say_anchor(names, student):
            yield anchored
        wanted = float(
            find_tilt_over_hands(inputs.tilt.value, inputs.offset.value, inputs.trunk.value, share=TRUNK_SHARE.value)
        )
        if round(wanted) > round(inputs.tilt.value):
            yield (
                f"Tilting to {wanted:.0f}° loads the back more than {inputs.tilt.value:.0f}°: try it for a short time, "
                "stop at pain, and ask a clinician first where the back is bad."
            )
    if mismatch := _say_mismatch(names):
        yield mismatch


def _say_anchor(names: dict[str, Evidence], student: Student) -> str | None:
    """Say how the putter in use enters the suggestion."""
    if student.putter_length_cm is None:
        return None
    filmed = names["measured_setup"].length
    weight = find_anchor(student, filmed).weight
    now = filmed.value + weight * (student.putter_length_cm - filmed.value)
    return (
        f"The length now is taken as {now:.1f} cm: {weight:.0%} the putter in use, {1 - weight:.0%} the filmed hands. "
        f"The suggestion is that plus the change by the new posture; a student may grip down or up by ± "
        f"{NORMAL_95 * GRIP_DOWN_SD_CM:.1f} cm (common practice)."
    )


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
