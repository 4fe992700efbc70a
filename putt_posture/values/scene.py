"""What the picture of one view shows around the student."""

from typing import Literal

from attrs import field, frozen

from putt_posture.values.estimate import Estimate
from putt_posture.values.showing import brief
from putt_posture.values.student import View

__all__ = ["ButtSource", "FindingSource", "Point", "ScaleSource", "Scene", "Segment"]

Point = tuple[float, float]
"""u, v in pixels of the full-size upright picture, origin top left, v down."""
Segment = tuple[Point, Point]
ScaleSource = Literal["object", "putter", "stature", "other_view", "none"]
FindingSource = Literal["given", "found", "none"]
"""Whether the coach drew a thing, or the program found it in the picture."""
ButtSource = Literal["given", "seen", "other_view", "judged", "none"]
"""Source of the butt end: drawn by the coach, seen in this picture, seen in the other view's picture, or judged from
the hands and from where the grip ends below them."""


@brief
@frozen(kw_only=True)
class Scene:
    """Scale, camera and things on the ground in one view.

    Attributes
    ----------
    view : View
    px_per_cm : Estimate
        Pixels per centimetre in the golfer's mid-plane.
    scale_source : ScaleSource
    roll : Estimate
        Camera roll, deg; + = the picture's content is turned clockwise, so that a true vertical leans to
        the right at its top. Angles are corrected by it.
    yaw : Estimate
        How far the camera stood off square, deg; + = nearer to the ball down the line, nearer to the target face on.
        Lengths are corrected by it.
    forward : {-1, +1}
        Sign of the picture's u axis along the golfer's axis that the view sees: down the line +1 where the
        ball side (y) is to the right; face on +1 where the target side (x) is to the right.
    ground_v_px : Estimate
        The v of the ground under the mid-point of the feet, px (at that point, before roll is taken out).
    distance_cm : Estimate
        Camera to golfer, cm; guessed from a phone's usual field of view unless given.
    shaft_px : Segment or None
        Butt end of the grip, then the sole of the head.
    ball_px : Point or None
        Centre of the ball.
    shaft_source, ball_source : {"given", "found", "none"}
    butt_source : {"given", "seen", "other_view", "judged", "none"}
    putter_sd_cm : float
        One sigma of the length between the ends of a found shaft, without scale and camera; 0 for a given one.
    shaft_why_not, ball_why_not : str
        A clause on why it was not found; empty where it was, or was not searched for.
    given : tuple of str
        Names of what the person typed or drew (for the report).
    warnings : tuple of str
        Sentences on how the clip was filmed.
    without_putter : bool
        Whether it was filmed without putter and ball, so that neither was looked for.
    """

    view: View
    px_per_cm: Estimate
    scale_source: ScaleSource
    roll: Estimate
    yaw: Estimate
    forward: Literal[-1, 1]
    ground_v_px: Estimate
    distance_cm: Estimate
    shaft_px: Segment | None = None
    ball_px: Point | None = None
    given: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    without_putter: bool = False
    shaft_source: FindingSource = field()
    ball_source: FindingSource = field()
    butt_source: ButtSource = field()
    putter_sd_cm: float = 0.0
    shaft_why_not: str = ""
    ball_why_not: str = ""

    @shaft_source.default
    def _default_shaft_source(self) -> FindingSource:
        return "none" if self.shaft_px is None else "given"

    @ball_source.default
    def _default_ball_source(self) -> FindingSource:
        return "none" if self.ball_px is None else "given"

    @butt_source.default
    def _default_butt_source(self) -> ButtSource:
        return "none" if self.shaft_px is None else "given"
