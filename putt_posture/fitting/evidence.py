"""The ways to a putter length from the filmed posture, each with its interval.

All go through hand height / sin(lie) + butt to hand centre; they differ in how the student takes up the offset between
hands and shoulders. The errors of tilt, offset and hand height are correlated as the accuracy study found them; those
of the other inputs are taken as independent. A wrong scale that moves offset and height together beyond that is not
widened for.
"""

from typing import Final

import numpy as np

from putt_posture.body import SHORTEST_PUTTER_CM
from putt_posture.fitting.geometry import find_hanging_height, find_putter_length, find_tilt_over_hands
from putt_posture.fitting.inputs import MEASURE_CORRELATION, FitInputs
from putt_posture.fitting.propagation import propagate
from putt_posture.fitting.putter_in_use import Anchor
from putt_posture.values import Estimate, Evidence, Floats

__all__ = [
    "TRUNK_SHARE",
    "find_hands_under_shoulders",
    "find_length",
    "find_measured_setup",
    "find_same_tilt",
    "find_trunk_only",
]

MODEL_SD: Final = Estimate(value=0.0, standard_uncertainty=1.0, unit="cm", method="judged")
"""What two stiff links leave out in a new posture: shoulder blades that slide, a back that rounds, knees that give; one
sigma of hand height."""

TRUNK_SHARE: Final = Estimate(value=0.65, standard_uncertainty=0.20, unit="", method="common practice")
"""Share of the offset that the trunk takes up by tilting from the hips; the hands take up the rest by coming in
(shoulders back, elbows to the front of the ribs). Not measured: it was centred so that a man of 5 ft 9 to 10 in who
stands tall (24° to 28°, hands 10 cm outside) over a 35 inch putter comes out at 33 inches, a fact of the trade (common
practice). The sigma lets nine in ten students lie between a third of it and all of it by the trunk (judged)."""

ALL_TRUNK: Final = Estimate(value=1.0, standard_uncertainty=0.0, unit="", method="one end")
ALL_ARMS: Final = Estimate(value=0.0, standard_uncertainty=0.0, unit="", method="the other end")

_LIE_LIMITS_DEG: Final = (30.0, 90.0)
"""Where the spread of a lie is cut, so that no sine comes near nought."""


def find_measured_setup(inputs: FitInputs) -> Evidence:
    """Find the length that the filmed setup holds; needs `hand_height`."""

    def length(hand_height: Floats, lie: Floats, grip: Floats) -> Floats:
        return find_length(hand_height, lie, grip)

    value, uncertainty = propagate(length, hand_height=inputs.hand_height, lie=inputs.lie, grip=inputs.grip_distance)
    return Evidence(
        name="measured_setup",
        title="The setup as filmed",
        length=_estimate(inputs, value, uncertainty, "hand height, lie and hold"),
        says=f"The hands are {inputs.hand_height.value:.0f} cm above the ground and the shaft lies at "
        f"{inputs.lie.value:.0f}°.",
    )


def find_hands_under_shoulders(inputs: FitInputs, *, lie: Estimate, anchor: Anchor) -> Evidence:
    """Find the length for trunk and hands sharing the offset; needs tilt, offset and hand height.

    Parameters
    ----------
    inputs : FitInputs
    lie : Estimate
        That of the new putter, deg.
    anchor : Anchor
        The putter in use.
    """
    return Evidence(
        name="hands_under_shoulders",
        title="Hands under the shoulders",
        length=_find_hanging(inputs, TRUNK_SHARE, lie, anchor, "trunk tilted and hands brought in until they hang"),
        says=_say_change(inputs),
    )


def find_same_tilt(inputs: FitInputs, *, lie: Estimate, anchor: Anchor) -> Evidence:
    """Find the length if the tilt stays and only the hands come in; parameters as `find_hands_under_shoulders`."""
    way = "in" if inputs.offset.value >= 0 else "out"
    return Evidence(
        name="same_tilt",
        title="By the arms alone",
        length=_find_hanging(inputs, ALL_ARMS, lie, anchor, "arms let hang at the filmed tilt"),
        says=f"The trunk stays as it is and the hands come {way} by {abs(inputs.offset.value):.0f} cm with the ball: "
        "one end of what may be done.",
    )


def find_trunk_only(inputs: FitInputs, *, lie: Estimate, anchor: Anchor) -> Evidence:
    """Find the length if the hands stay and only the trunk tilts; parameters as `find_hands_under_shoulders`."""
    wanted = float(find_tilt_over_hands(inputs.tilt.value, inputs.offset.value, inputs.trunk.value))
    return Evidence(
        name="trunk_only",
        title="By the trunk alone",
        length=_find_hanging(inputs, ALL_TRUNK, lie, anchor, "setup turned about the hips until the hands hang"),
        says=f"The hands stay where they are and the trunk tilts to {wanted:.0f}°: the other end of what may be done.",
    )


def find_length(hand_height: Floats, lie: Floats, grip: Floats) -> Floats:
    """Find the putter length, cm, with the spread of the lie cut where the sine would come near nought."""
    return find_putter_length(hand_height, np.clip(lie, *_LIE_LIMITS_DEG), grip)


def _find_hanging(inputs: FitInputs, share: Estimate, lie: Estimate, anchor: Anchor, method: str) -> Estimate:
    """Find the length once the hands hang, `share` of the offset taken up by the trunk."""
    lie_change = lie.value - inputs.lie.value

    def length(
        hand_height: Floats, tilt: Floats, offset: Floats, trunk: Floats, reach: Floats,
        lie: Floats, grip: Floats, model: Floats, share: Floats, putter: Floats,
    ) -> Floats:  # fmt: skip
        wanted = find_tilt_over_hands(tilt, offset, trunk, share=share)
        drop = trunk * (np.cos(np.radians(tilt)) - np.cos(np.radians(wanted)))
        height = find_hanging_height(hand_height, offset, reach, shoulder_drop=drop) + model
        now = find_length(hand_height, lie, grip)
        return find_length(height, lie + lie_change, grip) + anchor.weight * (putter - now)

    value, uncertainty = propagate(
        length,
        MEASURE_CORRELATION,
        hand_height=inputs.hand_height,
        tilt=inputs.tilt,
        offset=inputs.offset,
        trunk=inputs.trunk,
        reach=inputs.reach,
        lie=inputs.lie,
        grip=inputs.grip_distance,
        model=MODEL_SD,
        share=share,
        putter=anchor.putter,
    )
    return _estimate(inputs, value, uncertainty, method)


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
    offset, tilt, share = inputs.offset, inputs.tilt, TRUNK_SHARE.value
    if abs(offset.value) <= offset.margin:
        return f"The hands already hang under the shoulders, as far as can be told ({offset.value:+.0f} cm)."
    wanted = float(find_tilt_over_hands(tilt.value, offset.value, inputs.trunk.value, share=share))
    side, way = ("outside", "in") if offset.value > 0 else ("inside", "out")
    return (
        f"The hands are {abs(offset.value):.0f} cm {side} the shoulders; a tilt of {wanted:.0f}° instead of "
        f"{tilt.value:.0f}° takes up about {share * abs(offset.value):.0f} cm of it, and the hands come {way} for the "
        "rest."
    )
