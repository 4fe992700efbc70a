"""The stroke: what was seen in its frames, and what was measured of it.

Times are clip time in seconds; uncertainties of times too (``clip.time_stretch`` turns both into real seconds). Points
are pixels of the full-size upright picture of their own frame until they say otherwise. Lengths are cm in the golfer's
plane: along is y (+ = from the golfer toward the ball) down the line and x (+ = toward the target) face on; up is z.
"""

import math
from collections.abc import Mapping
from typing import Final, Literal

import numpy as np
from attrs import field, frozen

from putt_posture.values.clip import Frame
from putt_posture.values.estimate import Estimate, Floats
from putt_posture.values.landmarks import LANDMARK_NAMES, Landmarks
from putt_posture.values.posture import MeasureName
from putt_posture.values.showing import brief
from putt_posture.values.student import View

__all__ = [
    "EVENT_TITLES",
    "STROKE_EVENTS",
    "OverlayClip",
    "SeenStroke",
    "SeenStrokes",
    "Stroke",
    "StrokeEvent",
    "StrokeKind",
    "StrokePath",
    "StrokeScatter",
    "Strokes",
    "WithHands",
]

StrokeEvent = Literal["start", "top", "impact", "finish"]
STROKE_EVENTS: Final[tuple[StrokeEvent, ...]] = ("start", "top", "impact", "finish")
"""Start: the last still moment before the putter head moves away. Top: the last before it moves back. Impact: the
ball's first motion, or the head's return. Finish: the farthest point after impact (McLaughlin 2008, secondary)."""
EVENT_TITLES: Final[Mapping[StrokeEvent, str]] = {
    "start": "Address",
    "top": "Top",
    "impact": "Impact",
    "finish": "Finish",
}
"""As a heading, on a picture or beside a mark; the last still moment is the address."""
StrokeKind = Literal["putt", "practice", "unsure"]
"""Whether the ball left."""

WithHands = Literal["with", "against", "neither"]
"""Whether a point of the body goes along the target line with the hands or against them; neither where that is not
clear."""


def _standing_camera(frames: int) -> Floats:
    return np.tile(np.eye(2, 3), (frames, 1, 1))


