"""What each measure misses by itself, one sigma, even where every joint is where it was found to be.

The joints' own errors come with the joints (`putt_posture.joints`) and are not in here. What is: a centre of mass from
segments against one of the whole body, cloth on back and ribs, arms that two views place apart. From the accuracy
study's tuning part (tests/accuracy/study.py; the table is in DEVELOPERS.md): what is left of the root mean square error
once joints, scale, ground, roll and yaw are taken out, rounded up. Shaft and ball: how well a person points at them.
"""

from collections.abc import Mapping
from typing import Final

from putt_posture.values import MeasureName

__all__ = ["FOUND_SD", "MODEL_SD"]

MODEL_SD: Final[Mapping[MeasureName, float]] = {
    "spine_tilt": 0.3,
    "back_rounding": 2.7,
    "head_drop": 0.3,
    "knee_flex": 0.3,
    "elbow_bend_lead": 4.8,
    "elbow_bend_trail": 4.0,
    "hand_offset": 0.2,
    "hand_height": 0.2,
    "elbow_gap_lead": 1.2,
    "elbow_gap_trail": 1.2,
    "elbow_depth": 0.6,
    "eye_offset": 0.2,
    "ball_distance": 0.2,
    "balance": 6.0,
    "shaft_lie": 0.4,
    "putter_length": 0.8,
    "stance_width": 0.2,
    "ball_position": 0.2,
    "shoulder_level": 0.2,
    "side_bend": 0.2,
    "head_position": 0.2,
    "shaft_lean": 0.3,
    "sideways_balance": 3.0,
}
"""In the unit of the measure. Of the rounding 4.2° was left when it did not respond to its joints; 2.3° of that is what
joints do, 2.3° folds and soft edges, which its outline tells by itself."""

FOUND_SD: Final[Mapping[MeasureName, float]] = {
    "shaft_lie": 0.35,
    "shaft_lean": 0.25,
    "eye_offset": 0.3,
    "ball_distance": 0.3,
    "ball_position": 0.3,
    "head_position": 0.3,
}
"""What finding shaft or ball in the picture adds, one sigma, in the unit of the measure: on rendered golfers and the
sample clips 0.3° and 0.15° of the shaft's direction, 0.1 cm of the ball's centre; real balls and shafts shine, wear
lines and stand on longer grass, so twice that for the ball."""
