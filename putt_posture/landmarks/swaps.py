"""Left and right swapped by the pose model: found and corrected.

The model may swap the sides of the head, of arms and shoulders, or of legs and hips, independently. Points are pixels,
u right, v down; depth is smaller for nearer.
"""

from typing import Final

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.values import LANDMARK_INDEX, LANDMARK_NAMES, Floats, View, medians_seen

__all__ = ["GROUPS", "Sides", "correct_swaps", "find_facing", "swap_sides"]

Bools = NDArray[np.bool_]

_HEAD: Final = ("eye_inner", "eye", "eye_outer", "ear", "mouth")
_ARMS: Final = ("shoulder", "elbow", "wrist", "pinky", "index", "thumb")
_LEGS: Final = ("hip", "knee", "ankle", "heel", "foot_index")

CLEARER: Final = 0.12
"""A swap is corrected where that brings the points nearer to those of the other frames by this many torso lengths."""

APART: Final = 0.15
"""Sides this many torso lengths apart, in the picture or in depth, can be distinguished."""

ROUNDS: Final = 4
"""How often the frames are compared with their median; each round starts from the corrected points."""


def _pairs(parts: tuple[str, ...]) -> NDArray[np.int64]:
    def index(side: str, part: str) -> int:
        name = f"{part}_{side}" if part == "mouth" else f"{side}_{part}"
        return LANDMARK_INDEX[name]

    return np.array([[index("left", part), index("right", part)] for part in parts])


GROUPS: Final = {"head": _pairs(_HEAD), "arms": _pairs(_ARMS), "legs": _pairs(_LEGS)}
"""Pairs of landmark numbers, (n, 2) left and right, that are swapped together."""


@frozen(kw_only=True, eq=False)
class Sides:
    """Landmarks with left and right corrected.

    Attributes
    ----------
    points_px : (T, 33, 2)
    visibility : (T, 33)
    depth : (T, 33)
    swapped : (T, 3)
        Which groups (head, arms, legs) were swapped in which frame.
    """

    points_px: Floats = field(repr=False)
    visibility: Floats = field(repr=False)
    depth: Floats = field(repr=False)
    swapped: Bools = field(repr=False)

    @property
    def frames(self) -> int:
        """In how many frames arms or legs were corrected."""
        return int(self.swapped[:, 1:].any(axis=1).sum())


def swap_sides(values: Floats, *, rows: Bools, pairs: NDArray[np.int64]) -> Floats:
    """Return a copy with the left and right of some landmarks exchanged in some frames.

    Parameters
    ----------
    values : (T, 33, ...)
    rows : (T,)
        In which frames.
    pairs : (n, 2)
        Left and right landmark numbers.
    """
    result = values.copy()
    left, right = pairs.T
    at = np.flatnonzero(rows)[:, np.newaxis]
    result[at, left], result[at, right] = values[at, right], values[at, left]
    return result


def correct_swaps(
    points_px: Floats, visibility: Floats, depth: Floats, *, view: View, window: int | None = None
) -> Sides:
    """Correct left and right where the pose model swapped them.

    Each frame is compared, as it is and swapped, with the median of the frames around it, both seen from the middle of
    the trunk. Then the result is checked against the view. Face on the left side is on the right of the picture, as
    backs were refused before. Down the line the right side is toward the camera where the toes point to the right, the
    left side where they point to the left.

    Parameters
    ----------
    points_px : (T, 33, 2)
        NaN where unseen.
    visibility, depth : (T, 33)
    view : View
    window : int, optional
        Number of frames in the median, for a person who moves; all of them by default.

    Returns
    -------
    Sides
    """
    sides = Sides(
        points_px=points_px.copy(),
        visibility=visibility.copy(),
        depth=depth.copy(),
        swapped=np.zeros((len(points_px), len(GROUPS)), dtype=bool),
    )
    for _ in range(ROUNDS):
        odd = _unlike_the_others(sides.points_px, window=window)
        if not odd.any():
            break
        sides = _swap(sides, odd)
    return _swap(sides, _against_the_view(sides, view=view))


