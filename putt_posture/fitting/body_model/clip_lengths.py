"""Lengths between a student's joints as a scaled clip shows them."""

from collections.abc import Mapping
from typing import Final

from attrs import field, frozen

from putt_posture.values import Estimate

__all__ = ["CLIP_LENGTHS", "ClipLengths"]

CLIP_LENGTHS: Final = ("shank", "thigh", "trunk", "neck", "upper_arm", "forearm")
"""Links of the body that a clip may measure: ankle to knee, knee to hip, mid-hip to mid-shoulder with a flat back,
mid-shoulder to mid-ear, shoulder to elbow, elbow to wrist."""


@frozen(kw_only=True)
class ClipLengths:
    """Measured lengths with what their scale is worth.

    Attributes
    ----------
    lengths : mapping of str to Estimate
        Names of `CLIP_LENGTHS`, cm; the standard uncertainty leaves out the scale. Absent ones are passed over.
    scale_sd : float
        One sigma of the scale, as a share: it makes all lengths too long or too short together.
    """

    lengths: Mapping[str, Estimate] = field(factory=dict)
    scale_sd: float = 0.0
