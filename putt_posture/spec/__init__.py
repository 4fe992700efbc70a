"""The spec of a putter for the club-builder."""

from putt_posture.spec.find import find_club_spec
from putt_posture.spec.rules import MOST_LOFT_DEG, check_rules
from putt_posture.spec.swing_weight import POINTS_PER_INCH, find_swing_weight_change

__all__ = ["MOST_LOFT_DEG", "POINTS_PER_INCH", "check_rules", "find_club_spec", "find_swing_weight_change"]
