"""The joints of one view, and how far they may still be off."""

from attrs import field, frozen

from putt_posture.values.arrays import Floats
from putt_posture.values.estimate import Estimate
from putt_posture.values.landmarks import Landmarks

__all__ = ["Joints"]


@frozen(kw_only=True, eq=False)
class Joints:
    """Joint centres of T frames of one view.

    Attributes
    ----------
    landmarks : Landmarks
        The landmarks moved to the joint centres.
    errors_px : (C, 33, 2)
        What is left of their errors: C independent patterns, one sigma each, pixels. All frames share them.
    offsets_px : (C, 33, 2)
        What the landmarks of renders miss alike and those of people may not, all joints together: C independent
        patterns, one sigma each, pixels. The same in every lesson.
    yaw : Estimate
        How far the camera stood off square to the body, deg; + = nearer to the ball down the line, nearer to the
        target face on.
    misfit : float
        How unusual the landmarks are beside those of the bodies that the fit was learned from: 1 = as usual.
    warnings : tuple of str
        Sentences for the coach.
    """

    landmarks: Landmarks
    errors_px: Floats = field(repr=False)
    offsets_px: Floats = field(repr=False)
    yaw: Estimate
    misfit: float = 1.0
    warnings: tuple[str, ...] = ()
