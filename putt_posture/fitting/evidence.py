"""The ways to a putter length, each with its interval.

All go through hand height / sin(lie) + butt to hand centre; they differ in where the hand height comes from. Errors are
taken as independent. In truth one misplaced shoulder moves tilt and offset by opposite amounts and cancels, so the
intervals err on the wide side; a wrong scale moves offset and height together and is not widened for.
"""

from typing import Final

import numpy as np

from putt_posture.body import SHOE_SOLE, SHORTEST_PUTTER_CM, predict, predict_joint_length
from putt_posture.fitting.geometry import (
    find_hanging_height,
    find_putter_length,
    find_tilt_over_hands,
)
from putt_posture.fitting.inputs import FitInputs
from putt_posture.fitting.propagation import Floats, propagate
from putt_posture.values import Estimate, Evidence, Student

__all__ = [
    "find_current_putter",
    "find_hands_under_shoulders",
    "find_measured_setup",
    "find_same_tilt",
    "find_standing",
]

MODEL_SD: Final = Estimate(value=0.0, standard_uncertainty=1.0, unit="cm", method="judged")
"""What two stiff links leave out in a new posture: shoulder blades that slide, a back that rounds, knees that give; one
sigma of hand height."""

MODEL_SHARE: Final = Estimate(value=0.0, standard_uncertainty=0.25, unit="", method="judged")
"""A student may take up the offset with the trunk, or by letting the hands come in, or by any mixture. The trunk does
nearly nine tenths of the change of height; an even spread of mixtures has one sigma of 1/√12 of that."""

STANDING_SD: Final = Estimate(value=0.0, standard_uncertainty=2.0, unit="cm", method="judged")
"""The same where the whole posture is built from tables; one sigma of hand height."""

PUTTER_TAPE_SD_CM: Final = 0.3
"""One sigma of a putter length taken with a tape (common practice)."""

_LIE_LIMITS_DEG: Final = (30.0, 90.0)
"""Where the spread of a lie is cut, so that no sine comes near nought."""


def find_measured_setup(inputs: FitInputs) -> Evidence:
    """Find the length that the filmed setup holds; needs `hand_height`."""

    def length(hand_height: Floats, lie: Floats, grip: Floats) -> Floats:
        return _length(hand_height, lie, grip)

    value, uncertainty = propagate(length, hand_height=inputs.hand_height, lie=inputs.lie, grip=inputs.grip_distance)
    return Evidence(
        name="measured_setup",
        title="The setup as filmed",
        length=_estimate(inputs, value, uncertainty, "hand height, lie and hold"),
        says=f"The hands are {inputs.hand_height.value:.0f} cm above the ground and the shaft lies at "
        f"{inputs.lie.value:.0f}°.",
    )


def find_hands_under_shoulders(inputs: FitInputs, *, lie: Estimate) -> Evidence:
    """Find the length for the shoulders brought over the hands; needs tilt, offset and hand height."""

    def length(
        hand_height: Floats, tilt: Floats, offset: Floats, trunk: Floats, reach: Floats,
        lie: Floats, grip: Floats, model: Floats, share: Floats,
    ) -> Floats:  # fmt: skip
        wanted = find_tilt_over_hands(tilt, offset, trunk)
        drop = trunk * (np.cos(np.radians(tilt)) - np.cos(np.radians(wanted)))
        height = find_hanging_height(hand_height, offset, reach, shoulder_drop=drop)
        return _length(height + share * (hand_height - height) + model, lie, grip)

    value, uncertainty = propagate(
        length,
        hand_height=inputs.hand_height,
        tilt=inputs.tilt,
        offset=inputs.offset,
        trunk=inputs.trunk,
        reach=inputs.reach,
        lie=lie,
        grip=inputs.grip_distance,
        model=MODEL_SD,
        share=MODEL_SHARE,
    )
    return Evidence(
        name="hands_under_shoulders",
        title="Shoulders over the hands",
        length=_estimate(inputs, value, uncertainty, "setup turned about the hips until the hands hang straight"),
        says=_say_change(inputs),
    )


