"""A given putter in a student's hands: the setup for it, and what it costs."""

import math

import numpy as np
import pytest
from attrs import evolve

from putt_posture.errors import UsageError
from putt_posture.fitting import find_fitted_body, fit_putter, hold_putter
from putt_posture.fitting.curves import BodyWithPutter
from putt_posture.fitting.holding import _as_asked
from putt_posture.values import Student, WantedSetup

STUDENT = Student(stature_cm=176.5, handed="right", sex="male")
SEARCH = 2e-3
"""Where two searches for the least departure end may differ by so much, deg and cm; a tenth is printed."""
SPREAD_SHARE = 0.25
"""How far the spread over bodies may be from that of bodies that were searched one by one to the end."""
IN = 2.54


@pytest.fixture(scope="module")
def body():
    return find_fitted_body(None, STUDENT, curves="left out")


def test_the_fit_is_the_same_with_and_without_its_body():
    whole, bare = fit_putter(None, STUDENT), find_fitted_body(None, STUDENT, curves="left out").fit
    assert bare.curves is None
    assert (bare.putter_length, bare.lie, bare.setup) == (whole.putter_length, whole.lie, whole.setup)


def test_the_suggested_putter_costs_nothing(body):
    held = hold_putter(body)
    assert held.strain == pytest.approx(0, abs=SEARCH)
    for name, departure in held.departures.items():
        assert departure.value == pytest.approx(0, abs=SEARCH), name
    assert held.setup["spine_tilt"].value == pytest.approx(body.fit.setup["spine_tilt"].value, abs=SEARCH)
    assert held.toe_lift.value == pytest.approx(0, abs=SEARCH)


def test_each_putter_is_held_as_the_curves_have_it(body):
    curves = fit_putter(None, STUDENT).curves
    for at in (0, 5, 12):
        held = hold_putter(body, length_cm=float(curves.putter_length_cm[at]))
        for name in ("spine_tilt", "knee_flex", "hand_offset", "eye_offset", "ball_distance"):
            assert held.setup[name].value == pytest.approx(getattr(curves, name)[at], abs=SEARCH), (at, name)


def test_a_longer_putter_stands_the_body_up_and_a_shorter_one_bends_it(body):
    length = body.fit.putter_length.value
    longer, shorter = (hold_putter(body, length_cm=length + step) for step in (IN, -IN))
    assert longer.departures["spine_tilt"].value < -1 < 1 < shorter.departures["spine_tilt"].value
    assert longer.figure.joints["hands"][1] > shorter.figure.joints["hands"][1]


def test_the_figure_holds_the_putter_at_its_length_with_the_sole_on_the_ground(body):
    held = hold_putter(body, length_cm=35 * IN)
    assert math.dist(held.figure.butt, held.figure.sole) == pytest.approx(35 * IN)
    assert held.figure.sole[1] == 0
    rise = held.figure.butt[1] - held.figure.sole[1]
    assert math.degrees(math.asin(rise / (35 * IN))) == pytest.approx(held.shaft_lie.value)


def test_a_steeper_putter_is_held_steeper_and_what_is_left_lifts_its_toe_or_heel(body):
    suggested = body.fit.lie.value
    steep = hold_putter(body, lie_deg=suggested + 4)
    assert suggested < steep.shaft_lie.value < suggested + 4
    assert steep.toe_lift.value > 0 > hold_putter(body, lie_deg=suggested - 4).toe_lift.value


def test_gripping_down_makes_a_longer_putter_the_wanted_one(body):
    lower = find_fitted_body(None, STUDENT, wanted=WantedSetup(grip_down_cm=3.0), curves="left out")
    assert lower.fit.putter_length.value == pytest.approx(body.fit.putter_length.value + 3.0, abs=0.01)
    same = hold_putter(lower, length_cm=body.fit.putter_length.value)
    shorter = hold_putter(body, length_cm=body.fit.putter_length.value - 3.0)
    assert same.departures["spine_tilt"].value == pytest.approx(shorter.departures["spine_tilt"].value, abs=0.05)


def test_the_uncertainty_is_the_spread_over_the_bodies_that_the_student_may_have(body):
    """Without data the posterior is the prior, so it can be worked out by holding the putter body by body."""
    length = body.fit.putter_length.value - 1.2 * IN
    solution = body.solution
    bodies, stands = solution.samples
    asked = {name: np.broadcast_to(value, bodies["hold"].shape) for name, value in _as_asked(stands).items()}
    found = []
    for at in range(64):
        one = BodyWithPutter(
            lengths={name: value[at] for name, value in bodies.items()}, wanted=body.wanted, sex=STUDENT.sex
        )
        start, target = one.find_target({name: value[at] for name, value in asked.items()}, lie_deg=body.fit.lie.value)
        held = one.hold(one.settle(np.array([length]), start, target)[0], np.asarray(length))
        found.append([float(held[name] - target[name]) for name in ("tilt", "knee_flex", "eye_offset")])
    held = hold_putter(body, length_cm=length)
    sigmas = [held.departures[name].standard_uncertainty for name in ("spine_tilt", "knee_flex", "eye_offset")]
    assert sigmas == pytest.approx(np.std(found, axis=0), rel=SPREAD_SHARE)


def test_a_putter_that_a_body_cannot_set_down_is_refused_with_a_reason():
    short = hold_putter(find_fitted_body(None, evolve(STUDENT, stature_cm=195.0), curves="left out"), length_cm=18 * IN)
    assert short.figure is None
    assert "longer" in short.absent
    assert not short.setup["spine_tilt"]


@pytest.mark.parametrize("wrong", [{"length_cm": 20.0}, {"length_cm": math.nan}, {"lie_deg": 20.0}])
def test_what_is_no_putter_is_refused(body, wrong):
    with pytest.raises(UsageError, match="out of range"):
        hold_putter(body, **wrong)


def test_where_the_wanted_setup_is_impossible_nothing_is_held():
    body = find_fitted_body(
        None, STUDENT, wanted=WantedSetup(hand_offset_cm=25.0, elbow_depth_cm=15.0), curves="left out"
    )
    assert not body.fit.putter_length
    assert hold_putter(body) is None
