"""Where heads are hidden in every picture of a stroke. Whatever is not known hides more, never less.

The student's head comes from the landmarks of every frame. In a picture all discs of `AROUND_S` before and after are
hidden, so that a frame in which the landmarks are wrong, or in which there are none, shows no face. The heads of others
are searched for by the large model in some pictures, and each is hidden from the picture before to the picture after.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.landmarks import find_head
from putt_posture.values import Floats, Head, SeenStroke

__all__ = ["HeadsInTime", "follow_head", "search_times"]

AROUND_S: Final = 0.15
"""Real seconds on either side whose discs are hidden too; a head moves a few centimetres in that time."""
SEARCH_EVERY_S: Final = 1.0
"""Real seconds between the pictures that are searched for the heads of others."""
ALIKE: Final = 0.1
"""Discs that differ by less than this share of a radius are one."""


@frozen(kw_only=True, eq=False)
class HeadsInTime:
    """Discs that contain the heads, by clip time; full-size pixels of the frame of that time.

    Attributes
    ----------
    times_s : (N,)
        Increasing.
    heads : tuple of tuple of Head
        Of each time; empty where none is known.
    around_s : float
        Discs of so much clip time before and after are hidden too, s.
    none_is_none : bool
        Whether a time without a head is one at which there is none; otherwise it is one at which none was seen.
    """

    times_s: Floats
    heads: tuple[tuple[Head, ...], ...]
    around_s: float
    none_is_none: bool = False

    @property
    def any_known(self) -> bool:
        """Whether there is a head at any time."""
        return any(self.heads)

    def at(self, time_s: float) -> tuple[Head, ...]:
        """Return what is hidden at a clip time: all discs around it, and the nearest known before and after.

        Parameters
        ----------
        time_s : float
        """
        known = [row for row, heads in enumerate(self.heads) if heads or self.none_is_none]
        times = self.times_s[known]
        after = int(np.searchsorted(times, time_s))
        wanted = {after - 1, after, *np.flatnonzero(np.abs(times - time_s) <= self.around_s).tolist()}
        rows = sorted(known[each] for each in wanted if 0 <= each < len(known))
        return _without_alike([head for row in rows for head in self.heads[row]])


def follow_head(seen: SeenStroke, *, px_per_cm: float | None, time_stretch: float = 1.0) -> HeadsInTime:
    """Find the student's head in every frame of a stroke.

    Parameters
    ----------
    seen : SeenStroke
    px_per_cm : float or None
        Scale; it can make the discs larger, never smaller.
    time_stretch : float
        As in `Clip`.
    """
    found = [find_head(points, px_per_cm=px_per_cm) for points in seen.points_px]
    radii = [head.radius_px for head in found if head is not None]
    least = float(np.median(radii)) if radii else 0.0
    heads = tuple(
        () if head is None else (Head(centre_px=head.centre_px, radius_px=max(head.radius_px, least)),)
        for head in found
    )
    return HeadsInTime(times_s=seen.times_s, heads=heads, around_s=AROUND_S * time_stretch)


def search_times(start_s: float, end_s: float, *, time_stretch: float = 1.0) -> Floats:
    """Return the clip times whose pictures are searched for the heads of others.

    Parameters
    ----------
    start_s, end_s : float
        Clip time of the first and of the last picture.
    time_stretch : float
        As in `Clip`.
    """
    count = max(2, int(np.ceil((end_s - start_s) / (SEARCH_EVERY_S * time_stretch))) + 1)
    return np.linspace(start_s, end_s, count)


def _without_alike(heads: Sequence[Head]) -> tuple[Head, ...]:
    """Return the discs, those nearly alike as one that contains them."""
    kept: list[Head] = []
    for head in heads:
        for place, other in enumerate(kept):
            apart = float(np.hypot(*np.subtract(head.centre_px, other.centre_px)))
            if apart + abs(head.radius_px - other.radius_px) <= ALIKE * other.radius_px:
                kept[place] = Head(centre_px=other.centre_px, radius_px=max(other.radius_px, apart + head.radius_px))
                break
        else:
            kept.append(head)
    return tuple(kept)
