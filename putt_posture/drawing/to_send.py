"""One portrait picture to send: a sentence, one still or two, and up to three numbers, readable on a phone.

No name is in it. The stills come as they may be shown: heads that are hidden stay so.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import frozen
from PIL import Image, ImageDraw, ImageFont

from putt_posture.drawing.charts import INK, PAPER, SOFT, picture_letters
from putt_posture.shown_units import say_in_shown_unit
from putt_posture.values import Picture

__all__ = ["ACCENT", "SIZE", "SentNumber", "draw_to_send"]

SIZE: Final = (1080, 1350)
"""Pixels, width and height: 4 to 5, which messengers show whole."""
ACCENT: Final = "#6b2f5e"
"""Of the pages."""
_EDGE: Final = 54
_GAP: Final = 30
_SAID: Final = 50
_NUMBER: Final = 46
_SMALL: Final = 34
"""Letters, pixels: 18, 17 and 12 on a phone 390 pixels wide."""
_MOST_LINES: Final = 4
_NUMBERS_WIDE: Final = 390
_NUMBERS_HIGH: Final = 310
_BELOW_HIGH: Final = 250


@frozen(kw_only=True)
class SentNumber:
    """One number: its title, the number, and what it is held against."""

    title: str
    figure: str
    says: str = ""


def draw_to_send(
    stills: Sequence[tuple[str, Picture]], *, says: str, numbers: Sequence[SentNumber], below: str = "", small: str
) -> Picture:
    """Draw the picture.

    Parameters
    ----------
    stills : sequence of (str, (H, W, 3) uint8)
        One still, or one before and one after; each with its name, empty for none.
    says : str
        The sentence above.
    numbers : sequence of SentNumber
        At most three.
    below : str
        A sentence under one still; empty for none.
    small : str
        One line at the foot.

    Returns
    -------
    (1350, 1080, 3) uint8
        RGB.
    """
    image = Image.new("RGB", SIZE, PAPER)
    pen = ImageDraw.Draw(image)
    pen.rectangle((0, 0, SIZE[0], 14), fill=ACCENT)
    wide = SIZE[0] - 2 * _EDGE
    top = _write(pen, says, (_EDGE, _EDGE), wide=wide, size=_SAID, bold=True, most=_MOST_LINES) + _GAP
    bottom = SIZE[1] - _EDGE - _SMALL
    _write(pen, small, (_EDGE, bottom), wide=wide, size=_SMALL - 6, colour=SOFT, most=1)
    bottom -= _GAP
    if len(stills) == 1:
        box = (_EDGE, top, SIZE[0] - _EDGE - _NUMBERS_WIDE - _GAP, bottom - (_BELOW_HIGH if below else 0))
        right, ends = _paste(image, pen, stills[0], box)
        _write(pen, below, (_EDGE, ends + _GAP), wide=wide, size=_SMALL + 6, most=_MOST_LINES)
        for number in numbers:
            top = _draw_number(pen, number, (right + _GAP, top), wide=SIZE[0] - _EDGE - right - _GAP) + _GAP
    else:
        half = (wide - _GAP) // 2
        ends = bottom - (_NUMBERS_HIGH if numbers else 0)
        for place, still in enumerate(stills):
            left = _EDGE + place * (half + _GAP)
            _paste(image, pen, still, (left, top, left + half, ends))
        third = (wide - 2 * _GAP) // 3
        for place, number in enumerate(numbers):
            _draw_number(pen, number, (_EDGE + place * (third + _GAP), ends + _GAP), wide=third)
    return np.asarray(image)


def _paste(
    image: Image.Image, pen: ImageDraw.ImageDraw, still: tuple[str, Picture], box: tuple[int, int, int, int]
) -> tuple[int, int]:
    """Put a still into a box, as large as it fits, and return where its right edge and its foot are."""
    name, picture = still
    left, top, right, bottom = box
    shown = Image.fromarray(picture)
    scale = min((right - left) / shown.width, (bottom - top) / shown.height)
    size = max(round(shown.width * scale), 1), max(round(shown.height * scale), 1)
    image.paste(shown.resize(size, Image.Resampling.LANCZOS), (left, top))
    if name:
        letters = picture_letters(_SMALL, bold=True)
        name = _shorten(pen, name, letters, wide=size[0] - 32)
        long = pen.textlength(name, font=letters)
        pen.rectangle((left, top, left + long + 32, top + _SMALL + 22), fill=INK)
        pen.text((left + 16, top + 8), name, font=letters, fill=PAPER)
    return left + size[0], top + size[1]


def _draw_number(pen: ImageDraw.ImageDraw, number: SentNumber, place: tuple[int, int], *, wide: int) -> int:
    left, top = place
    pen.line((left, top, left + wide, top), fill=ACCENT, width=4)
    top = _write(pen, number.title, (left, top + 14), wide=wide, size=_SMALL, colour=SOFT, most=3)
    top = _write(
        pen,
        number.figure,
        (left, top + 4),
        wide=wide,
        size=_NUMBER if wide > _NUMBERS_WIDE - _GAP else _NUMBER - 8,
        bold=True,
        most=3,
    )
    return _write(pen, number.says, (left, top + 4), wide=wide, size=_SMALL - 4, colour=SOFT, most=3)


def _write(
    pen: ImageDraw.ImageDraw,
    text: str,
    place: tuple[int, int],
    *,
    wide: int,
    size: int,
    bold: bool = False,
    colour: str = INK,
    most: int,
) -> int:
    """Write a text in lines no wider than `wide`, and return where it ends; what is too long ends in an ellipsis.

    Its lengths are in the unit that is shown.
    """
    letters = picture_letters(size, bold=bold)
    lines: list[str] = []
    for word in say_in_shown_unit(text).split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and pen.textlength(longer, font=letters) <= wide:
            lines[-1] = longer
        else:
            lines.append(word)
    if len(lines) > most:
        lines = [*lines[: most - 1], f"{lines[most - 1]} …"]
    left, top = place
    for line in filter(None, lines):
        pen.text((left, top), _shorten(pen, line, letters, wide=wide), font=letters, fill=colour)
        top += round(1.24 * size)
    return top


def _shorten(pen: ImageDraw.ImageDraw, text: str, letters: ImageFont.FreeTypeFont, *, wide: int) -> str:
    """Return a line, cut off with an ellipsis where it is wider than there is room."""
    while len(text) > 1 and pen.textlength(text, font=letters) > wide:
        text = f"{text.rstrip(' …')[:-1]}…"
    return text
