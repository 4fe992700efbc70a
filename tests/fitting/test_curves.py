"""From putter to setup: what the body does for a putter of any length."""

import numpy as np
import pytest

from putt_posture.fitting import find_hand_height, fit_putter
from putt_posture.values import Student

STUDENTS = [
    Student(stature_cm=176.5, handed="right", sex="male"),
    Student(stature_cm=165.0, handed="left", sex="female", wrist_floor_cm=81.0),
    Student(stature_cm=188.0, handed="right"),
]

LENGTH_TOLERANCE_CM = 0.15
"""The gap between sole and ground is not borne, but weighed; this is a sixteenth of an inch."""

STRAIN_AT_BEST = 0.35
"""What half an inch off the best length costs at most."""


@pytest.fixture(scope="module", params=STUDENTS, ids=lambda student: f"{student.stature_cm:g} cm")
def fit(request):
    return fit_putter(None, request.param)


def beyond(fit, name):
    """Return a curve from the suggested length to 37 inches."""
    curves = fit.curves
    return getattr(curves, name)[curves.putter_length_cm >= fit.putter_length.value]


def test_curves_run_from_30_to_37_inches(fit):
    lengths = fit.curves.putter_length_cm / 2.54
    assert (lengths[0], lengths[-1]) == pytest.approx((30.0, 37.0))
    assert np.all(np.diff(lengths) > 0)
    assert fit.curves.suggested_cm == fit.putter_length.value


def test_a_putter_too_long_stands_the_student_up(fit):
    assert np.all(np.diff(beyond(fit, "spine_tilt")) < 0)


def test_with_a_putter_too_long_the_back_rounds_and_the_hands_drift_outside(fit):
    assert np.all(np.diff(beyond(fit, "back_rounding")) > -0.2)
    assert beyond(fit, "back_rounding")[-1] > fit.setup["back_rounding"].value + 1
    assert np.all(np.diff(beyond(fit, "hand_offset")) > 0)


def test_with_a_putter_too_long_the_knees_straighten_and_the_eyes_fall_inside_the_ball(fit):
    assert np.all(np.diff(beyond(fit, "knee_flex")) < 0)
    assert np.all(np.diff(beyond(fit, "eye_offset")) < 0)


def test_a_putter_too_short_bends_the_student_down(fit):
    curves = fit.curves
    short = curves.spine_tilt[curves.putter_length_cm < fit.putter_length.value - 1.0]
    assert np.all(np.diff(short) < 0)
    assert np.all(short > fit.setup["spine_tilt"].value)


def test_the_suggested_length_strains_least(fit):
    curves = fit.curves
    least = int(np.argmin(curves.strain))
    assert abs(curves.putter_length_cm[least] - fit.putter_length.value) <= 0.25 * 2.54 + 1e-6
    assert curves.strain[least] < STRAIN_AT_BEST
    assert np.all(np.diff(curves.strain[: least + 1]) < 0)
    assert np.all(np.diff(curves.strain[least:]) > 0)


def test_every_setup_holds_its_putter(fit):
    # length = hand height / sin(lie) + hold; the hold is what the suggestion itself rests on.
    curves = fit.curves
    hold = fit.putter_length.value - fit.setup["hand_height"].value / np.sin(np.radians(fit.lie.value))
    assert find_hand_height(curves.putter_length_cm, curves.lie, hold) == pytest.approx(
        curves.hand_height, abs=LENGTH_TOLERANCE_CM
    )


def test_the_putter_in_use_is_marked():
    fit = fit_putter(None, Student(stature_cm=176.5, handed="right", putter_length_cm=88.9))
    assert fit.curves.current_cm == 88.9
