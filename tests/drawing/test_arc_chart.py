"""The picture of the arc: legible, with both setups in it, the same for the same numbers."""

import re
import xml.etree.ElementTree as ET

import pytest

from putt_posture.drawing.charts import LETTERS, WIDTH
from putt_posture.drawing.setup_charts import ArcNames, draw_arc_chart
from putt_posture.setup_arc import compare_arcs, find_arc
from putt_posture.values import Estimate, Pendulum, absent

LEAST_LETTERS = 0.022
"""Share of the width: 8 pixels on a phone that shows it 360 pixels wide."""


def cm(value, sigma):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm")


def arc(offset):
    lie = Estimate(value=70.0, standard_uncertainty=1.0, unit="deg")
    return find_arc(Pendulum(hand_offset=offset, shoulder_drop=cm(56, 2), hand_height=cm(75, 1.5), lie=lie))


@pytest.fixture(scope="module")
def comparison():
    return compare_arcs(arc(cm(10, 2)), arc(cm(0.5, 1.5)))


@pytest.fixture(scope="module")
def svg(comparison):
    return draw_arc_chart(comparison, names=ArcNames(before="as filmed", after="wanted setup"))


def test_letters_are_legible_on_a_phone(svg):
    assert LETTERS / WIDTH >= LEAST_LETTERS
    box = [float(each) for each in ET.fromstring(svg).get("viewBox").split()]
    assert box[2] == pytest.approx(WIDTH)
    # matplotlib writes a text as a group scaled by its size over 100.
    scales = [float(each) for each in re.findall(r"scale\((0\.\d+) -0\.\d+\)", svg)]
    assert scales
    assert 100 * min(scales) / WIDTH >= LEAST_LETTERS


def test_both_setups_and_every_putt_are_named(svg):
    for text in ("as filmed", "wanted setup", "from 1.5 m", "from 3 m", "from 6 m"):
        assert any(text in comment for comment in re.findall(r"<!-- (.*?) -->", svg)), text


def test_the_same_numbers_give_the_same_picture(comparison, svg):
    assert draw_arc_chart(comparison, names=ArcNames(before="as filmed", after="wanted setup")) == svg


def test_one_arc_is_drawn_alone_and_none_not_at_all():
    missing = arc(absent("Hidden.", unit="cm"))
    alone = draw_arc_chart(compare_arcs(arc(cm(10, 2)), missing))
    comments = re.findall(r"<!-- (.*?) -->", alone)
    assert "before" in comments
    assert "after" not in comments
    assert draw_arc_chart(compare_arcs(missing, missing)) is None
