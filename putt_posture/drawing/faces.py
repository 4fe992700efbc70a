"""Heads made unrecognisable for good: only a few coarse averages of them remain."""

import math
from collections.abc import Iterable
from typing import Final

import cv2
import numpy as np
from attrs import evolve

from putt_posture.landmarks import find_head, find_heads
from putt_posture.values import Frame, Head, Lesson, Picture, Point, SeenStrokes, ViewResult

__all__ = ["hide_faces", "hide_heads"]

CELLS: Final = 5
"""Cells across the disc, about four across the head: too few for an eye or a mouth to have one of its own."""
EDGE: Final = 1.15
"""Up to this many radii around the centre the picture fades in again."""


def hide_faces(lesson: Lesson) -> Lesson:
    """Return the lesson with every head in its pictures hidden, so that nothing drawn from it shows a face.

    Its pictures are the stills of the setup and those of the events of each stroke.

    The student's head is where the landmarks are. Heads of other people are searched for with the pose model. It needs
    a body to find a head: the face of a person who is far away, or of whom only the head shows, may stay.

    Parameters
    ----------
    lesson : Lesson

    Raises
    ------
    InstallationError
        The pose model cannot be opened.
    """
    if lesson.faces_hidden:
        return lesson
    views = {view: _without_faces(result) for view, result in lesson.views.items()}
    return evolve(lesson, views=views, faces_hidden=True)


def hide_heads(picture: Picture, heads: Iterable[Head], *, corner: Point = (0.0, 0.0), scale: float = 1.0) -> Picture:
    """Return a copy of a picture with heads hidden.

    Each disc is averaged into `CELLS` cells across, which are then smoothed into each other. Nothing finer is left
    in the bytes, so that no filter can bring it back.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        All of the full-size picture, or a part of it.
    heads : iterable of Head
        In full-size pixels; those outside the picture are ignored.
    corner : Point
        Where the top left of `picture` is in the full-size picture.
    scale : float
        Pixels of `picture` per full-size pixel.
    """
    hidden = picture.copy()
    for head in heads:
        u, v = ((each - start) * scale for each, start in zip(head.centre_px, corner, strict=True))
        _hide(hidden, u, v, head.radius_px * scale)
    return hidden


def _without_faces(result: ViewResult) -> ViewResult:
    marks, row, still = result.landmarks, result.still_index, result.still
    scale = result.scene.px_per_cm
    student = find_head(
        marks.points_px[row],
        px_per_cm=scale.value if scale else None,
        outline=marks.masks[row] if len(marks.masks) else None,
        outline_corner_px=marks.mask_box_px[:2],
    )
    return evolve(result, still=_hide_in(still, student), strokes=_strokes_without_faces(result))


def _strokes_without_faces(result: ViewResult) -> SeenStrokes | None:
    if result.strokes is None:
        return None
    scale = result.scene.px_per_cm
    strokes = []
    for stroke in result.strokes.strokes:
        marks, stills = stroke.at_events, []
        for row, still in enumerate(stroke.stills):
            student = None
            if marks is not None:
                student = find_head(
                    marks.points_px[row],
                    px_per_cm=scale.value if scale else None,
                    outline=marks.masks[row] if len(marks.masks) else None,
                    outline_corner_px=marks.mask_box_px[:2],
                )
            stills.append(still if still.erased else _hide_in(still, student))
        strokes.append(evolve(stroke, stills=tuple(stills)))
    return evolve(result.strokes, strokes=tuple(strokes))


def _hide_in(still: Frame, student: Head | None) -> Frame:
    """Return a picture without heads: of the student where the landmarks are, of others where the pose model is."""
    picture = hide_heads(still.picture, find_heads(still.picture))
    if student is not None:
        picture = hide_heads(picture, [student], scale=still.scale)
    return evolve(still, picture=picture)


def _hide(picture: Picture, u: float, v: float, radius: float) -> None:
    """Hide one disc in place; u, v and radius in pixels of the picture."""
    high, wide = picture.shape[:2]
    reach = EDGE * radius
    left, right = max(math.floor(u - reach), 0), min(math.ceil(u + reach) + 1, wide)
    top, bottom = max(math.floor(v - reach), 0), min(math.ceil(v + reach) + 1, high)
    if left >= right or top >= bottom:
        return
    part = picture[top:bottom, left:right]
    cell = 2 * radius / CELLS
    size = (right - left, bottom - top)
    few = (max(int(size[0] / cell), 1), max(int(size[1] / cell), 1))
    means = cv2.resize(part.astype(np.float32), few, interpolation=cv2.INTER_AREA)
    smooth = cv2.resize(means, size, interpolation=cv2.INTER_LINEAR)
    smooth = cv2.GaussianBlur(smooth, (0, 0), max(cell / 3, 0.1), borderType=cv2.BORDER_REPLICATE)
    rows, columns = np.ogrid[top:bottom, left:right]
    away = np.hypot(columns + 0.5 - u, rows + 0.5 - v) / radius
    share = np.clip((EDGE - away) / (EDGE - 1), 0, 1)[..., None]
    picture[top:bottom, left:right] = np.rint(part + share * (smooth - part)).astype(np.uint8)
