"""The setup that a coach wants."""

from typing import Final

from attrs import frozen

__all__ = ["SOFT_ELBOW_BEND_DEG", "WantedSetup"]

SOFT_ELBOW_BEND_DEG: Final = 20.0
"""Bend of a soft elbow that rests at the ribs, deg (common practice: soft, neither locked nor folded; within that range
it was chosen so that the lengths agree with what the trade fits)."""


@frozen(kw_only=True)
class WantedSetup:
    """What the coach wants the student to look like at address; the defaults are common practice.

    Names and signs are those of the measures. Where the tilt is not asked for, it is the one at which arms that bend by
    `elbow_bend_deg` hang to the hands with the elbows at the ribs. Where the lie is not asked for, it is the one that
    brings the ball to its place under the eyes.

    Attributes
    ----------
    hand_offset_cm : float
        Hands from straight under the shoulders; + = toward the ball.
    elbow_depth_cm : float
        Elbows from level with the front of the ribs; + = in front of it, − = behind it. Passed over where both
        `tilt_deg` and `elbow_bend_deg` are asked for, which leave no choice.
    eye_offset_cm : float
        Eyes from straight over the ball; − = inside it, toward the feet.
    balance_percent : float
        Where the weight falls, 0 = back of the heel, 100 = tip of the toe. The balls of the feet lie at about 70; the
        default is a little behind them, where a still body has room to sway.
    knee_flex_deg : float
        0 = straight legs.
    back_rounding_deg : float
        Bend of the back's outline; a back called flat still shows some 20°.
    head_drop_deg : float
        How far the head bows beyond the line of the spine. Passed over where `lie_deg` is asked for.
    eyes_lowered_deg : float
        How far the eyes are turned down in the head to look at the ball; the head nods by the rest.
    elbow_bend_deg, tilt_deg, lie_deg : float or None
        As asked for; None where they are to be found.
    grip_down_cm : float
        How far below the usual place the hands hold the grip.
    """

    hand_offset_cm: float = 0.0
    elbow_depth_cm: float = 0.0
    eye_offset_cm: float = -1.0
    balance_percent: float = 60.0
    knee_flex_deg: float = 15.0
    back_rounding_deg: float = 20.0
    head_drop_deg: float = 18.0
    eyes_lowered_deg: float = 30.0
    elbow_bend_deg: float | None = None
    tilt_deg: float | None = None
    lie_deg: float | None = None
    grip_down_cm: float = 0.0
