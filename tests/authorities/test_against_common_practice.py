"""Lengths without clips against what the trade usually fits.

Facts of the trade (common practice, no source): 6 ft 1 to 2 in are fitted with about 35 inches, 6 ft 0 with about 34,
5 ft 9 to 10 in with about 33, 5 ft 6 with about 32; most putters sold are 35 inches, at a lie of about 71°.
"""

import pytest

import putt_posture.fitting.suggestion
from putt_posture.fitting import fit_putter
from putt_posture.values import Student

TRADE = [(73.5, 35.0), (72.0, 34.0), (69.5, 33.0), (66.0, 32.0)]
"""Stature and putter, inches."""

TOLERANCE_IN = 0.75
"""Fitters differ by half an inch, and the facts are told of ranges of an inch of stature."""

LIE_RANGE_DEG = (68.0, 75.0)
"""Putters are sold at 70 to 72° and bent by up to 4° (common practice); the middle of the model stays well inside."""


@pytest.mark.parametrize(("stature_in", "putter_in"), TRADE)
@pytest.mark.parametrize("sex", [None, "male"])
def test_default_fit_is_about_what_the_trade_fits(stature_in, putter_in, sex):
    fit = fit_putter(None, Student(stature_cm=stature_in * 2.54, handed="right", sex=sex))
    assert fit.putter_length.value / 2.54 == pytest.approx(putter_in, abs=TOLERANCE_IN)
    assert fit.putter_length.low / 2.54 < putter_in < fit.putter_length.high / 2.54
    assert LIE_RANGE_DEG[0] < fit.lie.value < LIE_RANGE_DEG[1]


def test_the_rule_of_thumb_does_not_touch_the_suggestion(monkeypatch):
    student = Student(stature_cm=170.0, handed="right")
    before = fit_putter(None, student)
    rule = putt_posture.fitting.suggestion.find_by_height_rule
    monkeypatch.setattr("putt_posture.fitting.suggestion.find_by_height_rule", lambda stature: rule(stature + 20))
    after = fit_putter(None, student)
    assert after.putter_length == before.putter_length
    assert after.lie == before.lie
