"""What the coach typed or drew about one view; it goes before what the program finds."""

from attrs import field, frozen

from putt_posture.values import Point, Segment
from putt_posture.values.checks import check_point, check_scale_object, check_segment, number, where_given
from putt_posture.values.showing import brief

__all__ = ["Given"]


@brief
@frozen(kw_only=True)
class Given:
    """The coach's own readings of one view; None where left to the program.

    Attributes
    ----------
    scale_object : (float, Segment) or None
        Length in cm of something in the golfer's plane, and its two ends in the picture.
    roll_deg : float or None
        Camera roll, + = content turned clockwise.
    distance_cm : float or None
        Camera to golfer.
    shaft_px : Segment or None
        Butt end of the grip, then the sole.
    ball_px : Point or None
    """

    scale_object: tuple[float, Segment] | None = field(default=None, validator=where_given(check_scale_object))
    roll_deg: float | None = field(default=None, validator=number(optional=True))
    distance_cm: float | None = field(default=None, validator=number(optional=True, above=0))
    shaft_px: Segment | None = field(default=None, validator=where_given(check_segment))
    ball_px: Point | None = field(default=None, validator=where_given(check_point))

    def names(self) -> tuple[str, ...]:
        """Return what was given, in words."""
        words = {
            "scale object": self.scale_object,
            "camera roll": self.roll_deg,
            "camera distance": self.distance_cm,
            "shaft": self.shaft_px,
            "ball": self.ball_px,
        }
        return tuple(word for word, value in words.items() if value is not None)
