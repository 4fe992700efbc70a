"""The trunk's outline down the line: its front, where no arm hides it, and the distances of back and front.

Down the line the arms hang in front of the trunk. Where the outline is near an arm it may be the arm's; those stations
are left out, and the trunk's front there comes from the nearest station that is seen.
"""

import itertools
import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.joints.rays import find_exits
from putt_posture.posture.back import BackOutline, read_back_outline
from putt_posture.values import Floats, Landmarks

__all__ = ["FrontOutline", "SideOutline", "outline_depths", "read_front_outline", "read_side_outline"]

ARM_CM: Final = 6.0
"""An edge nearer than this to the middle line of an arm may be the arm's, cm: half the breadth of an upper arm with its
sleeve (from memory), and the error of its landmarks."""
TAPER: Final = 0.11
"""How much deeper the trunk gets from waist to ribs, lengths of the spine line per length: the chest is 1.6 cm (men)
and 3.6 cm (women) deeper than the waist (ANSUR II 2012 at 172 cm), half a spine line of 45 cm apart."""

ABOVE_COUNTS: Final = 3.0
"""A station above counts as this many times farther away than one below: above, sleeves and the far arm hang in front
of the chest."""

_STATIONS: Final = np.linspace(0.12, 0.96, 85)
"""Below, the thighs begin; above, the neck."""
_REACH: Final = 1.2
_NEAREST: Final = 7
_MARGIN: Final = 3
_ARM: Final = ("shoulder", "elbow", "wrist", "index")


@frozen(kw_only=True, eq=False)
class FrontOutline:
    """Chest and belly of one frame.

    Attributes
    ----------
    stations : (N,)
        Where along the spine line (0 hips, 1 shoulders).
    ahead : (N,)
        Distance of the outline ahead of the spine line, in lengths of it; NaN where an arm hides it.
    """

    stations: Floats = field(repr=False)
    ahead: Floats = field(repr=False)

    def ahead_at(self, station: float) -> float:
        """Return how far the trunk's front is ahead of the spine line at a station, in lengths of it.

        Taken from the nearest visible stations, less deep toward the waist and deeper toward the ribs; NaN where there
        is none.

        Parameters
        ----------
        station : float
            Where along the spine line: 0 hips, 1 shoulders.
        """
        seen = np.flatnonzero(np.isfinite(self.ahead))
        if seen.size < _NEAREST or not math.isfinite(station):
            return math.nan
        gaps = self.stations[seen] - station
        nearest = seen[np.argsort(np.where(gaps > 0, ABOVE_COUNTS * gaps, -gaps))[:_NEAREST]]
        away = station - float(self.stations[nearest].mean())
        return float(np.median(self.ahead[nearest])) + TAPER * away


def read_front_outline(landmarks: Landmarks, index: int, *, forward: int, px_per_cm: float) -> FrontOutline:
    """Read the outline of chest and belly in one frame, down the line.

    Parameters
    ----------
    landmarks : Landmarks
        With its outlines.
    index : int
        Which frame.
    forward : int
        +1 where the ball side is to the right of the picture, else −1.
    px_per_cm : float
        Scale, for the thickness of the arms.
    """
    hip, shoulder = landmarks.middle("hip")[index], landmarks.middle("shoulder")[index]
    spine = shoulder - hip
    ahead = np.full(_STATIONS.size, np.nan)
    if np.isfinite(spine).all() and spine.any():
        ray = forward * np.array([-spine[1], spine[0]])
        starts = hip + _STATIONS[:, None] * spine
        ahead, _ = find_exits(landmarks, index, starts_px=starts, ray_px=ray, reach=_REACH)
        hidden = _near_an_arm(starts + ahead[:, None] * ray, landmarks, index, within_px=ARM_CM * px_per_cm)
        hidden |= np.isnan(ahead)
        ahead[np.convolve(hidden, np.ones(2 * _MARGIN + 1), mode="same") > 0] = np.nan
    return FrontOutline(stations=_STATIONS, ahead=ahead)


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
    landmarks: Landmarks,
    index: int,
    *,
    forward: int,
    px_per_cm: float,
    nape_px: Floats | None = None,
    drawn_px: Floats | None = None,
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
    drawn_px : (N, 2), optional
        The outline of the back as a person drew it, pixels.
    """
    return SideOutline(
        back=read_back_outline(landmarks, index, forward=forward, nape_px=nape_px, drawn_px=drawn_px),
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


def _near_an_arm(points_px: Floats, landmarks: Landmarks, index: int, *, within_px: float) -> NDArray[np.bool_]:
    """Return which points (N, 2) lie near a line from shoulder to elbow to wrist to knuckle, (N,) bool."""
    near = np.zeros(len(points_px), dtype=np.bool_)
    for side in ("left", "right"):
        chain = [landmarks.point(f"{side}_{part}")[index] for part in _ARM]
        for start, end in itertools.pairwise(chain):
            along = end - start
            square = float(along @ along)
            if not math.isfinite(square) or square == 0:
                continue
            share = np.clip((points_px - start) @ along / square, 0.0, 1.0)
            gaps = np.linalg.norm(points_px - start - share[:, None] * along, axis=1)
            near |= gaps < within_px
    return near
