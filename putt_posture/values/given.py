"""What the coach typed or drew about one view; it is used instead of what the program finds."""

from typing import Final

from attrs import evolve, field, frozen

from putt_posture.values.checks import (
    check_point,
    check_scale_object,
    check_segment,
    integer,
    line,
    number,
    one_of,
    where_given,
)
from putt_posture.values.scene import Point, Segment
from putt_posture.values.showing import brief
from putt_posture.values.stroke import STROKE_EVENTS, StrokeEvent

__all__ = ["EVENTS_BY_HAND", "Given", "PlacedEvent", "PlacedLandmark"]


EVENTS_BY_HAND: Final = "events of the stroke"
"""What was placed, where a number says on what it depends that is by hand."""


@brief
@frozen(kw_only=True)
class PlacedLandmark:
    """A joint that a person placed by hand in one frame.

    Attributes
    ----------
    landmark : str
        One of `LANDMARK_NAMES`.
    point_px : Point
        Where it is, pixels of the full-size upright picture, origin top left.
    time_s : float or None
        Clip time of the frame, seconds; None for the still that represents the lesson.
    """

    landmark: str
    point_px: Point
    time_s: float | None = None


@brief
@frozen(kw_only=True)
class PlacedEvent:
    """An event of a stroke that a person placed in time by hand.

    Attributes
    ----------
    stroke : int
        Which stroke of the clip, from 1, practice strokes included.
    event : StrokeEvent
    time_s : float
        Clip time, seconds.
    """

    stroke: int = field(validator=integer(low=1))
    event: StrokeEvent = field(validator=one_of(*STROKE_EVENTS))
    time_s: float = field(validator=number(low=0))


@brief
@frozen(kw_only=True)
class Given:
    """The coach's own readings of one view; None or empty where the program decides.

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
        Centre of the ball.
    ground_px : Point or None
        A point of the ground beside the feet, as far from the camera as they are.
    back_px : tuple of Point
        The outline of the back in the still down the line, from the pelvis to the neck; at least 4 points, or none.
    target_px : Segment or None
        Two points of the ground on the target line, or on a line parallel to it.
    landmarks : tuple of PlacedLandmark
        Joints placed by hand. Where one was placed twice in one frame, the last counts.
    setup_times_s : tuple of float
        Clip times, seconds; of the setups that were found only those around these times are measured. All are measured
        where it is empty.
    event_times : tuple of PlacedEvent
        Events of strokes placed by hand. Where one was placed twice, the last counts.
    """

    scale_object: tuple[float, Segment] | None = field(default=None, validator=where_given(check_scale_object))
    roll_deg: float | None = field(default=None, validator=number(optional=True))
    distance_cm: float | None = field(default=None, validator=number(optional=True, above=0))
    shaft_px: Segment | None = field(default=None, validator=where_given(check_segment))
    ball_px: Point | None = field(default=None, validator=where_given(check_point))
    ground_px: Point | None = field(default=None, validator=where_given(check_point))
    back_px: tuple[Point, ...] = field(default=(), validator=line())
    target_px: Segment | None = field(default=None, validator=where_given(check_segment))
    landmarks: tuple[PlacedLandmark, ...] = ()
    setup_times_s: tuple[float, ...] = ()
    event_times: tuple[PlacedEvent, ...] = ()

    def names(self) -> tuple[str, ...]:
        """Return what was given, in words."""
        found = (word for word, field in _FIELDS.items() if getattr(self, field) not in (None, ()))
        return (*found, *dict.fromkeys(map(_say_landmark, self.landmarks)))

    def without(self, name: str) -> "Given":
        """Return the same without one thing.

        Parameters
        ----------
        name : str
            One of `names`.
        """
        if name in _FIELDS:
            return evolve(self, **{_FIELDS[name]: getattr(Given(), _FIELDS[name])})
        return evolve(self, landmarks=tuple(each for each in self.landmarks if _say_landmark(each) != name))


def _say_landmark(placed: PlacedLandmark) -> str:
    return placed.landmark.replace("_", " ")


_FIELDS: Final = {
    "scale object": "scale_object",
    "camera roll": "roll_deg",
    "camera distance": "distance_cm",
    "shaft": "shaft_px",
    "ball": "ball_px",
    "ground": "ground_px",
    "back line": "back_px",
    "target line": "target_px",
    "setup": "setup_times_s",
    EVENTS_BY_HAND: "event_times",
}
"""Names of the fields in messages, in their order; landmarks have names of their own."""
