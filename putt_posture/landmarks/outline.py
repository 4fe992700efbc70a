"""The person's outline at the picture's own resolution, and feet that something hides.

The pose model's mask is 256 cells wide for the whole person and smooth where the body is not. A guided filter (He, Sun
and Tang, "Guided image filtering", IEEE TPAMI 35, 2013) lets the mask change only where the colours of the picture do:
near each pixel the result is the linear function of red, green and blue that fits the mask best. Where shirt and
background have the same colour there is no such function, and the mask stays as soft as it was.

The model's visibility scores are less reliable: a hidden hand may have 0.99, feet in the open 0.61 and feet behind a
bag 0.86. They are used where there is no mask, and with the mask face on.
"""

from typing import Final

import cv2
import numpy as np
from attrs import evolve
from numpy.typing import NDArray

from putt_posture.values import LANDMARK_INDEX, Floats, Landmarks, Picture, View

__all__ = ["FEET_SEEN", "FOOT_SHOWN", "SURELY_HIDDEN", "WHOLLY_SHOWN", "refine_mask", "without_hidden_feet"]

REACH: Final = 0.03
"""Radius of the filter's window, share of the person's longer side: some five cells of the mask, as large as its
errors."""
NOISE: Final = 0.01
"""Colour changes much smaller than this share of the full range are noise, not edges."""
LARGEST_PX: Final = 900
"""The filter works on a picture in which the person is no longer than this; a pixel is then still under 2 mm."""
_SEEN: Final = 8
FEET_SEEN: Final[dict[View, float]] = {"down_the_line": 0.80, "face_on": 0.73}
"""Least mean visibility of feet that are seen: down the line of ankle, heel and toe of the better foot, where there is
no mask; face on of both feet's ankles and toes. Of rendered golfers in the open the lowest face on was 0.71, with their
feet covered the highest 0.85."""
FOOT_SHOWN: Final = 0.67
"""Least share of the better foot that the mask covers, down the line. Of 24 rendered golfers with their feet in the
open 23 had 0.72 or more and one 0.47; with a bag before them six had 0.61 or less. Two side views of a man behind a
weight had 0.33 and 0.41, ten of people in the open 0.79 or more. Face on 60 golfers in the open had 1.0, 11 of 12 whose
feet were painted over 0.18 or less."""
SURELY_HIDDEN: Final = 0.55
"""Below this score the feet count as hidden even where the mask shows them: the lowest score in the open was 0.61."""
WHOLLY_SHOWN: Final = 0.95
"""Face on a low score counts only where the mask covers less than this share: it covered 1.0 of the feet of a golfer in
the open with a score of 0.71, and 0.87 of painted-over feet with a score of 0.60."""
_FOOT: Final = ("ankle", "heel", "foot_index")
_SCORED_PARTS: Final[dict[View, tuple[str, ...]]] = {"down_the_line": _FOOT, "face_on": ("ankle", "foot_index")}
_SIDES: Final = ("left", "right")
_DRAWN_IN: Final = 0.6
"""The points tested lie at this share of the way from the middle of a foot to its ankle, heel and toe: inside it."""
_AROUND_PX: Final = 3


