"""Lengths that speak for or against the suggestion: the body tables, and the putter in use."""

from typing import Final

import numpy as np

from putt_posture.body import SHOE_SOLE, SHORTEST_PUTTER_CM, predict, predict_joint_length
from putt_posture.fitting.evidence import TRUNK_SHARE, find_length
from putt_posture.fitting.geometry import find_tilt_over_hands
from putt_posture.fitting.inputs import MEASURE_CORRELATION, FitInputs
from putt_posture.fitting.propagation import propagate
from putt_posture.fitting.putter_in_use import find_putter_in_use
from putt_posture.values import Estimate, Evidence, Floats, Student

__all__ = ["find_current_putter", "find_standing"]

STANDING_SD: Final = Estimate(value=0.0, standard_uncertainty=2.0, unit="cm", method="judged")
"""What stiff links leave out where the whole posture is built from tables; one sigma of hand height."""


def find_standing(inputs: FitInputs, student: Student, *, lie: Estimate) -> Evidence:
    """Find the length from the student standing upright, bent to the same posture by tables; needs tilt and offset.

    Only angles and the offset come from the clip, so a wrong scale hardly touches it.
    """
    measured = student.wrist_floor_cm is not None
    wrist = predict("wrist_height", student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)

    def length(
        wrist: Floats, hand: Floats, leg: Floats, tilt: Floats, offset: Floats, trunk: Floats, share: Floats,
        knee: Floats, lost: Floats, sole: Floats, lie: Floats, grip: Floats, model: Floats,
    ) -> Floats:  # fmt: skip
        wanted = np.radians(find_tilt_over_hands(tilt, offset, trunk, share=share))
        # Hip and ankle stay about over each other, so thigh and shank share the bend of the knee.
        sunk = leg * (1 - np.cos(np.radians(knee) / 2)) + trunk * (1 - np.cos(wanted))
        return find_length(wrist - hand + sole - sunk + lost + model, lie, grip)

    tables = {
        name: predict_joint_length(part, student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)
        for name, part in (("hand", "wrist_to_hand_centre"), ("leg", "leg"))
    }
    value, uncertainty = propagate(
        length,
        MEASURE_CORRELATION,
        wrist=wrist,
        tilt=inputs.tilt,
        offset=inputs.offset,
        trunk=inputs.trunk,
        share=TRUNK_SHARE,
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
        length=Estimate(
            value=value,
            standard_uncertainty=uncertainty,
            unit="cm",
            view="down_the_line",
            frames=inputs.tilt.frames,
            method="body tables bent to the same posture",
            floor=SHORTEST_PUTTER_CM,
        ),
        says=f"A body with {known}, in shoes, bent until its hands hang under its shoulders: a cross-check by body "
        "tables (common practice).",
    )


def find_current_putter(student: Student) -> Evidence | None:
    """Give the putter in use as evidence; None where its length was not said."""
    putter = find_putter_in_use(student)
    if putter is None:
        return None
    return Evidence(
        name="current_putter",
        title="The putter in use",
        length=putter,
        says="As measured by the coach, from the top of the grip along the shaft to the sole.",
    )
