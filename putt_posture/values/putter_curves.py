"""What the body does for putters of other lengths."""

from attrs import field, frozen

from putt_posture.values.arrays import Floats

__all__ = ["PutterCurves"]


@frozen(kw_only=True, eq=False)
class PutterCurves:
    """The least uncomfortable setup at each of N putter lengths.

    Attributes
    ----------
    putter_length_cm : (N,)
        Rising, cm.
    spine_tilt, back_rounding, head_drop, knee_flex, elbow_bend, lie : (N,)
        As the measures define them, deg.
    hand_offset, elbow_depth, eye_offset, hand_height, ball_distance : (N,)
        As the measures define them, cm.
    strain : (N,)
        How far the setup is from the wanted one: root of the sum of squares of the departures, each in units of what
        is easily borne. 0 = as wanted.
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
