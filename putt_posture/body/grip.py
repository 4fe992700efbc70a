"""Where the hands sit on the grip.

The hand centre is the mean, over both hands, of the wrist and two knuckles, and therefore lies above the middle of the
gripped stretch: the wrists are up the shaft from the palms. No published table of it was found; it is built from hand
size and how a putter is usually held (common practice): the heel of the upper hand a little below the butt, the shaft
along the lifelines, the lower hand down by a palm less one finger.
"""

import math
from typing import Final

from putt_posture.body.anthropometry import predict
from putt_posture.body.joints import predict_joint_length
from putt_posture.values import Estimate, Student

__all__ = ["find_grip_distance"]

GRIP_ABOVE_HAND: Final = Estimate(value=1.5, standard_uncertainty=1.0, unit="cm", method="common practice")
"""Visible grip above the heel of the upper hand."""

HEEL_BELOW_WRIST: Final = Estimate(value=2.5, standard_uncertainty=0.7, unit="cm", method="judged")
"""From the wrist joint to the heel of the hand."""

SLANT_DEG: Final = 28.0
"""Angle between the shaft and the line from the wrist to the knuckles, deg (judged; 12° either way moves the hand
centre by half a centimetre)."""

OVERLAP_SHARE: Final = 0.25
"""Overlap of the two hands, share of hand breadth: one finger of four (reverse overlap, common practice)."""

HABIT_SD_CM: Final = 1.5
"""Other differences between grips, one sigma, cm: ten fingers to two overlapping, slant, cross-handed (judged)."""


def find_grip_distance(student: Student) -> Estimate:
    """Estimate the distance along the shaft from the butt to the hand centre.

    Parameters
    ----------
    student : Student

    Returns
    -------
    Estimate
        cm; about 8 ± 2 for an adult.
    """
    breadth = predict("hand_breadth", student.stature_cm, student.sex)
    centre = predict_joint_length("wrist_to_hand_centre", student.stature_cm, student.sex)
    along = math.cos(math.radians(SLANT_DEG))
    half_step = (1 - OVERLAP_SHARE) / 2
    return Estimate(
        value=GRIP_ABOVE_HAND.value + (centre.value - HEEL_BELOW_WRIST.value) * along + half_step * breadth.value,
        standard_uncertainty=math.hypot(
            GRIP_ABOVE_HAND.standard_uncertainty,
            HEEL_BELOW_WRIST.standard_uncertainty * along,
            centre.standard_uncertainty * along,
            breadth.standard_uncertainty * half_step,
            HABIT_SD_CM,
        ),
        unit="cm",
        method="hand size by ANSUR II 2012, hold by common practice",
    )
