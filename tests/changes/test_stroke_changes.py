"""The numbers of the stroke are compared by the rules of the setup, and judged apart from it."""

import math

import numpy as np
import pytest
from attrs import evolve

from putt_posture.changes import find_changes, find_repeats
from putt_posture.changes.change import BETWEEN_STROKES, JUDGED_STROKES
from putt_posture.changes.repeats import JUDGED_FREEDOM
from putt_posture.measures import MEASURES, STROKE_MEASURES
from putt_posture.values import Estimate, Measured, absent


def posture(tilt):
    return {
        name: Estimate(value=tilt, standard_uncertainty=1.0, unit=each.unit, view="down_the_line", budget={"x": 1.0})
        for name, each in MEASURES.items()
    }


def strokes(back, *, sd=0.01, repeats=(), budget=None):
    return {
        name: Estimate(
            value=back, standard_uncertainty=sd, unit=each.unit, view="face_on", repeats=repeats,
            budget={"frames": sd} if budget is None else budget,
        )
        if name == "backswing_time"
        else absent("Not in this test.", unit=each.unit)
        for name, each in STROKE_MEASURES.items()
    }  # fmt: skip


def measured(*parts):
    return Measured(measures={name: each for part in parts for name, each in part.items()})


def test_what_is_said_of_the_setup_does_not_depend_on_the_stroke():
    before, after = posture(20.0), posture(23.5)
    alone = find_changes(measured(before), measured(after))
    beside = find_changes(measured(before, strokes(0.6)), measured(after, strokes(0.9)))
    assert alone.measures == beside.measures
    assert list(alone.measures) == list(MEASURES)
    assert alone.strokes == {}
    assert list(beside.strokes) == list(STROKE_MEASURES)


def test_a_stroke_in_one_lesson_alone_is_absent_with_the_reason():
    found = find_changes(measured(posture(20.0)), measured(posture(20.0), strokes(0.7)))
    change = found.strokes["backswing_time"]
    assert not change.change
    assert "Not measured before" in change.change.absent


def test_one_stroke_on_each_side_is_compared_with_how_much_strokes_are_judged_to_differ():
    found = find_changes(measured(strokes(0.6)), measured(strokes(0.66))).strokes["backswing_time"]
    judged = STROKE_MEASURES["backswing_time"].scatter_sd
    assert found.change.budget[JUDGED_STROKES] == pytest.approx(math.sqrt(2) * judged)
    assert found.change.standard_uncertainty == pytest.approx(math.hypot(math.sqrt(2) * judged, math.sqrt(2) * 0.01))
    assert not found.real


def test_the_strokes_of_both_lessons_say_how_much_they_differ():
    one = (0.60, 0.62, 0.61, 0.63, 0.60)
    two = tuple(each + 0.15 for each in one)
    budget = {BETWEEN_STROKES: 0.006, "frames": 0.002}
    before = strokes(float(np.mean(one)), sd=0.0063, repeats=one, budget=budget)
    after = strokes(float(np.mean(two)), sd=0.0063, repeats=two, budget=budget)
    found = find_changes(measured(before), measured(after)).strokes["backswing_time"]
    judged, own = STROKE_MEASURES["backswing_time"].scatter_sd, np.var(one, ddof=1)
    pooled = math.sqrt((JUDGED_FREEDOM * judged**2 + 8 * own) / (JUDGED_FREEDOM + 8))
    assert found.change.budget[BETWEEN_STROKES] == pytest.approx(math.sqrt(2) * pooled / math.sqrt(5))
    assert found.real


def test_a_change_within_how_strokes_differ_is_none():
    one, two = (0.55, 0.68, 0.61, 0.73, 0.60), (0.60, 0.72, 0.66, 0.70, 0.68)
    found = find_changes(
        measured(strokes(float(np.mean(one)), repeats=one)), measured(strokes(float(np.mean(two)), repeats=two))
    ).strokes["backswing_time"]
    assert not found.real


def test_repeats_of_strokes_are_pooled_over_lessons():
    lessons = [measured(strokes(0.6, repeats=(0.5, 0.7))), measured(strokes(0.6, repeats=(0.6, 0.6, 0.9)))]
    found = find_repeats(lessons)["backswing_time"]
    assert found.degrees_of_freedom == 3
    assert found.sem == pytest.approx(math.sqrt((0.02 + 0.06) / 3))


def test_an_absent_stroke_number_does_not_count_in_its_family():
    first, second = strokes(0.6), strokes(0.95)
    alone = find_changes(measured(first), measured(second)).strokes["backswing_time"]
    assert alone.joint_chance == alone.chance  # of all numbers of the stroke it is the only present one
    other = {**second, "hands_back": evolve(posture(9.0)["spine_tilt"], unit="cm")}
    two = {**first, "hands_back": evolve(posture(9.1)["spine_tilt"], unit="cm")}
    assert find_changes(measured(two), measured(other)).strokes["backswing_time"].joint_chance > alone.joint_chance