def refine_mask(mask: NDArray[np.uint8], picture: Picture) -> NDArray[np.uint8]:
    """Move the edge of a person's mask to the edge in the picture.

    Parameters
    ----------
    mask : (h, w) uint8
        Probability that each pixel belongs to the person, 0 to 255.
    picture : (h, w, 3) uint8
        The picture of the same size.

    Returns
    -------
    (h, w) uint8
        The same refined: steep where an edge was found, soft where none was.
    """
    left, top, wide, high = cv2.boundingRect((mask > _SEEN).astype(np.uint8))
    if not wide or not high:
        return mask
    reach = REACH * max(wide, high)
    room = int(np.ceil(2 * reach))
    part = np.s_[max(top - room, 0) : top + high + room, max(left - room, 0) : left + wide + room]
    scale = min(1.0, LARGEST_PX / max(wide, high))
    guide, coarse = np.ascontiguousarray(picture[part]), np.ascontiguousarray(mask[part], dtype=np.float32)
    size = guide.shape[1::-1]
    if scale < 1.0:
        guide = cv2.resize(guide, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        coarse = cv2.resize(coarse, guide.shape[1::-1], interpolation=cv2.INTER_AREA)
    fine = cv2.ximgproc.guidedFilter(guide, coarse, max(1, round(reach * scale)), (NOISE * 255) ** 2)
    fine = np.where(np.isfinite(fine), fine, coarse)  # a window of a single colour
    if scale < 1.0:
        fine = cv2.resize(fine, size, interpolation=cv2.INTER_LINEAR)
    refined = np.zeros_like(mask)
    refined[part] = np.clip(np.rint(fine), 0, 255).astype(np.uint8)
    return refined


def without_hidden_feet(landmarks: Landmarks) -> Landmarks:
    """Return the landmarks without ankles, heels and toes in the setups in which the feet are hidden.

    Parameters
    ----------
    landmarks : Landmarks
    """
    setups, covered = landmarks.setup_index, _say_hidden(landmarks)
    hidden = np.array([np.median(covered[setups == setup]) > 0.5 for setup in setups])
    if not hidden.any():
        return landmarks
    points = landmarks.points_px.copy()
    for side in _SIDES:
        for part in _FOOT:
            points[hidden, LANDMARK_INDEX[f"{side}_{part}"]] = np.nan
    return evolve(landmarks, points_px=points)


def _say_hidden(landmarks: Landmarks) -> Floats:
    """Return for each frame whether the feet are hidden, (T,): 1 or 0."""
    sure, shown = _feet_visibility(landmarks), _foot_shown(landmarks)
    by_score = sure < FEET_SEEN[landmarks.view]
    by_mask = (shown < FOOT_SHOWN) | (sure < SURELY_HIDDEN)
    if landmarks.view == "face_on":
        by_mask |= by_score & (shown < WHOLLY_SHOWN)
    return np.where(np.isfinite(shown), by_mask, by_score).astype(float)


def _feet_visibility(landmarks: Landmarks) -> Floats:
    """Return the visibility of the feet in each frame, (T,) 0 to 1."""
    feet = np.array([_visibility(landmarks, side) for side in _SIDES])
    return np.asarray(feet.max(axis=0) if landmarks.view == "down_the_line" else feet.mean(axis=0))


def _visibility(landmarks: Landmarks, side: str) -> Floats:
    parts = _SCORED_PARTS[landmarks.view]
    return np.asarray(landmarks.visibility[:, [LANDMARK_INDEX[f"{side}_{part}"] for part in parts]].mean(axis=1))


def _foot_shown(landmarks: Landmarks) -> Floats:
    """Return how much of the better foot the mask covers in each frame, (T,) 0 to 1; NaN without a mask."""
    surer = _SIDES[int(np.argmax([np.median(_visibility(landmarks, side)) for side in _SIDES]))]
    corners = landmarks.points_px[:, [LANDMARK_INDEX[f"{surer}_{part}"] for part in _FOOT]]
    middle = corners.mean(axis=1, keepdims=True)
    inside = np.concatenate([middle, middle + _DRAWN_IN * (corners - middle)], axis=1)
    return np.array([_mean_mask(landmarks, frame, points) for frame, points in enumerate(inside)])


def _mean_mask(landmarks: Landmarks, frame: int, points: Floats) -> float:
    mask = landmarks.masks[frame]
    if not mask.any() or not np.isfinite(points).all():
        return np.nan
    u0, v0, u1, v1 = landmarks.mask_box_px
    levels = []
    for u, v in np.round(points).astype(int):
        if not (u0 <= u < u1 and v0 <= v < v1):
            levels.append(0.0)
            continue
        top, left = max(v - v0 - _AROUND_PX, 0), max(u - u0 - _AROUND_PX, 0)
        levels.append(float(mask[top : v - v0 + _AROUND_PX + 1, left : u - u0 + _AROUND_PX + 1].mean()) / 255)
    return float(np.mean(levels))
