"""Lengths and points as typed.

An inch is 2.54 cm and a foot 12 inches by definition (international yard and pound agreement, 1959); the values
below were worked by hand from these two.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.errors import PuttPostureError, UnitError
from putt_posture.units import CM_PER_INCH, format_feet_inches, read_length_cm, read_point, read_segment

ROUNDING_CM = 1e-6
"""`read_length_cm` keeps six decimals of a centimetre."""


@pytest.mark.parametrize(
    ("text", "centimetres"),
    [
        ("178cm", 178.0),
        ("178 CM", 178.0),
        ("1.78m", 178.0),
        ("1,78 m", 178.0),
        ("1780mm", 178.0),
        ("70in", 177.8),
        ('70"', 177.8),
        ("70 inches", 177.8),
        ("5ft10in", 177.8),
        ("5 ft 10 in", 177.8),
        ("5'10\"", 177.8),
        ("5’10”", 177.8),
        ("5′10″", 177.8),
        ("5'10", 177.8),
        ("5ft", 152.4),
        ("6 feet", 182.88),
        ("5ft 10.5in", 179.07),
        ("5ft 10 1/2in", 179.07),
        ("33 1/2in", 85.09),
        ("33.5in", 85.09),
        ("34in", 86.36),
        ("1/2in", 1.27),
        ("48in", 121.92),
    ],
)
def test_length_is_read_to_hand_worked_centimetres(text, centimetres) -> None:
    assert read_length_cm(text) == pytest.approx(centimetres, abs=ROUNDING_CM)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("178", "has no unit"),
        ("178 furlongs", "unknown unit 'furlongs'"),
        ("tall", "cannot be read"),
        ("", "cannot be read"),
        ("-178cm", "cannot be read"),
        ("5ft12in", "12 inches after the feet"),
        ("33 1/0in", "divides by zero"),
        ("1.7.8m", "cannot be read"),
        ("nan cm", "cannot be read"),
        ("infcm", "cannot be read"),
    ],
)
def test_length_that_makes_no_sense_is_refused_with_what_was_found(text, says) -> None:
    with pytest.raises(UnitError, match=says):
        read_length_cm(text)


def test_unit_error_can_be_caught_as_value_error_and_as_ours() -> None:
    with pytest.raises(ValueError, match="no unit"):
        read_length_cm("3")
    with pytest.raises(PuttPostureError):
        read_length_cm("3")


@given(
    st.floats(min_value=0.01, max_value=1000),
    st.sampled_from([("mm", 0.1), ("cm", 1.0), ("m", 100.0), ("in", CM_PER_INCH)]),
)
def test_what_is_written_with_a_unit_is_read_back(number, unit) -> None:
    name, factor = unit
    assert read_length_cm(f"{number:.8f}{name}") == pytest.approx(number * factor, rel=1e-6, abs=ROUNDING_CM)


@given(st.integers(1, 8), st.integers(0, 23))
def test_feet_and_half_inches_survive_a_round_trip(feet, halves) -> None:
    length = (feet * 12 + halves / 2) * CM_PER_INCH
    assert read_length_cm(format_feet_inches(length)) == pytest.approx(length, abs=ROUNDING_CM)


@given(st.text(max_size=20))
def test_any_text_is_a_length_or_a_unit_error(text) -> None:
    try:
        length = read_length_cm(text)
    except UnitError as error:
        assert str(error).endswith(".")  # noqa: PT017
    else:
        assert math.isfinite(length)
        assert length >= 0


@pytest.mark.parametrize(
    ("length_cm", "written"),
    [
        (177.8, "5 ft 10 in"),
        (179.07, "5 ft 10.5 in"),
        (182.88, "6 ft 0 in"),
        (182.5, "6 ft 0 in"),
        (152.4, "5 ft 0 in"),
    ],
)
def test_stature_is_written_in_feet_and_inches(length_cm, written) -> None:
    assert format_feet_inches(length_cm) == written


@given(st.integers(0, 10_000), st.integers(0, 10_000))
def test_point_survives_a_round_trip(u, v) -> None:
    assert read_point(f"{u},{v}") == (u, v)
    assert read_point(f" {u}.5 , {v} ") == (u + 0.5, v)


@pytest.mark.parametrize("text", ["", "12", "1,2,3", "a,b", "-1,2", "1;2"])
def test_point_that_makes_no_sense_is_refused(text) -> None:
    with pytest.raises(UnitError, match="cannot be read"):
        read_point(text)


def test_segment_is_two_points() -> None:
    assert read_segment("600,200 610.5,900") == ((600.0, 200.0), (610.5, 900.0))


@pytest.mark.parametrize(
    ("text", "says"), [("600,200", "two picture points"), ("1,2 1,2", "the same"), ("1,2 x", "cannot")]
)
def test_segment_that_makes_no_sense_is_refused(text, says) -> None:
    with pytest.raises(UnitError, match=says):
        read_segment(text)