@brief
@frozen(kw_only=True, eq=False)
class SeenStroke:
    """What the N frames of one stroke show in one view, from the quiet address to after the finish.

    It is all that measuring needs, so that a stroke is measured again without its clip.

    Attributes
    ----------
    view : View
    times_s : (N,)
        True clip time of each frame, increasing; doubled frames are left out.
    address_s : (float, float)
        The quiet part of these frames before the stroke, from which the noise is read.
    stroke_s : (float, float)
        Roughly where the stroke starts and ends.
    shift_s : float
        Added to a time of the likest stroke of the other clip it gives that of this one, real seconds, by how much
        moves in both pictures; NaN where none is like it.
    points_px : (N, 33, 2)
        Landmarks of the small model, NaN where the student was not seen.
    visibility : (N, 33)
        0 to 1 as the model gives it; NaN where not seen.
    depth : (N, 33)
        As in `Landmarks`.
    camera_px : (N, 2, 3)
        Affine map from the pixels of each frame to those of the still that stands for the lesson, from what stands
        still behind the student; the identity where the camera stood.
    camera_sd_px : float
        One sigma of a point moved by it, pixels.
    shaft_px : (N, 2, 2)
        Butt end of the grip, then the sole; NaN where not followed.
    putter_head_px : (N, 2)
        Where the shaft's axis meets the putter head; NaN where not followed.
    putter_head_sd_px : (N,)
        One sigma of it, pixels.
    ball_px : (N, 2)
        Centre of the ball that is putted, at rest and rolling; NaN where not seen.
    ball_sd_px : (N,)
        One sigma of it, pixels.
    ball_leaves_s : Estimate
        Clip time of the ball's first motion, s; absent, with the reason, where it does not move or is not seen.
    kind : StrokeKind
    why : str
        One sentence: why it is a putt, a practice stroke or neither for sure.
    at_events : Landmarks or None
        Landmarks of the large model with outlines, one frame for each of `event_names`; ``setup_index`` counts 0, 1, …
    event_names : tuple of StrokeEvent
    stills : tuple of Frame
        Full-size pictures of the same frames; empty where they were not kept.
    notes : tuple of str
        Sentences for the coach about this stroke: lost frames, a moved camera, a second ball.
    """

    view: View
    times_s: Floats = field(repr=False)
    address_s: tuple[float, float]
    stroke_s: tuple[float, float]
    shift_s: float = math.nan
    points_px: Floats = field(repr=False)
    visibility: Floats = field(repr=False)
    depth: Floats = field(repr=False)
    camera_px: Floats = field(repr=False)
    camera_sd_px: float = 0.0
    shaft_px: Floats = field(repr=False)
    putter_head_px: Floats = field(repr=False)
    putter_head_sd_px: Floats = field(repr=False)
    ball_px: Floats = field(repr=False)
    ball_sd_px: Floats = field(repr=False)
    ball_leaves_s: Estimate
    kind: StrokeKind
    why: str
    at_events: Landmarks | None = field(default=None, repr=False)
    event_names: tuple[StrokeEvent, ...] = ()
    stills: tuple[Frame, ...] = field(default=(), repr=False)
    notes: tuple[str, ...] = ()

    @classmethod
    def without_putter(
        cls,
        *,
        view: View,
        times_s: Floats,
        address_s: tuple[float, float],
        stroke_s: tuple[float, float],
        points_px: Floats,
        ball_leaves_s: Estimate,
        why: str,
    ) -> "SeenStroke":
        """Return a stroke of which only the student was seen, by a camera that stood.

        Parameters
        ----------
        view, times_s, address_s, stroke_s, points_px, ball_leaves_s, why
            As the attributes.
        """
        frames = len(times_s)
        return cls(
            view=view,
            times_s=times_s,
            address_s=address_s,
            stroke_s=stroke_s,
            points_px=points_px,
            visibility=np.where(np.isfinite(points_px[..., 0]), 1.0, np.nan),
            depth=np.zeros((frames, len(LANDMARK_NAMES))),
            camera_px=_standing_camera(frames),
            shaft_px=np.full((frames, 2, 2), np.nan),
            putter_head_px=np.full((frames, 2), np.nan),
            putter_head_sd_px=np.full(frames, np.nan),
            ball_px=np.full((frames, 2), np.nan),
            ball_sd_px=np.full(frames, np.nan),
            ball_leaves_s=ball_leaves_s,
            kind="unsure",
            why=why,
        )


@brief
@frozen(kw_only=True, eq=False)
class SeenStrokes:
    """The strokes that were seen in one clip.

    Attributes
    ----------
    view : View
    strokes : tuple of SeenStroke
        In order of time.
    why_none : str
        One sentence where there is none; empty where there is one.
    notes : tuple of str
        Sentences for the coach about the clip as a whole.
    to_other_s : float
        Added to a time of this clip it gives roughly that of the other clip, real seconds, where the motion in both
        shows that they film one performance; NaN where that is not known.
    """

    view: View
    strokes: tuple[SeenStroke, ...] = ()
    why_none: str = ""
    notes: tuple[str, ...] = ()
    to_other_s: float = math.nan


@brief
@frozen(kw_only=True, eq=False)
class StrokePath:
    """How one point moved through a stroke in one view.

    Attributes
    ----------
    point : str
        ``hands``, ``putter_head``, ``head``, ``sternum``, ``hips``, ``knees`` or ``ball``.
    times_s : (N,)
    moved_cm : (N, 2)
        Along and up from where it was at address, smoothed; NaN where it was not seen.
    sd_cm : (N, 2)
        One sigma of `moved_cm`, cm.
    from_ball_cm : (float, float)
        Where it was at address: along from the ball's centre, up from the ground, cm; NaN where not known.
    """

    point: str
    times_s: Floats = field(repr=False)
    moved_cm: Floats = field(repr=False)
    sd_cm: Floats = field(repr=False)
    from_ball_cm: tuple[float, float]


