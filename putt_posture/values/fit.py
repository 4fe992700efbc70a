"""The setup that a coach wants, and the result of a fit: putter length and lie with the evidence for them."""

from collections.abc import Mapping
from typing import Final

from attrs import field, frozen

from putt_posture.values.checks import number
from putt_posture.values.estimate import Estimate, Floats
from putt_posture.values.showing import brief

__all__ = [
    "SOFT_ELBOW_BEND_DEG",
    "Evidence",
    "Fit",
    "HeldPutter",
    "PlanePoint",
    "PutterCurves",
    "StandingFigure",
    "WantedSetup",
]

SOFT_ELBOW_BEND_DEG: Final = 20.0
"""Bend of a soft elbow that rests at the ribs, deg (common practice: soft, neither locked nor folded; within that range
it was chosen so that the lengths agree with those that shops fit)."""


@brief
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
        Elbows from level with the front of the ribs; + = in front of it, − = behind it. Ignored where both `tilt_deg`
        and `elbow_bend_deg` are asked for, which determine it.
    eye_offset_cm : float
        Eyes from straight over the ball; − = inside it, toward the feet.
    balance_percent : float
        Where the centre of mass is along the foot, 0 = back of the heel, 100 = tip of the toe. The balls of the feet
        are at about 70; the default is a little behind them, where a still body has room to sway.
    knee_flex_deg : float
        0 = straight legs.
    back_rounding_deg : float
        Bend of the back's outline; a back called flat still shows some 20°.
    head_drop_deg : float
        How far the head is lowered beyond the line of the spine. Ignored where `lie_deg` is asked for.
    eyes_lowered_deg : float
        How far the eyes are turned down in the head to look at the ball; the head nods by the rest.
    elbow_bend_deg, tilt_deg, lie_deg : float or None
        As asked for; None where the fit finds them.
    grip_down_cm : float
        How far below the usual place the hands hold the grip.
    """

    hand_offset_cm: float = field(default=0.0, validator=number())
    elbow_depth_cm: float = field(default=0.0, validator=number())
    eye_offset_cm: float = field(default=-1.0, validator=number())
    balance_percent: float = field(default=60.0, validator=number())
    knee_flex_deg: float = field(default=15.0, validator=number())
    back_rounding_deg: float = field(default=20.0, validator=number())
    head_drop_deg: float = field(default=18.0, validator=number())
    eyes_lowered_deg: float = field(default=30.0, validator=number())
    elbow_bend_deg: float | None = field(default=None, validator=number(optional=True))
    tilt_deg: float | None = field(default=None, validator=number(optional=True))
    lie_deg: float | None = field(default=None, validator=number(optional=True))
    grip_down_cm: float = field(default=0.0, validator=number())


PlanePoint = tuple[float, float]
"""y and z in the plane across the target line, cm: toward the ball from the back of the heels, and up."""


@brief
@frozen(kw_only=True)
class StandingFigure:
    """Joints and putter of a setup.

    Attributes
    ----------
    joints : mapping of str to PlanePoint
        ``heel``, ``toe`` (of the shoes), ``ankle``, ``knee``, ``hip``, ``shoulder``, ``ear``, ``eye``, ``elbow``,
        ``wrist``, ``hands``.
    butt, sole : PlanePoint
        Ends of the putter: top of the grip, and where the shaft's axis meets the sole.
    ball : PlanePoint
        Centre of the ball.
    back_rounding_deg : float
        As the measure defines it.
    """

    joints: Mapping[str, PlanePoint]
    butt: PlanePoint
    sole: PlanePoint
    ball: PlanePoint
    back_rounding_deg: float


@brief
@frozen(kw_only=True, eq=False)
class PutterCurves:
    """The least uncomfortable setup at each of N putter lengths.

    Attributes
    ----------
    putter_length_cm : (N,)
        Increasing, cm.
    spine_tilt, back_rounding, head_drop, knee_flex, elbow_bend, lie : (N,)
        As the measures define them, deg.
    hand_offset, elbow_depth, eye_offset, hand_height, ball_distance : (N,)
        As the measures define them, cm.
    strain : (N,)
        How far the setup is from the wanted one: root of the sum of squares of the departures, each divided by its
        tolerated departure. 0 = as wanted.
    suggested_cm, current_cm : float or None
        The suggested length, and that of the putter in use.
    """

    putter_length_cm: Floats = field(repr=False)
    spine_tilt: Floats = field(repr=False)
    back_rounding: Floats = field(repr=False)
    head_drop: Floats = field(repr=False)
    knee_flex: Floats = field(repr=False)
    elbow_bend: Floats = field(repr=False)
    lie: Floats = field(repr=False)
    hand_offset: Floats = field(repr=False)
    elbow_depth: Floats = field(repr=False)
    eye_offset: Floats = field(repr=False)
    hand_height: Floats = field(repr=False)
    ball_distance: Floats = field(repr=False)
    strain: Floats = field(repr=False)
    suggested_cm: float | None = None
    current_cm: float | None = None


@brief
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
        One plain sentence on what it is based on.
    """

    name: str
    title: str
    length: Estimate
    says: str


@brief
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
        ``balance``, as the measures define them. Empty where no length was found.
    toe_lift : Estimate or None
        How far the toe of the putter in use (or of one with the usual lie) is off the ground with the shaft at the
        suggested lie, cm; − = the heel is.
    curves : PutterCurves or None
        How the setup changes with putters of other lengths.
    disagreements : tuple of str
        Sentences: data that were put aside because they contradict the rest, by how much and what to check; then ways
        to a length that are more than half an inch apart, why, and what to measure next.
    figure : StandingFigure or None
        The body in that setup with the suggested putter, to be drawn.
    tilt_by_tables : Estimate or None
        The tilt that a body of the tables has in the wanted setup, with the wrist height where it is known, deg. No
        film has moved it, so a filmed tilt can be held against it. None where the tables have no such body.
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
    tilt_by_tables: Estimate | None = None


@brief
@frozen(kw_only=True)
class ChosenPutter:
    """A putter that the coach chose instead of the suggested one; falsy where nothing of it was chosen.

    Attributes
    ----------
    length_cm, lie_deg : float or None
        None for what is suggested.
    """

    length_cm: float | None = field(default=None, validator=number(optional=True))
    lie_deg: float | None = field(default=None, validator=number(optional=True))

    def __bool__(self) -> bool:
        return self.length_cm is not None or self.lie_deg is not None


@brief
@frozen(kw_only=True)
class HeldPutter:
    """A given putter in a student's hands, and what holding it costs the body.

    The body departs from the wanted setup as little as possible; see `PutterCurves`.

    Attributes
    ----------
    length_cm, lie_deg, grip_down_cm : float
        Of the putter, and how far below the usual place it is held.
    setup : mapping of str to Estimate
        Names and units as in `Fit.setup`; absent where this body cannot hold the putter.
    departures : mapping of str to Estimate
        The same less the wanted setup.
    shaft_lie : Estimate
        Angle of the shaft to the ground as it is held, deg.
    toe_lift : Estimate
        How far the toe is off the ground, cm; − = the heel is.
    strain : float
        As in `PutterCurves`; NaN where this body cannot hold the putter.
    figure : StandingFigure or None
        The body with the putter, to be drawn.
    absent : str or None
        One sentence: why this body cannot hold the putter; None where it can.
    """

    length_cm: float
    lie_deg: float
    grip_down_cm: float
    setup: Mapping[str, Estimate]
    departures: Mapping[str, Estimate]
    shaft_lie: Estimate
    toe_lift: Estimate
    strain: float
    figure: StandingFigure | None = None
    absent: str | None = None
