"""The picture of the curves: legible, both putters marked, silent about lengths that cannot be."""

import re

import numpy as np
import pytest
from attrs import evolve
from changed_lesson import make_curves

from putt_posture.drawing.charts import WIDTH
from putt_posture.drawing.setup_charts import describe_curves, draw_curves_chart
from putt_posture.values import Estimate, absent

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
    assert "Hands to shoulders, cm" in found


def test_a_putter_outside_the_curves_is_not_marked():
    found = comments(draw_curves_chart(curves(current_cm=120.0)))
    assert not any("in use" in text for text in found)


def test_the_values_at_both_putters_are_said():
    said = describe_curves(curves(), filmed={})
    assert "spine tilt 24.0° and 36.0°" in said
    assert "hands to shoulders 7.5\N{NO-BREAK SPACE}cm outside and 0.0\N{NO-BREAK SPACE}cm" in said


def test_lengths_that_cannot_be_are_left_out():
    tilt = curves().spine_tilt.copy()
    tilt[:4] = np.nan
    assert draw_curves_chart(curves(spine_tilt=tilt)) is not None
    assert draw_curves_chart(curves(spine_tilt=np.full(29, np.nan))) is None


@pytest.mark.parametrize("known", [{"current_cm": None}, {"suggested_cm": None}])
def test_without_one_of_the_putters_the_picture_is_still_described(known):
    assert describe_curves(curves(**known), filmed={}).startswith("What the body has to do")


def test_where_curves_and_film_differ_one_sentence_says_why():
    def filmed(tilt):
        return {"spine_tilt": Estimate(value=tilt, standard_uncertainty=2.0, unit="deg")}

    why = "The curves show this body holding each putter as well as it can"
    said = describe_curves(curves(), filmed=filmed(14.0))
    assert said.count(why) == 1
    assert "as filmed, holds the one in use otherwise (spine tilt 14.0° from upright)." in said
    assert why not in describe_curves(curves(), filmed=filmed(23.0))  # within the margin of the curve's 24°
    assert why not in describe_curves(curves(), filmed={"spine_tilt": absent("Hidden.", unit="deg")})
