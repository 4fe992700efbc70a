"""Whether the student who was found can be measured: upright, whole, large enough, seen from the right side.

Points are pixels of the full-size upright picture, v down; NaN where the student was not seen.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from putt_posture.errors import ClipError, StudentNotFound, SwappedViews
from putt_posture.landmarks.chest import BACK_FOR_SURE, read_chest
from putt_posture.values import LANDMARK_INDEX, VIEWS, Floats, Track, View

__all__ = ["BACK_SEEN", "LEAST_TRUNK_PX", "check_student", "check_views", "read_view"]


BACK_SEEN: Final = (
    "the student's back is seen; the chest was needed for the face-on view. "
    "Film from the side that the student looks at, so that hands, putter and ball are in front of the body."
)

LEAST_TRUNK_PX: Final = 60.0
"""Least trunk length that is measured, pixels: 1 px is then some 0.8 cm."""

UPSIDE_DOWN_DEG: Final = 135.0
LYING_DEG: Final = 60.0
"""A standing person cannot lean more than this, deg, from ankles to shoulders."""

FROM_THE_FRONT: Final = 0.3
FROM_THE_SIDE: Final = 0.15
"""Shoulders this far apart across the picture, in leg lengths, are seen from the front or from the side. In the sample
clips face on they are 0.43 to 0.45 apart, and down the line 0.02 to 0.03."""

MOST: Final = 0.5
"""Something that is true in more than this share of the frames is taken as true for the clip."""

HIDDEN: Final = 0.3
"""Visibility below which shoulders or hips are a guess."""

FEET_SEEN: Final = 0.7
"""Visibility of ankles: people in turned pictures had 0.83 and more. Where a head is cut off, the model sees
upside-down figures; their ankles had 0.51 at most, or lay outside the picture."""


def check_student(
    points_px: Floats, visibility: Floats, depth: Floats, *, view: View, size_px: tuple[int, int]
) -> None:
    """Refuse a clip in which the student cannot be measured.

    The sentences begin in small letters, since the name of the file goes before them.

    Parameters
    ----------
    points_px : (N, 33, 2)
    visibility : (N, 33)
    depth : (N, 33)
        Pixels relative to the hips, smaller is nearer.
    view : View
    size_px : (int, int)
        Width and height of the picture.

    Raises
    ------
    ClipError
        The picture is upside down or lies on its side.
    StudentNotFound
        Only part of the body is in view, the student is too small, or the back is seen where the chest is needed.
    """
    seen = np.isfinite(points_px).all(axis=(1, 2))
    if not seen.any():
        raise StudentNotFound("no person was found. Show the whole student, from head to feet.")
    points, sure = points_px[seen], visibility[seen]
    shoulders, hips = _pair(points, "shoulder"), _pair(points, "hip")
    _check_whole(shoulders, hips, sure, size_px)
    _check_upright(shoulders.mean(axis=1), _pair(points, "ankle"), sure, size_px)
    trunk = np.linalg.norm(shoulders.mean(axis=1) - hips.mean(axis=1), axis=1)
    if np.median(trunk) < LEAST_TRUNK_PX:
        raise StudentNotFound(
            f"the student's trunk is only {np.median(trunk):.0f} pixels long; "
            f"{LEAST_TRUNK_PX:.0f} were needed. Film from nearer, so that the student fills most of the picture."
        )
    if view == "face_on" and read_chest(points_px, visibility, depth) <= BACK_FOR_SURE:
        raise StudentNotFound(BACK_SEEN)


def check_views(tracks: Mapping[View, tuple[str, Track]]) -> None:
    """Refuse two clips that show each other's view.

    Parameters
    ----------
    tracks : mapping of View to (str, Track)
        The name of each clip, and the student in it. One view alone is not judged.

    Raises
    ------
    SwappedViews
        The student is seen from the front down the line, and from the side face on. If only one of the two is so, the
        student may stand unusually; the checks of that view decide.
    """
    if len(tracks) < len(VIEWS):
        return
    (side_name, side), (front_name, front) = tracks["down_the_line"], tracks["face_on"]
    if read_view(side.points_px) == "face_on" and read_view(front.points_px) == "down_the_line":
        raise SwappedViews(
            f"Are the views swapped? {side_name}, given as down the line, shows the student from the front or back, "
            f"and {front_name}, given as face on, from the side. Give each clip to the other option."
        )


def read_view(points_px: Floats) -> View | None:
    """Return from which side a person is seen, by the shoulders.

    Parameters
    ----------
    points_px : (N, 33, 2)
        Upright pixels, v down; NaN where not seen.

    Returns
    -------
    View or None
        None where no person was seen, or in between.
    """
    across = _shoulders_across(points_px)
    if across > FROM_THE_FRONT:
        return "face_on"
    return "down_the_line" if across < FROM_THE_SIDE else None


def _shoulders_across(points_px: Floats) -> float:
    """Return how far the shoulders are apart across the picture, in leg lengths; NaN where no person was seen."""
    points = points_px[np.isfinite(points_px).all(axis=(1, 2))]
    if not len(points):
        return float("nan")
    shoulders = _pair(points, "shoulder")
    leg = np.linalg.norm(_pair(points, "hip").mean(axis=1) - _pair(points, "ankle").mean(axis=1), axis=1)
    return float(np.median(np.abs(shoulders[:, 0, 0] - shoulders[:, 1, 0]) / np.maximum(leg, 1.0)))


def _pair(points: Floats, part: str) -> Floats:
    """Left and right of a part, (N, 2, 2)."""
    pair: Floats = points[:, [LANDMARK_INDEX[f"left_{part}"], LANDMARK_INDEX[f"right_{part}"]]]
    return pair


def _check_upright(shoulders: Floats, ankles: Floats, sure: Floats, size_px: tuple[int, int]) -> None:
    across, up = (shoulders - ankles.mean(axis=1)).T
    lean_deg = np.degrees(np.abs(np.arctan2(across, -up)))
    turned = lean_deg > LYING_DEG
    if turned.mean() <= MOST:
        return
    index = [LANDMARK_INDEX["left_ankle"], LANDMARK_INDEX["right_ankle"]]
    feet = _inside(ankles, size_px) & (sure[:, index].max(axis=1) >= FEET_SEEN)
    if feet[turned].mean() <= MOST:
        raise StudentNotFound(
            "only part of the student is in view, or the picture is not upright: no standing body was found. Show the "
            "whole student, from head to feet, the right way up."
        )
    if (lean_deg > UPSIDE_DOWN_DEG).mean() > MOST:
        raise ClipError(
            "the picture is upside down, the shoulders are below the feet. "
            "Rotate the clip by 180° on the phone and save it, then try again."
        )
    raise ClipError(
        "the picture lies on its side, the student's body is level. "
        "Rotate the clip by 90° on the phone and save it, then try again."
    )


def _inside(points: Floats, size_px: tuple[int, int]) -> NDArray[np.bool_]:
    """Return in which frames both points of a pair, (N, 2, 2), lie in the picture."""
    return np.asarray(((points >= 0) & (points < size_px)).all(axis=(1, 2)))


def _check_whole(shoulders: Floats, hips: Floats, sure: Floats, size_px: tuple[int, int]) -> None:
    for name, points in (("shoulder", shoulders), ("hip", hips)):
        inside = _inside(points, size_px)
        index = [LANDMARK_INDEX[f"left_{name}"], LANDMARK_INDEX[f"right_{name}"]]
        hidden = sure[:, index].max(axis=1) < HIDDEN
        if (~inside | hidden).mean() > MOST:
            raise StudentNotFound(
                f"only part of the student is in view: the {name}s are missing. Show the whole student, from head to "
                "feet."
            )
