"""The still of a page over which ghosts are laid and moved, without drawing the picture again."""

from itertools import chain
from typing import Final

from attrs import evolve

from putt_posture.drawing.ghost import find_ghost_crop, stand_in_footprints
from putt_posture.drawing.placing import Crop, find_crop
from putt_posture.values import Lesson, Picture

__all__ = ["cut_page_still", "find_page_crop"]

_SHORT_SIDE: Final = 720
"""Pixels of the page's still: as sharp as a phone shows it, and soon there."""
_TALLEST: Final = 0.93
"""How high the top of a ghost may be, as a share of the stature: a student who hardly bends."""


def find_page_crop(lesson: Lesson) -> Crop | None:
    """Find the part of the still that every ghost of a lesson is laid over; None where there is no ghost.

    It has room for a student who stands nearly upright.

    Parameters
    ----------
    lesson : Lesson
    """
    figure, drawn = lesson.fit.figure, find_ghost_crop(lesson)
    place = None if figure is None else stand_in_footprints(lesson, figure)
    if drawn is None or figure is None or place is None:
        return None
    u0, v0, u1, v1 = drawn.box_px
    top = place.point((figure.joints["ankle"][0], _TALLEST * lesson.student.stature_cm))
    marks = lesson.posture.marks["down_the_line"].values()
    inside = [(0.9 * u0 + 0.1 * u1, 0.85 * v0 + 0.15 * v1), (0.1 * u0 + 0.9 * u1, 0.15 * v0 + 0.85 * v1)]
    crop = find_crop(lesson.views["down_the_line"], [*chain.from_iterable(marks), *inside, top])
    share = _SHORT_SIDE / min(crop.size)
    return evolve(crop, size=(round(crop.size[0] * share), round(crop.size[1] * share)))


def cut_page_still(lesson: Lesson, crop: Crop) -> Picture | None:
    """Return the picture under the ghost, (H, W, 3) RGB; None where it was not kept.

    Parameters
    ----------
    lesson : Lesson
    crop : Crop
    """
    side = lesson.views["down_the_line"]
    return None if side.still.erased else crop.cut(side)
