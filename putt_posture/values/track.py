"""Where the student was through the whole clip, seen cheaply."""

from attrs import field, frozen

from putt_posture.values.arrays import Floats

__all__ = ["Track"]


@frozen(kw_only=True, eq=False)
class Track:
    """The student followed through a clip by the small model at a low rate.

    Attributes
    ----------
    times_s : (N,)
        Clip time of each look, seconds, increasing.
    points_px : (N, 33, 2)
        Landmarks in pixels of the full-size upright picture, origin top left, u right, v down; NaN where
        the student was not seen.
    visibility : (N, 33)
        0 to 1 as the model gives it; NaN where not seen.
    boxes_px : (N, 4)
        u0, v0, u1, v1 around the student's landmarks; NaN where not seen.
    motion_times_s : (M,)
        Clip time of each motion reading, seconds, increasing.
    motion : (M,)
        Mean absolute grey-level change (0 to 255 levels) per 1/30 s of real time, inside the student's
        box stretched down to the ground and toward the ball.
    people : int
        The most people seen at one time.
    notes : tuple of str
        How the student was told from others; jumps of identity that were mended.
    """

    times_s: Floats
    points_px: Floats = field(repr=False)
    visibility: Floats = field(repr=False)
    boxes_px: Floats = field(repr=False)
    motion_times_s: Floats = field(repr=False)
    motion: Floats = field(repr=False)
    people: int = 1
    notes: tuple[str, ...] = ()
