"""The picture of the curves: legible, both putters marked, silent about lengths that cannot be."""

import re

import numpy as np
import pytest
from attrs import evolve
from changed_lesson import make_curves

from putt_posture.drawing.charts import WIDTH
from putt_posture.drawing.setup_charts import describe_curves, draw_curves_chart

LEAST_LETTERS = 0.022
"""Share of the width: 8 pixels on a phone that shows it 360 pixels wide."""


def curves(**changes):
    return evolve(make_curves(), **changes)


def comments(svg):
    return re.findall(r"<!-- (.*?) -->", svg)


def test_letters_are_legible_on_a_phone():
    scales = [float(each) for each in re.findall(r"scale\((0\.\d+) -0\.\d+\)", draw_curves_chart(curves()))]
    assert scales
    assert 100 * min(scales) / WIDTH >= LEAST_LETTERS


def test_both_putters_and_the_four_measures_are_named():
    found = [text.replace("\N{NO-BREAK SPACE}", " ") for text in comments(draw_curves_chart(curves()))]
    for text in ("in use, 36.0 in (91.4 cm)", "suggested, 33.0 in (83.8 cm)", "Spine tilt, deg", "Knee flex, deg"):
        assert text in found
    assert "Hands from under the shoulders, cm" in found


def test_a_putter_outside_the_curves_is_not_marked():
    found = comments(draw_curves_chart(curves(current_cm=120.0)))
    assert not any("in use" in text for text in found)


def test_the_values_at_both_putters_are_said():
    said = describe_curves(curves())
    assert "spine tilt 24.0° and 36.0°" in said
    assert "hands from under the shoulders +7.5\N{NO-BREAK SPACE}cm and 0.0\N{NO-BREAK SPACE}cm" in said


def test_lengths_that_cannot_be_are_left_out():
    tilt = curves().spine_tilt.copy()
    tilt[:4] = np.nan
    assert draw_curves_chart(curves(spine_tilt=tilt)) is not None
    assert draw_curves_chart(curves(spine_tilt=np.full(29, np.nan))) is None


@pytest.mark.parametrize("known", [{"current_cm": None}, {"suggested_cm": None}])
def test_without_one_of_the_putters_the_picture_is_still_described(known):
    assert describe_curves(curves(**known)).startswith("What the body has to do")
