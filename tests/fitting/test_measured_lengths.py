"""Lengths of a body from a scaled clip, on a stick golfer whose lengths are known by construction."""

import pytest
from filmed_people import posture
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.fitting import find_clip_lengths, fit_putter
from putt_posture.fitting.body_model import curl_trunk

GOLFER = Golfer(knee_flex_deg=15.0, trunk_cm=47.0)
SHANK_CM, THIGH_CM, EAR_CM = 41.0, 43.0, 18.0
"""As `stick_golfer` builds them."""

LENGTH_TOLERANCE_CM = 1.0
"""The depths of hip, knee and ankle toward the camera are nominal: 3 cm of 400 make a length 1 % longer."""


def test_lengths_of_a_scaled_clip_are_those_of_the_body():
    side = result_of(GOLFER, Camera(), scale_source="object")
    found = find_clip_lengths(side, posture(back_rounding=20.0), student_of(GOLFER))
    lengths = {name: one.value for name, one in found.lengths.items()}
    assert lengths["shank"] == pytest.approx(SHANK_CM, abs=LENGTH_TOLERANCE_CM)
    assert lengths["thigh"] == pytest.approx(THIGH_CM, abs=LENGTH_TOLERANCE_CM)
    assert lengths["neck"] == pytest.approx(EAR_CM, abs=LENGTH_TOLERANCE_CM)
    assert lengths["trunk"] * float(curl_trunk(20.0)) == pytest.approx(GOLFER.trunk_cm, abs=LENGTH_TOLERANCE_CM)
    assert found.scale_sd > 0


@pytest.mark.parametrize("source", ["stature", "other_view"])
def test_a_scale_that_is_based_on_the_stature_adds_nothing_new(source):
    side = result_of(GOLFER, Camera(), scale_source=source)
    assert find_clip_lengths(side, posture(back_rounding=20.0), student_of(GOLFER)) is None


def test_what_is_unseen_is_left_out():
    side = result_of(GOLFER, Camera(), scale_source="putter", hidden=("left_ear", "right_ear"))
    found = find_clip_lengths(side, posture(), student_of(GOLFER))
    assert set(found.lengths) == {"shank", "thigh"}


def test_lengths_from_the_clip_narrow_the_suggestion():
    student = student_of(GOLFER)
    seen = posture(back_rounding=20.0)
    plain, measured = (
        fit_putter(None, student, lengths=lengths)
        for lengths in (None, find_clip_lengths(result_of(GOLFER, Camera(), scale_source="object"), seen, student))
    )
    assert measured.putter_length.standard_uncertainty < plain.putter_length.standard_uncertainty
