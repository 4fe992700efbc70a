"""The trunk at the elbows: its breadth, its depth at each level, and the distance of a point from it.

The trunk at one level is modelled as an ellipse square to the spine line. Its depth comes from the outline down the
line wherever the arms do not hide it; its breadth comes from the body tables. Lengths are cm.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import evolve, field, frozen

from putt_posture.body import predict, predict_joint_length
from putt_posture.posture.plane import pair_frames
from putt_posture.posture.side_outline import SideOutline, outline_depths
from putt_posture.values import Floats, Student, median_seen

__all__ = ["ARM_RADIUS_CM", "ARM_RADIUS_SD_CM", "TrunkSection", "TrunkShape", "distance_to_section", "shape_trunk"]

ARM_RADIUS_CM: Final = 3.5
"""Distance from the arm's middle line to its skin at the elbow: half the usual breadth across the elbow with its skin
(from memory)."""
ARM_RADIUS_SD_CM: Final = 0.6

_AROUND: Final = np.linspace(0.0, 2 * math.pi, 721)

BEHIND_SHARE: Final = 0.45
"""Share of the trunk's depth behind the spine line without an outline."""
OUTLINE_DEPTH_SD_CM: Final = 1.6
"""Uncertainty of the trunk's depth at the elbows from the outlines, one sigma, cm (accuracy study)."""
LEVELS: Final = np.linspace(0.15, 0.95, 41)
"""Stations along the spine line at which the depth is read; beyond them it stays constant."""


@frozen(kw_only=True, eq=False)
class TrunkSection:
    """The trunk at one level or at each of several, cm.

    Attributes
    ----------
    breadth : float
        Full width of the ellipse.
    depth : (…,)
        Full depth from back to front.
    breadth_sd : float
    depth_sd : (…,)
        One sigma of them.
    behind : (…,)
        How far the skin of the back is behind the spine line there.
    """

    breadth: float
    depth: Floats
    breadth_sd: float
    depth_sd: Floats
    behind: Floats

    @property
    def front(self) -> Floats:
        """How far the front of the ribs is ahead of the spine line, cm."""
        return self.depth - self.behind


def distance_to_section(beside_cm: Floats, ahead_cm: Floats, section: TrunkSection) -> Floats:
    """Return the distance of a point outside the trunk from its skin, (…,) cm; 0 inside.

    Parameters
    ----------
    beside_cm : (…,)
        How far the point is to the side of the spine line, cm.
    ahead_cm : (…,)
        How far it lies ahead of the spine line, square to it, cm.
    section : TrunkSection
        At one level, or at that of each point.
    """
    beside, ahead = np.broadcast_arrays(np.abs(beside_cm), ahead_cm - (section.front - section.behind) / 2)
    half_breadth, half_depth = section.breadth / 2, np.asarray(section.depth / 2)
    rim_beside, rim_ahead = half_breadth * np.cos(_AROUND), half_depth[..., None] * np.sin(_AROUND)
    distance = np.hypot(beside[..., None] - rim_beside, ahead[..., None] - rim_ahead).min(axis=-1)
    inside = (beside / half_breadth) ** 2 + (ahead / half_depth) ** 2 <= 1
    return np.where(np.isfinite(beside + ahead), np.where(inside, 0.0, distance), np.nan)


