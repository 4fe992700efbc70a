"""A putter length and lie with what speaks for them."""

from collections.abc import Mapping

from attrs import field, frozen

from putt_posture.values.estimate import Estimate
from putt_posture.values.putter_curves import PutterCurves
from putt_posture.values.standing_figure import StandingFigure

__all__ = ["Evidence", "Fit"]


@frozen(kw_only=True)
class Evidence:
    """One way to a putter length.

    Attributes
    ----------
    name : str
        A short name, snake_case, stable.
    title : str
        The same for people.
    length : Estimate
        cm along the shaft, top of the grip to the sole.
    says : str
        One plain sentence: what it rests on.
    """

    name: str
    title: str
    length: Estimate
    says: str


@frozen(kw_only=True)
class Fit:
    """A putter length suggestion.

    Attributes
    ----------
    putter_length : Estimate
        Suggested length in cm; top of the grip along the shaft's axis to the sole.
    stock_length_in : float or None
        The nearest half inch; None where the length is absent.
    lie : Estimate
        Suggested angle of the shaft above the horizontal, deg.
    evidence : tuple of Evidence
    assumptions : tuple of str
        Sentences.
    setup : mapping of str to Estimate
        The setup that the length is for: ``spine_tilt``, ``knee_flex``, ``back_rounding``, ``head_drop``,
        ``elbow_bend``, ``hand_offset``, ``elbow_depth``, ``hand_height``, ``eye_offset``, ``ball_distance``,
        ``balance``, as the measures define them. Empty where no length came out.
    toe_lift : Estimate or None
        How far the toe of the putter in use (or of one with the usual lie) stands off the ground with the shaft at the
        suggested lie, cm; − = the heel does.
    curves : PutterCurves or None
        What putters of other lengths do to the setup.
    disagreements : tuple of str
        What does not agree: data that were put aside because they contradict the rest, by how much and what to check;
        then ways to a length that are more than half an inch apart, why, and what to measure next.
    figure : StandingFigure or None
        The body in that setup with the suggested putter, to be drawn.
    """

    putter_length: Estimate
    stock_length_in: float | None
    lie: Estimate
    evidence: tuple[Evidence, ...] = ()
    assumptions: tuple[str, ...] = ()
    setup: Mapping[str, Estimate] = field(factory=dict)
    toe_lift: Estimate | None = None
    curves: PutterCurves | None = None
    disagreements: tuple[str, ...] = ()
    figure: StandingFigure | None = None