@brief
@frozen(kw_only=True, eq=False)
class Stroke:
    """One stroke as measured in one view.

    Attributes
    ----------
    view : View
    number : int
        1 for the first stroke of the clip, practice strokes included.
    kind : StrokeKind
    why : str
        One sentence: why it is a putt, a practice stroke or neither for sure.
    events : mapping of StrokeEvent to Estimate
        Clip times, s; all four names are there, absent ones with the reason. By hand where the coach moved one.
    numbers : mapping of MeasureName to Estimate
        One entry for each record of a stroke that this view could show, absent ones with the reason.
    paths : mapping of str to StrokePath
        By the name of the point.
    with_hands : mapping of str to WithHands
        Head, sternum, hips and knees from start to impact; empty down the line, which does not show it.
    doubts : tuple of str
        Sentences for the coach.
    """

    view: View
    number: int
    kind: StrokeKind
    why: str
    events: Mapping[StrokeEvent, Estimate]
    numbers: Mapping[MeasureName, Estimate] = field(repr=False)
    paths: Mapping[str, StrokePath] = field(repr=False)
    with_hands: Mapping[str, WithHands] = field(factory=dict, repr=False)
    doubts: tuple[str, ...] = ()


@brief
@frozen(kw_only=True)
class StrokeScatter:
    """How much a number differs from one stroke to the next.

    Attributes
    ----------
    sd : float
        Sample standard deviation over the strokes without what the measuring itself scatters, in `unit`.
    low, high : float
        Its 95 % interval, in `unit`.
    count : int
        Strokes; ten at least.
    unit : str
    """

    sd: float
    low: float
    high: float
    count: int
    unit: str


@brief
@frozen(kw_only=True, eq=False)
class Strokes:
    """The strokes of one lesson.

    Attributes
    ----------
    of : mapping of View to tuple of Stroke
        In order of time; empty for a view without one.
    numbers : mapping of MeasureName to Estimate
        One entry for each record of a stroke: the mean over the putts (over the practice strokes where there is no
        putt) from three on, the stroke that follows the measured setup with fewer; absent ones with the reason.
    scatter : mapping of MeasureName to StrokeScatter
        From ten strokes on.
    with_hands : mapping of str to WithHands
        Head, sternum, hips and knees: of the strokes that `numbers` comes from, where they agree; empty without a
        stroke face on.
    shown : mapping of View to int
        Index in ``of[view]`` of the stroke that stands for the lesson in pictures.
    together : bool
        Whether both views filmed the same strokes, so that ``shown`` is one stroke from two sides.
    counted : int
        How many strokes `numbers` comes from.
    warnings : tuple of str
        Sentences that the coach should read.
    why_none : str
        One sentence where no stroke was measured; empty where one was.
    """

    of: Mapping[View, tuple[Stroke, ...]]
    numbers: Mapping[MeasureName, Estimate] = field(repr=False)
    scatter: Mapping[MeasureName, StrokeScatter] = field(factory=dict, repr=False)
    with_hands: Mapping[str, WithHands] = field(factory=dict, repr=False)
    shown: Mapping[View, int] = field(factory=dict)
    together: bool = False
    counted: int = 0
    warnings: tuple[str, ...] = ()
    why_none: str = ""

    def __bool__(self) -> bool:
        return not self.why_none


@brief
@frozen(kw_only=True)
class OverlayClip:
    """A short clip of one stroke with lines and trails drawn on it, as a file holds it.

    Attributes
    ----------
    view : View
    number : int
        Which stroke of the clip, as `Stroke.number`.
    start_s, end_s : float
        Clip time of its first and its last picture, s.
    speed : float
        Seconds of the world for each second that it plays: 0.5 at half speed.
    time_stretch : float
        As in `Clip`.
    events_s : mapping of StrokeEvent to float
        When the events are shown, s from its own start; only those that were found.
    size_px : (int, int)
        Width and height of its pictures.
    box_px : (u0, v0, u1, v1)
        The part of the full-size picture that is shown, in the upper `picture_px[1]` rows.
    picture_px : (int, int)
        Width and height of that part in its pictures; the time bar is below.
    heads_hidden : bool
    """

    view: View
    number: int
    start_s: float
    end_s: float
    speed: float
    time_stretch: float
    events_s: Mapping[StrokeEvent, float]
    size_px: tuple[int, int]
    box_px: tuple[int, int, int, int]
    picture_px: tuple[int, int]
    heads_hidden: bool

    def shown_at(self, clip_s: float) -> float:
        """Return when a clip time is shown, s from the start of this clip.

        Parameters
        ----------
        clip_s : float
        """
        return (clip_s - self.start_s) / self.time_stretch / self.speed

    def clip_time(self, shown_s: float) -> float:
        """Return the clip time that is shown at a time of this clip, s; the inverse of `shown_at`.

        Parameters
        ----------
        shown_s : float
        """
        return self.start_s + shown_s * self.time_stretch * self.speed