def find_same_tilt(inputs: FitInputs, *, lie: Estimate) -> Evidence:
    """Find the length if the tilt stays and only the hands come in; needs offset and hand height."""

    def length(hand_height: Floats, offset: Floats, reach: Floats, lie: Floats, grip: Floats, model: Floats) -> Floats:
        return _length(find_hanging_height(hand_height, offset, reach) + model, lie, grip)

    value, uncertainty = propagate(
        length,
        hand_height=inputs.hand_height,
        offset=inputs.offset,
        reach=inputs.reach,
        lie=lie,
        grip=inputs.grip_distance,
        model=MODEL_SD,
    )
    way = "in" if inputs.offset.value >= 0 else "out"
    return Evidence(
        name="same_tilt",
        title="Hands under the shoulders, tilt as filmed",
        length=_estimate(inputs, value, uncertainty, "arms let hang at the filmed tilt"),
        says=f"The trunk stays as it is and the hands come {way} by {abs(inputs.offset.value):.0f} cm with the ball: "
        "the other end of what may be done.",
    )


def find_standing(inputs: FitInputs, student: Student, *, lie: Estimate) -> Evidence:
    """Find the length from the student standing upright, bent to the same posture by tables; needs tilt and offset.

    Only angles and the offset come from the clip, so a wrong scale hardly touches it.
    """
    measured = student.wrist_floor_cm is not None
    wrist = predict("wrist_height", student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)

    def length(
        wrist: Floats, hand: Floats, leg: Floats, tilt: Floats, offset: Floats, trunk: Floats, knee: Floats,
        lost: Floats, sole: Floats, lie: Floats, grip: Floats, model: Floats,
    ) -> Floats:  # fmt: skip
        wanted = np.radians(find_tilt_over_hands(tilt, offset, trunk))
        # Hip and ankle stay about over each other, so thigh and shank share the bend of the knee.
        sunk = leg * (1 - np.cos(np.radians(knee) / 2)) + trunk * (1 - np.cos(wanted))
        return _length(wrist - hand + sole - sunk + lost + model, lie, grip)

    tables = {
        name: predict_joint_length(part, student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)
        for name, part in (("hand", "wrist_to_hand_centre"), ("leg", "leg"))
    }
    value, uncertainty = propagate(
        length,
        wrist=wrist,
        tilt=inputs.tilt,
        offset=inputs.offset,
        trunk=inputs.trunk,
        knee=inputs.knee_flex,
        lost=inputs.reach_lost,
        sole=SHOE_SOLE,
        lie=lie,
        grip=inputs.grip_distance,
        model=STANDING_SD,
        **tables,
    )
    known = f"a wrist height of {wrist.value:.0f} cm" if measured else f"a stature of {student.stature_cm:g} cm"
    return Evidence(
        name="wrist_floor" if measured else "stature",
        title="From the wrist height" if measured else "From the stature",
        length=_estimate(inputs, value, uncertainty, "body tables bent to the same posture"),
        says=f"A body with {known}, in shoes, bent until its shoulders are over its hands: a cross-check by body "
        "tables (common practice).",
    )


def find_current_putter(student: Student) -> Evidence | None:
    """Give the putter in use as evidence; None where its length was not said."""
    if student.putter_length_cm is None:
        return None
    return Evidence(
        name="current_putter",
        title="The putter in use",
        length=Estimate(
            value=student.putter_length_cm,
            standard_uncertainty=PUTTER_TAPE_SD_CM,
            unit="cm",
            method="measured with a tape",
            floor=SHORTEST_PUTTER_CM,
        ),
        says="As measured by the coach, from the top of the grip along the shaft to the sole.",
    )


def _length(hand_height: Floats, lie: Floats, grip: Floats) -> Floats:
    return find_putter_length(hand_height, np.clip(lie, *_LIE_LIMITS_DEG), grip)


def _estimate(inputs: FitInputs, value: float, uncertainty: float, method: str) -> Estimate:
    return Estimate(
        value=value,
        standard_uncertainty=uncertainty,
        unit="cm",
        view="down_the_line",
        frames=inputs.hand_height.frames,
        method=method,
        floor=SHORTEST_PUTTER_CM,
    )


def _say_change(inputs: FitInputs) -> str:
    offset, tilt = inputs.offset, inputs.tilt
    if abs(offset.value) <= offset.margin:
        return f"The hands already hang under the shoulders, as far as can be told ({offset.value:+.0f} cm)."
    wanted = float(find_tilt_over_hands(tilt.value, offset.value, inputs.trunk.value))
    side = "outside" if offset.value > 0 else "inside"
    return (
        f"The hands are {abs(offset.value):.0f} cm {side} the shoulders; a tilt of {wanted:.0f}° instead of "
        f"{tilt.value:.0f}° brings the shoulders over them."
    )
