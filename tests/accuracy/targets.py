"""What the measures should reach, for golfers not used for tuning and a camera within yaw ±6° and roll ±2°, 1080p."""

from collections.abc import Mapping
from typing import Final

from putt_posture.values import MeasureName

__all__ = ["MOST_ABSENT_PERCENT", "MOST_WIDTH", "RMSE_TARGETS", "SHOULD_HOLD_PERCENT"]

RMSE_TARGETS: Final[Mapping[MeasureName, float]] = {
    "spine_tilt": 2.0,
    "back_rounding": 5.0,
    "head_drop": 4.0,
    "knee_flex": 2.5,
    "hand_offset": 1.5,
    "hand_height": 1.5,
    "elbow_gap_lead": 2.0,
    "elbow_gap_trail": 2.0,
    "eye_offset": 2.0,
    "balance": 7.0,
    "shaft_lie": 0.8,
    "putter_length": 1.5,
    "stance_width": 1.5,
    "ball_position": 1.5,
    "shoulder_level": 1.5,
    "side_bend": 1.5,
}
"""Most root mean square error, in the measure's unit; measures that are not here have no target of their own."""

MOST_ABSENT_PERCENT: Final = 5.0
"""Absent where there is something to measure."""

SHOULD_HOLD_PERCENT: Final = (90.0, 99.0)
"""How often the 95 % interval holds the truth: less is a promise broken, more is an interval wider than need be."""

MOST_WIDTH: Final = 2.5
"""Median half-width of the 95 % interval, in root mean square errors."""