@frozen(kw_only=True, eq=False)
class TrunkShape:
    """Breadth and depth of the trunk in T frames, cm; one frame without outlines.

    Attributes
    ----------
    length : (T,)
        Of the spine line, mid-hip to mid-shoulder.
    breadth : float
        Full breadth, the same at each level.
    behind, ahead : (T, 41)
        Distance of the skin of back and front from the spine line at each of `LEVELS`.
    breadth_sd : float
        One sigma of the breadth.
    depth_sd : (T, 41)
        One sigma of the depth at each of `LEVELS`.
    spine_px : (T, 2, 2) or None
        Hip and shoulder end of the spine line of the outline, pixels; None without an outline.
    """

    length: Floats
    breadth: float
    behind: Floats = field(repr=False)
    ahead: Floats = field(repr=False)
    breadth_sd: float
    depth_sd: Floats = field(repr=False)
    spine_px: Floats | None = field(default=None, repr=False)

    def beside(self, frames: int) -> "TrunkShape":
        """Return the trunk in the frames that belong to those of another view; see `pair_frames`.

        Parameters
        ----------
        frames : int
            How many.
        """
        pairs = pair_frames(len(self.behind), frames)
        return evolve(
            self,
            length=self.length[pairs],
            behind=self.behind[pairs],
            ahead=self.ahead[pairs],
            depth_sd=self.depth_sd[pairs],
            spine_px=None if self.spine_px is None else self.spine_px[pairs],
        )

    def section(self, stations: float | Floats) -> TrunkSection:
        """Return the trunk's sections at stations along the spine line (0 hips, 1 shoulders).

        Parameters
        ----------
        stations : float or (M,)
            One for all frames, or one for each frame; frames may be repeated.
        """
        many = np.resize(stations, max(len(self.behind), np.size(stations)))
        frames = np.resize(np.arange(len(self.behind)), many.shape)
        place = np.clip((many - LEVELS[0]) / (LEVELS[1] - LEVELS[0]), 0, LEVELS.size - 1)
        below = np.minimum(np.nan_to_num(place).astype(int), LEVELS.size - 2)
        share = place - below

        def read(levels: Floats) -> Floats:
            return np.asarray((1 - share) * levels[frames, below] + share * levels[frames, below + 1])

        behind, ahead, depth_sd = (read(each) for each in (self.behind, self.ahead, self.depth_sd))
        return TrunkSection(
            breadth=self.breadth,
            depth=behind + ahead,
            breadth_sd=self.breadth_sd,
            depth_sd=depth_sd,
            behind=behind,
        )


def shape_trunk(student: Student, outlines: Sequence[SideOutline] = (), *, px_per_cm: float = 1.0) -> TrunkShape:
    """Return the trunk of a student.

    Where the outline is deeper than the body tables, the rest counts as cloth: a loose shirt hangs 3 to 8 cm in front
    of the ribs of a student who bends, and half of all people are no deeper than the tables say. If it is a belly, the
    uncertainty of the tables covers it.

    Parameters
    ----------
    student : Student
    outlines : sequence of SideOutline, optional
        Of the frames down the line.
    px_per_cm : float
        Scale of the outlines.
    """
    chest, waist = (predict(f"{part}_depth", student.stature_cm, student.sex) for part in ("chest", "waist"))
    breadth = predict("chest_breadth", student.stature_cm, student.sex)
    depth, depth_sd = (chest.value + waist.value) / 2, (chest.standard_uncertainty + waist.standard_uncertainty) / 2
    length = np.array([predict_joint_length("trunk", student.stature_cm, student.sex).value])
    behind = ahead = np.full((1, LEVELS.size), np.nan)
    spine_px = None
    lengths = np.array([outline.back.length_px for outline in outlines]) / px_per_cm
    if np.isfinite(lengths).any():
        length = lengths
        spine_px = np.array([(outline.back.hip_px, outline.back.shoulder_px) for outline in outlines])
        found = outline_depths(outlines, LEVELS, px_per_cm=px_per_cm)
        behind, ahead = (np.array([_without_gaps(frame) for frame in each]) for each in found)
    # Whether a level shows the body or cloth is the same for the whole clip, so it is decided for all frames together.
    usual_behind, usual_ahead = (np.array([median_seen(level) for level in each.T]) for each in (behind, ahead))
    body = usual_behind + usual_ahead < depth
    seen = body & np.isfinite(behind + ahead)
    behind = np.where(np.isfinite(behind), behind, BEHIND_SHARE * depth)
    ahead = np.where(seen, ahead, depth - behind)
    return TrunkShape(
        length=length,
        breadth=breadth.value,
        behind=behind,
        ahead=ahead,
        breadth_sd=breadth.standard_uncertainty,
        depth_sd=np.where(seen, OUTLINE_DEPTH_SD_CM, depth_sd),
        spine_px=spine_px,
    )


def _without_gaps(depths: Floats) -> Floats:
    """Return depths at `LEVELS` with the unseen ones filled in from their neighbours; all NaN where none is seen."""
    seen = np.isfinite(depths)
    return np.interp(LEVELS, LEVELS[seen], depths[seen]) if seen.any() else depths
