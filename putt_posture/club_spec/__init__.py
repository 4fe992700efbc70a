"""The spec of a putter for the club-builder."""

from putt_posture.club_spec.find import find_club_spec
from putt_posture.club_spec.length_advice import FARTHEST_CHANGE_IN, LengthAdvice, advise_length
from putt_posture.club_spec.rules import MOST_LOFT_DEG, check_rules
from putt_posture.club_spec.swing_weight import (
    describe_feel,
    describe_grip_down,
    find_swing_weight_change,
    find_weight_to_bring_back,
)

__all__ = [
    "FARTHEST_CHANGE_IN",
    "MOST_LOFT_DEG",
    "LengthAdvice",
    "advise_length",
    "check_rules",
    "describe_feel",
    "describe_grip_down",
    "find_club_spec",
    "find_swing_weight_change",
    "find_weight_to_bring_back",
]
