"""The landmarks of a lesson as plain arrays that NumPy reloads without pickle."""

from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from putt_posture.values import LANDMARK_NAMES, Lesson

__all__ = ["lesson_as_arrays", "write_arrays"]


def lesson_as_arrays(lesson: Lesson) -> dict[str, NDArray[np.generic]]:
    """Return the arrays of `landmarks.npz` by name.

    ``landmark_names`` (33,) and ``views`` (V,) are text. For each view, under its name and a dot: ``points_px``
    (T, 33, 2) as the model gave them, ``joints_px`` (T, 33, 2) the same moved to the joint centres, ``visibility``
    and ``depth`` (T, 33), ``masks`` (T, h, w) uint8 as the model gave them, ``outlines`` (T, h, w) uint8 the same
    refined on the picture, ``mask_box_px`` (4,) u0 v0 u1 v1, ``size_px`` (2,) width and height, ``times_s`` and
    ``setup_index`` (T,), ``still_index`` and ``model`` scalars; units and axes as in `Landmarks`.
    """
    arrays: dict[str, NDArray[np.generic]] = {
        "landmark_names": np.array(LANDMARK_NAMES, dtype=np.str_),
        "views": np.array(list(lesson.views), dtype=np.str_),
    }
    for view, result in lesson.views.items():
        marks = result.landmarks
        arrays |= {
            f"{view}.times_s": np.asarray(marks.times_s, dtype=np.float64),
            f"{view}.setup_index": np.asarray(marks.setup_index, dtype=np.int64),
            f"{view}.points_px": np.asarray(marks.points_px, dtype=np.float64),
            f"{view}.joints_px": np.asarray(result.joints.points_px, dtype=np.float64),
            f"{view}.visibility": np.asarray(marks.visibility, dtype=np.float64),
            f"{view}.depth": np.asarray(marks.depth, dtype=np.float64),
            f"{view}.masks": np.asarray(marks.masks, dtype=np.uint8),
            f"{view}.outlines": np.asarray(marks.outlines, dtype=np.uint8),
            f"{view}.mask_box_px": np.asarray(marks.mask_box_px, dtype=np.int64),
            f"{view}.size_px": np.asarray(marks.size_px, dtype=np.int64),
            f"{view}.still_index": np.asarray(result.still_index, dtype=np.int64),
            f"{view}.model": np.asarray(marks.model, dtype=np.str_),
        }
    return arrays


def write_arrays(lesson: Lesson, stream: BinaryIO) -> None:
    """Write the bytes of `landmarks.npz` to an open binary stream."""
    np.savez_compressed(stream, **lesson_as_arrays(lesson))  # type: ignore[arg-type]
