"""Charts in SVG have a look for dark screens of their own, which a PDF and other programs leave alone."""

import re

import pytest
from changed_lesson import make_changed_lesson

from putt_posture.drawing.charts import AFTER, INK, PAPER, RULE, SOFT
from putt_posture.pages.wanted_setup import draw_change

_DARK = re.compile(r"@media \(prefers-color-scheme: dark\)\{(.*?)\}</style>", re.DOTALL)
_RULE = re.compile(r'\[style\*="(fill|stroke): (#[0-9a-f]{6})"\]\{\1: (#[0-9a-f]{6}) !important\}')


@pytest.fixture(scope="module")
def charts():
    return draw_change(make_changed_lesson()).charts


def luminance(colour):
    """Relative luminance (WCAG 2.2)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_paper_ink_lines_and_the_blue_change_on_a_dark_screen(charts) -> None:
    for text in charts.values():
        rules = {(what, light): dark for what, light, dark in _RULE.findall(_DARK.search(text)[1])}
        for colour in (PAPER, INK, SOFT, RULE, AFTER):
            for what in ("fill", "stroke"):
                assert rules[what, colour.lower()] != colour.lower()
        paper = rules["fill", PAPER]
        assert contrast(rules["fill", INK], paper) > 7
        assert contrast(rules["fill", SOFT], paper) > 4.5
        assert contrast(rules["stroke", AFTER.lower()], paper) > 4.5


def test_no_light_colour_is_left_as_it_is_on_a_dark_screen(charts) -> None:
    for text in charts.values():
        changed = {light for _, light, _ in _RULE.findall(_DARK.search(text)[1])}
        used = set(re.findall(r"(?:fill|stroke): (#[0-9a-f]{6})", text[text.index("</style>") :]))
        assert {colour for colour in used - changed if luminance(colour) > 0.6} == set()


def test_coordinates_are_in_hundredths_of_a_point(charts) -> None:
    for text in charts.values():
        paths = " ".join(re.findall(r' d="([^"]*)"', text))
        assert re.search(r"\.\d\d", paths)
        assert not re.search(r"\.\d\d\d", paths)
