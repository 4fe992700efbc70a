import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.body import find_table_widening, known_dimensions, predict

statures = st.floats(min_value=100, max_value=230)
dimensions = st.sampled_from(known_dimensions())


def test_unknown_dimension_lists_the_known_ones():
    with pytest.raises(KeyError, match=r"tail_length.*wrist_height.*hand_breadth"):
        predict("tail_length", 170)


@given(dimensions, statures)
def test_without_a_sex_the_value_lies_midway_and_the_spread_holds_both(dimension, stature):
    female, male, either = (predict(dimension, stature, sex) for sex in ("female", "male", None))
    assert either.value == pytest.approx((female.value + male.value) / 2)
    half = abs(female.value - male.value) / 2
    mean_variance = (female.standard_uncertainty**2 + male.standard_uncertainty**2) / 2
    if find_table_widening(stature, "female") == find_table_widening(stature, None):
        assert either.standard_uncertainty == pytest.approx(math.sqrt(mean_variance + half**2))


@given(dimensions.filter(lambda name: name != "stature"), st.sampled_from(["female", "male", None]))
def test_bodies_spread_wider_the_farther_a_stature_is_from_the_people_of_the_tables(dimension, sex):
    def spread(stature):
        return predict(dimension, stature, sex).standard_uncertainty

    assert spread(120) > spread(140) > spread(150)
    assert spread(220) > spread(205) > spread(187)
    if sex is not None:
        assert spread(150) == spread(170) == spread(187)


@given(dimensions, statures, st.sampled_from(["female", "male", None]))
def test_taller_people_have_larger_dimensions(dimension, stature, sex):
    assert predict(dimension, stature + 1, sex).value > predict(dimension, stature, sex).value


@given(statures)
def test_a_low_wrist_means_a_long_arm(stature):
    low, high = (
        predict("acromion_to_stylion", stature, wrist_floor_cm=stature * share).value for share in (0.46, 0.51)
    )
    assert low > high


def test_measured_wrist_height_sharpens_the_arm():
    alone = predict("acromion_to_stylion", 175, "male")
    taped = predict("acromion_to_stylion", 175, "male", wrist_floor_cm=84)
    assert taped.standard_uncertainty < alone.standard_uncertainty
    assert "wrist height" in taped.method
