"""The stills of a lesson: for each view the student alone, and with the posture drawn on."""

import io
import zlib
from typing import Final

from attrs import field, frozen
from PIL import Image

from putt_posture.drawing.feet import Standing, find_feet_and_ball
from putt_posture.drawing.placing import Crop, find_crop
from putt_posture.drawing.sheet import Sheet
from putt_posture.drawing.sketches import sketch
from putt_posture.landmarks import find_head
from putt_posture.values import VIEW_TITLES, Lesson, Picture, View

__all__ = ["AnnotatedStill", "as_jpeg", "as_png", "draw_marks", "draw_stills", "find_still_crop", "sizes_of_jpeg"]

_QUALITIES: Final = (88, 80, 70, 60, 45)
_FACE: Final = 0.75
"""Of the disc that hides a head, which is larger than a head: what no label covers."""
_LEAST_SIDE: Final = 200
_PNG_LEVEL: Final = 1
"""Strategy of zlib that searches only for runs: files are 5 % smaller than with its usual search at level 4, in 60 % of
the time."""


@frozen(kw_only=True, eq=False)
class AnnotatedStill:
    """The still of one view.

    Attributes
    ----------
    view : View
    time_s : float
        Clip time, seconds.
    plain, annotated : (H, W, 3) uint8
        RGB, the same part of the picture.
    says : str
        What the labels say, in one sentence, for people who cannot see the picture.
    """

    view: View
    time_s: float
    plain: Picture = field(repr=False)
    annotated: Picture = field(repr=False)
    says: str


def draw_stills(lesson: Lesson) -> tuple[AnnotatedStill, ...]:
    """Draw one still for each view of a lesson, in the order of its views.

    Parameters
    ----------
    lesson : Lesson
    """
    return tuple(_draw(lesson, view) for view in lesson.views)


def draw_marks(lesson: Lesson, view: View, *, crop: Crop, plain: Picture) -> Sheet:
    """Draw the measures on a still and place their labels; each measure that is drawn has its label.

    Parameters
    ----------
    lesson : Lesson
    view : View
    crop : Crop
        Of the still.
    plain : Picture
        The still without marks, (H, W, 3) uint8, RGB.
    """
    result = lesson.views[view]
    roll = result.scene.roll.value if result.scene.roll else 0.0
    body = crop.cut_mask(result, Sheet.grid_size(crop.size))
    standing = find_feet_and_ball(Standing.of(result), crop)
    without: set[str] = set()
    while True:
        sheet = Sheet(plain, crop=crop, roll_deg=roll, body=body)
        sheet.keep_labels_off(standing)
        _keep_off_head(sheet, lesson, view)
        sketch(sheet, view=view, posture=lesson.posture, scene=result.scene, without=without)
        homeless = {tag.name for tag in sheet.tags} - {placed.label.key for placed in sheet.place()}
        if not homeless:
            return sheet
        without |= homeless


def find_still_crop(lesson: Lesson, view: View) -> Crop:
    """Find the part of the picture that the still of a view shows.

    Parameters
    ----------
    lesson : Lesson
    view : View
    """
    points = [point for points in lesson.posture.marks.get(view, {}).values() for point in points]
    return find_crop(lesson.views[view], points)


def as_png(picture: Picture) -> bytes:
    """Return a picture as the bytes of a PNG file.

    Parameters
    ----------
    picture : Picture
        (H, W, 3) uint8, RGB.
    """
    stream = io.BytesIO()
    Image.fromarray(picture).save(stream, "PNG", optimize=False, compress_level=_PNG_LEVEL, compress_type=zlib.Z_RLE)
    return stream.getvalue()


def as_jpeg(picture: Picture, *, most_bytes: int) -> bytes:
    """Return a picture as the bytes of a JPEG file, as good as `most_bytes` allows.

    Quality is lowered first, then size; a picture of `_LEAST_SIDE` pixels is written even if it is larger.

    Parameters
    ----------
    picture : Picture
        (H, W, 3) uint8, RGB.
    most_bytes : int
        Most bytes of the file; quality is lowered to fit.
    """
    shown = Image.fromarray(picture)
    while True:
        for quality in _QUALITIES:
            stream = io.BytesIO()
            shown.save(stream, "JPEG", quality=quality, subsampling=0 if quality > 80 else 2)
            if stream.tell() <= most_bytes:
                return stream.getvalue()
        if min(shown.size) // 2 < _LEAST_SIDE:
            return stream.getvalue()
        shown = shown.reduce(2)


def sizes_of_jpeg(size: tuple[int, int]) -> list[tuple[int, int]]:
    """Return the sizes that `as_jpeg` may give a picture of this width and height, the largest first.

    Parameters
    ----------
    size : tuple[int, int]
        Width and height, pixels.
    """
    found = [size]
    while min(found[-1]) // 2 >= _LEAST_SIDE:
        found.append(((found[-1][0] + 1) // 2, (found[-1][1] + 1) // 2))
    return found


def _draw(lesson: Lesson, view: View) -> AnnotatedStill:
    result = lesson.views[view]
    crop = find_still_crop(lesson, view)
    plain = crop.cut(result)
    sheet = draw_marks(lesson, view, crop=crop, plain=plain)
    annotated, tags = sheet.finish()
    said = "; ".join(tag.says for tag in tags)
    says = f"{VIEW_TITLES[view]} at address" + (f": {said}." if said else ", without measures.")
    return AnnotatedStill(view=view, time_s=result.still.time_s, plain=plain, annotated=annotated, says=says)


def _keep_off_head(sheet: Sheet, lesson: Lesson, view: View) -> None:
    """Let no label cover the student's head; leaders may cross it."""
    result = lesson.views[view]
    marks, row, scale = result.landmarks, result.still_index, result.scene.px_per_cm
    head = find_head(
        marks.points_px[row],
        px_per_cm=scale.value if scale else None,
        outline=marks.masks[row] if len(marks.masks) else None,
        outline_corner_px=marks.mask_box_px[:2],
    )
    if head is not None:
        sheet.keep_clear(head.centre_px, radius=_FACE * head.radius_px / sheet.letters(1.0))
