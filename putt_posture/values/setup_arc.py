"""The arc that a setup tends to give: geometry, not a measured stroke."""

from attrs import field, frozen

from putt_posture.values.estimate import Estimate, Floats
from putt_posture.values.showing import brief

__all__ = ["Arc", "ArcComparison", "Pendulum", "StartLineSpread", "Window"]


@brief
@frozen(kw_only=True)
class Pendulum:
    """Arms and putter of a setup, in the plane across the target line.

    Attributes
    ----------
    hand_offset : Estimate
        Hands minus shoulders, + toward the ball, cm.
    shoulder_drop : Estimate
        Middle of the shoulder joints above the hand centre, cm.
    hand_height : Estimate
        Hand centre above the ground, cm.
    lie : Estimate
        Shaft above the horizontal, deg.
    """

    hand_offset: Estimate
    shoulder_drop: Estimate
    hand_height: Estimate
    lie: Estimate


@brief
@frozen(kw_only=True, eq=False)
class Arc:
    """The line that the putter head tends to draw on the ground; falsy where it cannot be found.

    Attributes
    ----------
    lean : Estimate
        Swing plane from the vertical, + = the head side leans toward the ball, deg.
    radius : Estimate
        Shoulders to head in the swing plane, cm.
    half_stroke_cm : float
        How far the head swings to either side of the ball, along the target line, cm.
    depth : Estimate
        How far inside the target line the head is at the ends of the stroke, cm; − is outside.
    face : Estimate
        Face square to the arc at the end of the backswing, against the target line: + open, deg. As much closed at the
        end of the follow-through.
    distance_cm : (N,)
        Along the target line, + toward the target, from −half_stroke to half_stroke, cm.
    inside_cm, inside_sd_cm : (N,)
        How far inside the target line the head is there, and its standard uncertainty, cm.
    face_deg, face_sd_deg : (N,)
        Face square to the arc against the target line there, + open, and its standard uncertainty, deg.
    assumptions : tuple of str
        Sentences.
    """

    lean: Estimate
    radius: Estimate
    half_stroke_cm: float
    depth: Estimate
    face: Estimate
    distance_cm: Floats = field(repr=False)
    inside_cm: Floats = field(repr=False)
    inside_sd_cm: Floats = field(repr=False)
    face_deg: Floats = field(repr=False)
    face_sd_deg: Floats = field(repr=False)
    assumptions: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.depth)


@brief
@frozen(kw_only=True)
class Window:
    """The part of a stroke in which the ball, if struck there, would start on a line that holes the putt.

    An upper limit: for a ball that dies at the hole.

    Attributes
    ----------
    putt_cm : float
        Ball to the middle of the hole, cm.
    capture_deg : float
        How far off the start line may be, to either side, deg.
    length_cm : float
        Along the arc, both sides of the middle together, cm; never more than the stroke.
    low_cm, high_cm : float
        95 % interval of `length_cm`.
    share : float
        Of the whole stroke, 0 to 1.
    low_share, high_share : float
        95 % interval of `share`.
    """

    putt_cm: float
    capture_deg: float
    length_cm: float
    low_cm: float
    high_cm: float
    share: float
    low_share: float
    high_share: float


@brief
@frozen(kw_only=True, eq=False)
class ArcComparison:
    """Two arcs side by side.

    Attributes
    ----------
    before, after : Arc
        Over the same stroke; either may be absent.
    depth_change : Estimate
        After minus before, cm; absent where an arc is.
    windows : tuple of (Window or None, Window or None)
        Before and after, for one length of putt each; None where the arc is absent.
    says : str
        One sentence: what this is and what it is not.
    """

    before: Arc
    after: Arc
    depth_change: Estimate
    windows: tuple[tuple[Window | None, Window | None], ...]
    says: str


@brief
@frozen(kw_only=True)
class StartLineSpread:
    """How much start lines scatter, from putts tried and holed.

    Attributes
    ----------
    sigma : Estimate
        One sigma of the start line about the middle of the hole, aim and read included, deg.
    low_deg, high_deg : float
        95 % interval by the profile of the likelihood, deg.
    tried, holed : int
        Putts.
    """

    sigma: Estimate
    low_deg: float
    high_deg: float
    tried: int
    holed: int
