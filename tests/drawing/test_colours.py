"""The colours are the published ones and stay apart for colour-blind eyes."""

from itertools import combinations

import numpy as np
import pytest

from putt_posture.drawing.colours import PART_COLOURS

OKABE_ITO = {
    "orange": (230, 159, 0), "sky blue": (86, 180, 233), "bluish green": (0, 158, 115), "yellow": (240, 228, 66),
    "blue": (0, 114, 178), "vermillion": (213, 94, 0), "reddish purple": (204, 121, 167), "black": (0, 0, 0),
}  # fmt: skip
"""RGB, 0 to 255, of Okabe & Ito, "Color Universal Design" (2002, revised 2008), fig. 16; from memory."""

DEFICIENCIES = {
    "protanopia": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deuteranopia": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritanopia": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}
"""Linear-RGB matrices at severity 1 of Machado, Oliveira & Fernandes, IEEE Trans. Vis. Comput. Graph. 15(6), 2009; from
memory."""

TOLD_APART = 10.0
"""CIE 1976 colour difference; 2.3 is just noticeable (Mahy, Van Eycken & Oosterlinck 1994, from memory), swatches a few
pixels wide want several times that."""


def rgb(text):
    return np.array([int(text[i : i + 2], 16) for i in (1, 3, 5)])


def lab(linear):
    """CIE L*a*b* under D65 of linear sRGB (IEC 61966-2-1 matrix, CIE 15 formulas)."""
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ linear
    ratio = xyz / np.array([0.9505, 1.0, 1.089])
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def linear(colour):
    share = colour / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def test_the_colours_are_those_of_okabe_and_ito():
    assert {tuple(rgb(text)) for text in PART_COLOURS.values()} <= set(OKABE_ITO.values())
    assert len(set(PART_COLOURS.values())) == len(PART_COLOURS)


@pytest.mark.parametrize("kind", DEFICIENCIES)
def test_parts_are_told_apart_by_every_kind_of_colour_vision(kind):
    matrix = np.array(DEFICIENCIES[kind])
    seen = {part: lab(np.clip(matrix @ linear(rgb(text)), 0, 1)) for part, text in PART_COLOURS.items()}
    for one, two in combinations(seen, 2):
        assert np.linalg.norm(seen[one] - seen[two]) > TOLD_APART, (kind, one, two)
