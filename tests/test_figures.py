"""A number is printed with the digits of its unit, and what is printed adds up."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.figures import (
    as_printed,
    format_apart,
    format_both,
    format_change,
    format_imperial,
    format_interval,
    format_length,
    format_margin,
    format_stature,
    format_time,
    inches,
)
from putt_posture.fitting.limits import find_stock_length_in
from putt_posture.units import read_length_cm
from putt_posture.values import NORMAL_95, Estimate

HALF_DIGIT = {"deg": 0.05, "cm": 0.05, "%": 0.5}
ROUNDING = 1e-9
"""Room for binary fractions at a tie."""


def number(text: str) -> float:
    return float(text.replace("\N{MINUS SIGN}", "-"))


def tenths(text: str) -> int:
    """Return a printed number in tenths, so that sums are exact."""
    return round(10 * number(text))


@given(st.floats(-500, 500), st.floats(0, 60), st.sampled_from(["deg", "cm", "%"]))
def test_value_and_margin_are_those_of_the_estimate_to_half_a_digit(value, sigma, unit):
    text = format_margin(Estimate(value=value, standard_uncertainty=sigma, unit=unit))
    found = re.fullmatch(r"(−?\d+(?:\.\d)?) ± (\d+(?:\.\d)?)(?:°|\xa0cm|\xa0%)", text)
    assert found, text
    assert number(found[1]) == pytest.approx(value, abs=HALF_DIGIT[unit] + ROUNDING)
    assert number(found[2]) == pytest.approx(NORMAL_95 * sigma, abs=HALF_DIGIT[unit] + ROUNDING)


@given(st.floats(-500, 500), st.floats(0, 60), st.sampled_from([("deg", 1), ("cm", 1), ("%", 0)]))
def test_digits_are_those_of_the_unit_whatever_the_margin(value, sigma, unit_and_decimals):
    unit, decimals = unit_and_decimals
    text = format_margin(Estimate(value=value, standard_uncertainty=sigma, unit=unit))
    assert {len(each.partition(".")[2]) for each in re.findall(r"\d+(?:\.\d+)?", text)} == {decimals}


@given(st.floats(40, 160), st.floats(0.01, 20))
def test_the_interval_is_the_printed_value_less_and_plus_the_printed_margin(value, sigma):
    length = Estimate(value=value, standard_uncertainty=sigma, unit="cm")
    for figure, interval in (
        (format_margin(length), format_interval(length)),
        (format_imperial(length), format_interval(length, unit="in")),
    ):
        middle, margin = (tenths(each) for each in figure.split("\xa0")[0].split(" ± "))
        low, high = (tenths(each) for each in interval.split("\xa0")[0].split(" to "))
        assert (low, high) == (middle - margin, middle + margin)


@given(st.floats(46, 152))
def test_the_nearest_half_inch_is_that_of_the_printed_length(value):
    # "33 ± 2 in; nearest half inch 32.5" was printed where the length was 32.6 in.
    length = Estimate(value=value, standard_uncertainty=2.5, unit="cm")
    printed = tenths(format_imperial(length).split(" ± ")[0])
    stock = find_stock_length_in(length)
    assert abs(printed - 10 * stock) == min(abs(printed - each) for each in range(0, 700, 5))


@given(st.floats(-90, 90), st.floats(-90, 90), st.floats(0, 20))
def test_a_change_is_the_difference_of_its_printed_ends(before, after, margin):
    # "27.7 → 31: +3.5" was printed.
    shown = tenths(format_change(before, after, margin=margin, unit="deg").split(" ± ")[0])
    assert shown == round(10 * as_printed(after, "deg")) - round(10 * as_printed(before, "deg"))


@given(st.floats(70, 130), st.floats(70, 130))
def test_how_far_two_putters_are_apart_is_the_difference_of_what_is_printed_of_them(one, other):
    def parts(text):
        return [tenths(each) for each in re.findall(r"\d+\.\d", text)]

    ends = zip(parts(format_length(one)), parts(format_length(other)), strict=True)
    assert parts(format_apart(one, other)) == [abs(first - second) for first, second in ends]


def test_nought_has_no_sign():
    assert format_margin(Estimate(value=-0.03, standard_uncertainty=2.0, unit="deg"), signed=True) == "0.0 ± 3.9°"


def test_a_signed_measure_shows_its_plus():
    assert format_margin(Estimate(value=5.2, standard_uncertainty=1.5, unit="cm"), signed=True) == "+5.2 ± 2.9\xa0cm"


def test_an_interval_cut_at_its_floor_is_written_out():
    gap = Estimate(value=1.2, standard_uncertainty=1.0, unit="cm", floor=0.0)
    assert format_margin(gap) == "1.2 (0.0 to 3.2)\xa0cm"
    assert format_interval(gap) == "0.0 to 3.2\xa0cm"


def test_inches_are_exact_by_the_agreement_of_1959():
    # International yard and pound agreement, 1959: one inch is 2.54 cm exactly.
    assert inches(2.54) == 1.0
    assert format_imperial(Estimate(value=86.36, standard_uncertainty=1.27, unit="cm")) == "34.0 ± 1.0\xa0in"


def test_a_putter_is_written_in_inches_and_centimetres():
    assert format_length(33 * 2.54) == "33.0\xa0in (83.8\xa0cm)"
    length = Estimate(value=82.9, standard_uncertainty=2.65, unit="cm")
    assert format_both(length) == "32.6 ± 2.0\xa0in (82.9 ± 5.2\xa0cm)"


@pytest.mark.parametrize(
    ("typed", "written"),
    [("5ft8in", "172.7 cm (5 ft 8 in)"), ("178cm", "178 cm (5 ft 10 in)"), ("172.5cm", "172.5 cm (5 ft 8 in)")],
)
def test_a_stature_is_written_to_the_tenth_and_a_whole_one_whole(typed, written):
    assert format_stature(read_length_cm(typed)) == written


def test_angles_and_shares_have_no_inches():
    assert format_imperial(Estimate(value=30.0, standard_uncertainty=1.0, unit="deg")) == ""
    assert format_imperial(Estimate(value=30.0, standard_uncertainty=1.0, unit="%")) == ""


def test_times_over_a_minute_show_minutes():
    assert format_time(125.25) == "2:05.25"
