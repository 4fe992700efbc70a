"""The stills of lessons side by side: one scale, level ground, the feet at the same place of each picture."""

from collections.abc import Sequence
from datetime import date
from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from PIL import ImageColor

from putt_posture.drawing.charts import AFTER, BEFORE, PAPER
from putt_posture.drawing.outlines import Frame, find_body_frame, find_placing, find_still_frame
from putt_posture.drawing.placing import Crop, Placing
from putt_posture.drawing.sheet import Sheet
from putt_posture.figures import format_day
from putt_posture.values import KeptView, Picture

__all__ = ["AlikeStills", "cut_alike", "cut_halves", "draw_side_by_side"]

WIDTH: Final = 1600
"""Pixels of both halves and the gap."""
_GAP: Final = 12
_SIDE_CM: Final = 14.0
_ABOVE_CM: Final = 10.0
_BELOW_CM: Final = 14.0
"""Room around the students, where the stills show something there."""
_BANNER: Final = 96
"""Pixels above each half, for its name and day."""
_LEAST_ASPECT: Final = 0.62
"""Preferred width over height of a half."""
_MOST_ASPECT: Final = 8.0
"""Greatest width over height of a half, or height over width; beyond it one of the two was not placed rightly."""


@frozen(kw_only=True, eq=False)
class AlikeStills:
    """Stills of one view at one scale, upright, the feet at the same place of each.

    Attributes
    ----------
    pictures : tuple of (H, W, 3) uint8
        RGB, all of one size.
    ground_px : float
        Height of the ground under the middle of the feet, pixels from the top.
    """

    pictures: tuple[Picture, ...] = field(repr=False)
    ground_px: float

    def with_ground(self) -> tuple[Picture, ...]:
        """Return them with the ground drawn in as a dashed line."""
        return tuple(_draw_ground(each, self.ground_px) for each in self.pictures)


def cut_alike(views: Sequence[KeptView], *, wide_px: float) -> AlikeStills | None:
    """Cut the stills of one view so that they fit each other; None where that cannot be done.

    Parameters
    ----------
    views : sequence of KeptView
        At least one.
    wide_px : float
        Width of each picture.
    """
    placings = [find_placing(view) for view in views]
    pairs = [(view, placing) for view, placing in zip(views, placings, strict=True) if placing is not None]
    if len(pairs) < len(views):
        return None
    frame = _frame_of(pairs)
    if not 1 / _MOST_ASPECT < (frame[2] - frame[0]) / (frame[3] - frame[1]) < _MOST_ASPECT:
        return None
    px_per_cm = wide_px / (frame[2] - frame[0])
    cut = tuple(_cut(view, placing, frame, px_per_cm=px_per_cm) for view, placing in pairs)
    return AlikeStills(pictures=cut, ground_px=frame[3] * px_per_cm)


def cut_halves(before: KeptView, after: KeptView) -> AlikeStills | None:
    """Cut the two stills of one view so that they fit each other; None where that cannot be done.

    Parameters
    ----------
    before, after : KeptView
    """
    return cut_alike((before, after), wide_px=(WIDTH - _GAP) / 2)


def draw_side_by_side(halves: AlikeStills, *, days: tuple[date | None, date | None]) -> Picture:
    """Draw the two stills of one view beside each other.

    Parameters
    ----------
    halves : AlikeStills
        Before and after.
    days : (date or None, date or None)
        For the labels.

    Returns
    -------
    (H, W, 3) uint8
        RGB.
    """
    before, after = halves.pictures
    high, wide = before.shape[:2]
    size = 2 * wide + _GAP, high + _BANNER
    whole = np.full((size[1], size[0], 3), ImageColor.getrgb(PAPER), dtype=np.uint8)
    whole[_BANNER:, :wide], whole[_BANNER:, -wide:] = before, after
    sheet = Sheet(whole, crop=Crop(box_px=(0, 0, *size), size=size))
    ground = _BANNER + halves.ground_px
    for left, name, day, colour in ((0, "before", days[0], BEFORE), (wide + _GAP, "after", days[1], AFTER)):
        sheet.line((left, ground), (left + wide, ground), dashed=True, width=0.09)
        told = format_day(day, short=True) if day else ""
        sheet.banner(name, told, corner=(left, 0), width=wide, height=_BANNER, colour=colour)
    picture, _ = sheet.finish()
    return picture


def _draw_ground(picture: Picture, ground_px: float) -> Picture:
    high, wide = picture.shape[:2]
    sheet = Sheet(picture.copy(), crop=Crop(box_px=(0, 0, wide, high), size=(wide, high)))
    sheet.line((0, ground_px), (wide, ground_px), dashed=True, width=0.09)
    return sheet.finish()[0]


def _frame_of(pairs: Sequence[tuple[KeptView, Placing]]) -> Frame:
    """Return the frame of each picture: all bodies, with room where all stills have some."""
    bodies = np.array([find_body_frame(view, placing) for view, placing in pairs])
    stills = np.array([find_still_frame(view, placing) for view, placing in pairs])
    low, high = bodies[:, :2].min(axis=0), bodies[:, 2:].max(axis=0)
    height = high[1] - low[1] + _ABOVE_CM + _BELOW_CM
    side = max(_SIDE_CM, (_LEAST_ASPECT * height - (high[0] - low[0])) / 2)
    least = np.minimum(low, np.maximum(low - (side, _BELOW_CM), stills[:, :2].max(axis=0)))
    most = np.maximum(high, np.minimum(high + (side, _ABOVE_CM), stills[:, 2:].min(axis=0)))
    return float(least[0]), float(least[1]), float(most[0]), float(most[1])


def _cut(view: KeptView, placing: Placing, frame: Frame, *, px_per_cm: float) -> Picture:
    """Return the frame of a still, upright and at the scale; paper colour where the still shows nothing."""
    left, bottom, right, top = frame
    size = round((right - left) * px_per_cm), round((top - bottom) * px_per_cm)
    corners = np.array([[left, top], [right, top], [left, bottom]])
    box, shown = view.record.still_box_px, view.still.shape
    scale = shown[1] / (box[2] - box[0]), shown[0] / (box[3] - box[1])
    source = (np.array(placing.points(corners)) - box[:2]) * scale
    target = np.array([[0, 0], [size[0], 0], [0, size[1]]])
    # Pixel centres lie half a pixel in.
    way = cv2.getAffineTransform((target - 0.5).astype(np.float32), (source - 0.5).astype(np.float32))
    cut = cv2.warpAffine(
        view.still, way, size, flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_CONSTANT, borderValue=ImageColor.getrgb(PAPER),
    )  # fmt: skip
    return np.asarray(cut, dtype=np.uint8)
