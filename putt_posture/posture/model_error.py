"""What the landmark model is known to miss, one sigma for each measure.

From the accuracy study on rendered golfers: the root mean square error left after the scatter between frames.
"""

from collections.abc import Mapping
from typing import Final

from putt_posture.values import MeasureName

__all__ = ["MODEL_SD"]

MODEL_SD: Final[Mapping[MeasureName, float]] = {
    "spine_tilt": 3.5,
    "back_rounding": 8.0,
    "head_drop": 8.0,
    "knee_flex": 4.0,
    "elbow_bend_lead": 12.0,
    "elbow_bend_trail": 12.0,
    "hand_offset": 2.5,
    "hand_height": 1.5,
    "elbow_gap_lead": 2.5,
    "elbow_gap_trail": 2.5,
    "elbow_depth": 3.0,
    "eye_offset": 2.0,
    "ball_distance": 2.0,
    "balance": 8.0,
    "shaft_lie": 0.7,
    "putter_length": 1.0,
    "stance_width": 2.0,
    "ball_position": 1.5,
    "shoulder_level": 2.5,
    "side_bend": 2.0,
    "head_position": 2.0,
    "shaft_lean": 0.7,
    "sideways_balance": 5.0,
}
"""In the unit of the measure."""
