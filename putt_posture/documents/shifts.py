"""What a change of each measure looks like and what it is worth to the stroke, one sentence for either way.

What a change tends to do to the stroke is common practice among coaches, not a law, and it says nothing of good or bad.
Signs follow `putt_posture.values.MEASURES`.
"""

from collections.abc import Mapping
from typing import Final

from attrs import frozen

from putt_posture.values import MeasureName

__all__ = ["SHIFTS", "Shift"]


@frozen(kw_only=True)
class Shift:
    """The sentence for a measure that rose (`more`) and for one that fell (`less`)."""

    more: str
    less: str


SHIFTS: Final[Mapping[MeasureName, Shift]] = {
    "spine_tilt": Shift(
        more="The trunk leans further toward the ball: the shoulders tend to rock more up and down, and the putter "
        "head to run straighter.",
        less="The trunk stands more upright: the shoulders tend to turn more around, and the putter head to swing on "
        "more of an arc.",
    ),
    "back_rounding": Shift(
        more="The back is rounder: the shoulders tend to sit further forward and lower, with less of a straight line "
        "to turn about.",
        less="The back is flatter: the shoulders have more of a straight line to turn about, and the arms tend to hang "
        "further from the knees.",
    ),
    "head_drop": Shift(
        more="The chin is nearer the chest: the eyes tend to look more straight at the ball, and the line to the hole "
        "can seem to run differently, so check the aim.",
        less="The chin is higher: the eyes tend to look down along the cheeks, and the line to the hole can seem to "
        "run differently, so check the aim.",
    ),
    "knee_flex": Shift(
        more="The knees bend deeper: hips and hands come lower, which asks for a shorter putter or a flatter shaft.",
        less="The legs are straighter: hips and hands come higher, which asks for a longer putter or a more upright "
        "shaft.",
    ),
    "elbow_bend_lead": Shift(
        more="The lead elbow bends deeper: the arm is shorter, and its forearm tends to lie nearer the line of the "
        "shaft.",
        less="The lead arm is straighter: it tends to swing as one with the shoulder.",
    ),
    "elbow_bend_trail": Shift(
        more="The trail elbow bends deeper: its forearm tends to lie nearer the line of the shaft; where it differs "
        "from the lead one, the shoulders tend to open or close.",
        less="The trail arm is straighter: it tends to swing as one with the shoulder; where it differs from the lead "
        "one, the shoulders tend to open or close.",
    ),
    "hand_offset": Shift(
        more="The hands moved out, toward the ball: the further out from under the shoulders, the more the arms tend "
        "to hold them there, and the more of an arc the putter head tends to swing on.",
        less="The hands moved in, toward the feet: straight under the shoulders they need little holding and the "
        "putter head tends to run straightest; further in they have less room past the legs.",
    ),
    "hand_height": Shift(
        more="The hands are higher: they ask for a longer or a more upright putter.",
        less="The hands are lower: they ask for a shorter or a flatter putter.",
    ),
    "elbow_gap_lead": Shift(
        more="The lead elbow is further from the ribs: it tends to move more freely from the trunk.",
        less="The lead elbow is nearer the ribs: it tends to move with the trunk.",
    ),
    "elbow_gap_trail": Shift(
        more="The trail elbow is further from the ribs: it tends to move more freely from the trunk.",
        less="The trail elbow is nearer the ribs: it tends to move with the trunk.",
    ),
    "elbow_depth": Shift(
        more="The elbow sits further in front: it can swing more freely past the ribs.",
        less="The elbow sits further back: it tends to meet the side of the trunk on the way through.",
    ),
    "eye_offset": Shift(
        more="The eyes moved out, away from the feet: the line to the hole can seem to run differently, which way "
        "differs from one golfer to the next, so check the aim.",
        less="The eyes moved in, toward the feet: the line to the hole can seem to run differently, which way differs "
        "from one golfer to the next, so check the aim.",
    ),
    "ball_distance": Shift(
        more="The ball is further from the toes: it tends to bring the hands out and the shaft down.",
        less="The ball is nearer the toes: it tends to bring the hands in and the shaft up.",
    ),
    "balance": Shift(
        more="The weight is further toward the toes: the nearer the end of the foot, the less still the body tends to "
        "be over the ball.",
        less="The weight is further toward the heels: the nearer the end of the foot, the less still the body tends to "
        "be over the ball.",
    ),
    "shaft_lie": Shift(
        more="The shaft is more upright: it tends to swing on less of an arc; hold the putter's own lie against it.",
        less="The shaft is flatter: it tends to swing on more of an arc; hold the putter's own lie against it.",
    ),
    "putter_length": Shift(
        more="The putter is longer: it tends to bring the hands up or out, and the golfer taller.",
        less="The putter is shorter: it tends to bring the hands down or in, and the golfer lower.",
    ),
    "stance_width": Shift(
        more="The stance is wider: it tends to keep the hips stiller, and lowers the body.",
        less="The stance is narrower: the golfer can stand taller, and the hips tend to be less still.",
    ),
    "ball_position": Shift(
        more="The ball is further toward the target: it tends to be met later, the putter head more on its way up "
        "and further around.",
        less="The ball is further from the target: it tends to be met earlier, the putter head less on its way up.",
    ),
    "shoulder_level": Shift(
        more="The lead shoulder came up against the trail one: it tends to send the putter head more upward through "
        "the ball.",
        less="The lead shoulder came down against the trail one: it tends to send the putter head more downward "
        "through the ball.",
    ),
    "side_bend": Shift(
        more="The trunk leans further from the target: the low point of the swing tends to move back.",
        less="The trunk leans further toward the target: the low point of the swing tends to move forward.",
    ),
    "head_position": Shift(
        more="The eyes moved toward the target: the line to the hole can seem to run differently, so check the aim.",
        less="The eyes moved away from the target: the line to the hole can seem to run differently, so check the aim.",
    ),
    "shaft_lean": Shift(
        more="The hands moved toward the target: it takes loft off the face, and the ball tends to start lower.",
        less="The hands moved away from the target: it adds loft to the face, and the ball tends to start higher.",
    ),
    "sideways_balance": Shift(
        more="The weight is further onto the lead foot: the low point of the swing tends to move forward.",
        less="The weight is further onto the trail foot: the low point of the swing tends to move back.",
    ),
}
"""In the order of the report."""