def _swap(sides: Sides, rows: Bools) -> Sides:
    points, visibility, depth = sides.points_px, sides.visibility, sides.depth
    for column, pairs in enumerate(GROUPS.values()):
        points = swap_sides(points, rows=rows[:, column], pairs=pairs)
        visibility = swap_sides(visibility, rows=rows[:, column], pairs=pairs)
        depth = swap_sides(depth, rows=rows[:, column], pairs=pairs)
    return Sides(points_px=points, visibility=visibility, depth=depth, swapped=sides.swapped ^ rows)


def _torso(points_px: Floats) -> tuple[Floats, Floats]:
    """Middle of the trunk (T, 1, 2) and its length (T,), pixels; a swap changes neither."""
    shoulders = points_px[:, GROUPS["arms"][0]].mean(axis=1)
    hips = points_px[:, GROUPS["legs"][0]].mean(axis=1)
    return ((shoulders + hips) / 2)[:, np.newaxis], np.linalg.norm(shoulders - hips, axis=1)


def _unlike_the_others(points_px: Floats, *, window: int | None) -> Bools:
    middle, length = _torso(points_px)
    seen = np.isfinite(length) & (length > 0)
    odd = np.zeros((len(points_px), len(GROUPS)), dtype=bool)
    if seen.sum() < 3:
        return odd
    rows = np.flatnonzero(seen)
    shape = (points_px[rows] - middle[rows]) / length[rows, np.newaxis, np.newaxis]
    usual = _running_median(shape, window=window)
    for column, pairs in enumerate(GROUPS.values()):
        as_is = np.linalg.norm(shape[:, pairs] - usual[:, pairs], axis=-1)
        crossed = np.linalg.norm(shape[:, pairs[:, ::-1]] - usual[:, pairs], axis=-1)
        odd[rows, column] = _nanmean(as_is) - _nanmean(crossed) > CLEARER
    return odd


def _nanmean(distance: Floats) -> Floats:
    """Mean over the landmarks of a group, (T, n, 2) → (T,); 0 where none was seen."""
    known = np.isfinite(distance)
    total: Floats = np.where(known, distance, 0).sum(axis=(1, 2)) / np.maximum(known.sum(axis=(1, 2)), 1)
    return total


def _running_median(shape: Floats, *, window: int | None) -> Floats:
    count = len(shape)
    if window is None or window >= count:
        return np.broadcast_to(medians_seen(shape), shape.shape)
    half = window // 2
    starts = np.clip(np.arange(count) - half, 0, count - window)
    return np.stack([medians_seen(shape[start : start + window]) for start in starts])


def _against_the_view(sides: Sides, *, view: View) -> Bools:
    wrong = np.zeros_like(sides.swapped)
    _, length = _torso(sides.points_px)
    scale = float(np.nanmedian(length)) if np.isfinite(length).any() else 0.0
    if not scale > 0:
        return wrong
    for column, (name, pairs) in enumerate(GROUPS.items()):
        if name == "head":
            continue
        root = pairs[0]  # shoulders or hips: they do not cross, and the club does not hide them
        if view == "face_on":
            across = np.nanmedian(sides.points_px[:, root[0], 0] - sides.points_px[:, root[1], 0])
            wrong[:, column] = across < -APART * scale
        else:
            facing = find_facing(sides.points_px) / scale
            behind = np.nanmedian(sides.depth[:, root[0]] - sides.depth[:, root[1]]) / scale
            wrong[:, column] = abs(facing) > APART and abs(behind) > APART and np.sign(facing) != np.sign(behind)
    return wrong


def find_facing(points_px: Floats) -> float:
    """Return how far the toes are to the right of the heels, median in pixels; negative to the left, 0 if unseen.

    Parameters
    ----------
    points_px : (T, 33, 2)
        Pixels; NaN where not seen.
    """
    toes = [LANDMARK_NAMES.index(f"{side}_foot_index") for side in ("left", "right")]
    heels = [LANDMARK_NAMES.index(f"{side}_heel") for side in ("left", "right")]
    reach = points_px[:, toes, 0] - points_px[:, heels, 0]
    return float(np.nanmedian(reach)) if np.isfinite(reach).any() else 0.0
