"""Numbers are written with the digits that their margin allows."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.report.figures import format_imperial, format_interval, format_margin, format_time, inches
from putt_posture.values import NORMAL_95, Estimate

HALF_DIGIT = {0: 0.5, 1: 0.05}
ROUNDING = 1e-9
"""Room for binary fractions at a tie."""


def number(text: str) -> float:
    return float(text.replace("\N{MINUS SIGN}", "-"))


@given(st.floats(-500, 500), st.floats(0, 60), st.sampled_from(["deg", "cm", "%"]))
def test_value_and_margin_are_those_of_the_estimate_to_half_a_digit(value, sigma, unit):
    text = format_margin(Estimate(value=value, standard_uncertainty=sigma, unit=unit))
    found = re.fullmatch(r"(−?\d+(?:\.(\d))?) ± (\d+(?:\.\d)?)(?:°|\xa0cm|\xa0%)", text)
    assert found, text
    room = HALF_DIGIT[1 if found[2] else 0] + ROUNDING
    assert number(found[1]) == pytest.approx(value, abs=room)
    assert number(found[3]) == pytest.approx(NORMAL_95 * sigma, abs=room)


@given(st.floats(-500, 500), st.floats(0, 60))
def test_margins_of_two_and_more_are_whole_and_smaller_ones_have_one_decimal(value, sigma):
    estimate = Estimate(value=value, standard_uncertainty=sigma, unit="deg")
    assert ("." in format_margin(estimate)) == (estimate.margin < 2)


def test_nought_has_no_sign():
    assert format_margin(Estimate(value=-0.3, standard_uncertainty=2.0, unit="deg"), signed=True) == "0 ± 4°"


def test_a_signed_measure_shows_its_plus():
    assert format_margin(Estimate(value=5.2, standard_uncertainty=1.5, unit="cm"), signed=True) == "+5 ± 3\xa0cm"


def test_an_interval_cut_at_its_floor_is_written_out():
    gap = Estimate(value=1.2, standard_uncertainty=1.0, unit="cm", floor=0.0)
    assert format_margin(gap) == "1.2 (0.0 to 3.2)\xa0cm"
    assert format_interval(gap) == "0.0 to 3.2\xa0cm"


def test_inches_are_exact_by_the_agreement_of_1959():
    # International yard and pound agreement, 1959: one inch is 2.54 cm exactly.
    assert inches(2.54) == 1.0
    assert format_imperial(Estimate(value=86.36, standard_uncertainty=1.27, unit="cm")) == "34.0 ± 1.0\xa0in"


def test_angles_and_shares_have_no_inches():
    assert format_imperial(Estimate(value=30.0, standard_uncertainty=1.0, unit="deg")) == ""
    assert format_imperial(Estimate(value=30.0, standard_uncertainty=1.0, unit="%")) == ""


def test_times_over_a_minute_show_minutes():
    assert format_time(125.25) == "2:05.25"
