"""The trunk's outline down the line, back and front, and its distances from the spine line."""

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from putt_posture.posture.back import BackOutline, read_back_outline
from putt_posture.posture.front import FrontOutline, read_front_outline
from putt_posture.values import Floats, Landmarks

__all__ = ["SideOutline", "outline_depths", "read_side_outline"]


@frozen(kw_only=True, eq=False)
class SideOutline:
    """The trunk's outline in one frame.

    Attributes
    ----------
    back : BackOutline
    front : FrontOutline
        Both relative to the same spine line.
    """

    back: BackOutline
    front: FrontOutline


def read_side_outline(
    landmarks: Landmarks, index: int, *, forward: int, px_per_cm: float, nape_px: Floats | None = None
) -> SideOutline:
    """Read the outline of back and front in one frame, down the line; see `read_back_outline`, `read_front_outline`.

    Parameters
    ----------
    landmarks : Landmarks
    index : int
        Which frame.
    forward : int
        +1 where the ball side is to the right of the picture, else −1.
    px_per_cm : float
        Scale, pixels per cm.
    nape_px : (2,), optional
        Base of the neck, pixels.
    """
    return SideOutline(
        back=read_back_outline(landmarks, index, forward=forward, nape_px=nape_px),
        front=read_front_outline(landmarks, index, forward=forward, px_per_cm=px_per_cm),
    )


def outline_depths(
    outlines: Sequence[SideOutline], stations: Sequence[float] | Floats, *, px_per_cm: float
) -> tuple[Floats, Floats]:
    """Return the distances of back and front from the spine line.

    Parameters
    ----------
    outlines : sequence of SideOutline
        Of each frame.
    stations : (S,)
        Where along the spine line: 0 hips, 1 shoulders.
    px_per_cm : float
        Scale in the golfer's mid-plane.

    Returns
    -------
    behind : (T, S)
    ahead : (T, S)
        cm, skin and clothes; NaN where the outline was not found or, in front, arms hide it all around.
    """
    lengths = np.array([outline.back.length_px for outline in outlines])[:, None] / px_per_cm
    behind = np.array([[outline.back.behind_at(station) for station in stations] for outline in outlines])
    ahead = np.array([[outline.front.ahead_at(station) for station in stations] for outline in outlines])
    return lengths * behind, lengths * ahead
