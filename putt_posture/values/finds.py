"""What was found in the picture of one view: resolution, camera roll, putter and ball.

It is kept beside the landmarks, so that a lesson is measured again without its picture.
"""

import math

from attrs import field, frozen

from putt_posture.values.estimate import Estimate
from putt_posture.values.scene import Point, Segment
from putt_posture.values.showing import brief

__all__ = ["FoundBall", "FoundShaft", "PictureFinds"]


@brief
@frozen(kw_only=True, eq=False)
class FoundShaft:
    """A shaft, or falsy with the reason why there is none.

    Attributes
    ----------
    ends_px : Segment or None
        Butt end of the grip, then the sole.
    butt_seen, sole_seen : bool
        Whether that end shows in the picture; else it is judged from hands and grip, or from the ground by the feet.
    butt_above_cm : float
        From the hand centre up to the butt, along the shaft.
    butt_sd_cm, sole_sd_cm : float
        One sigma of each end along the shaft.
    angle_sd_deg : float
        One sigma of the line's direction.
    grip_share : float
        Length from the sole to the end of the grip, as a share of sole to butt, in the picture; NaN where unknown.
    why_not : str
        One clause that finishes "No shaft was found: ...".
    """

    ends_px: Segment | None = None
    butt_seen: bool = False
    sole_seen: bool = False
    butt_above_cm: float = math.nan
    butt_sd_cm: float = math.nan
    sole_sd_cm: float = math.nan
    angle_sd_deg: float = math.nan
    grip_share: float = math.nan
    why_not: str = ""

    def __bool__(self) -> bool:
        return self.ends_px is not None

    @property
    def length_sd_cm(self) -> float:
        """One sigma of the length between the ends, cm, without that of the scale."""
        return math.hypot(self.butt_sd_cm, self.sole_sd_cm)


@brief
@frozen(kw_only=True)
class FoundBall:
    """A ball, or falsy with the reason why there is none.

    Attributes
    ----------
    centre_px : Point or None
    diameter_px : float
    sd_px : float
        One sigma of the centre, across and down.
    score : float
        How clearly its rim shows, 0 to 1.
    why_not : str
        One clause that finishes "No ball was found: ...".
    """

    centre_px: Point | None = None
    diameter_px: float = math.nan
    sd_px: float = math.nan
    score: float = 0.0
    why_not: str = ""

    def __bool__(self) -> bool:
        return self.centre_px is not None


@brief
@frozen(kw_only=True, eq=False)
class PictureFinds:
    """All that was found in the still of one view, whether it was used or replaced by something given by hand.

    Attributes
    ----------
    resolution_px : float
        Size of the smallest detail that the picture shows, pixels; 1 in a sharp one.
    roll : Estimate
        Camera roll, deg; + = the picture's content is turned clockwise.
    shaft : FoundShaft
        By this picture alone.
    butt_lent : bool
        Whether the butt end of `shaft` was already placed by the other view's picture.
    ball : FoundBall or None
        None where it was not searched for, since no shaft was known.
    ball_warnings : tuple of str
        Sentences on which side of the head the ball lies.
    """

    resolution_px: float
    roll: Estimate
    shaft: FoundShaft = field(repr=False)
    butt_lent: bool = False
    ball: FoundBall | None = field(default=None, repr=False)
    ball_warnings: tuple[str, ...] = ()
