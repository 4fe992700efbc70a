"""The rebuilt setup step by step, and the plan to take home."""

import pytest
from made_up_setups import fit_of, posture_of, student_of

from putt_posture.findings import find_findings, find_steps, load_coach_file, make_plan
from putt_posture.findings.plan import MOST_DRILLS
from putt_posture.values import Interview


def steps_of(changed=None, **given):
    return {each.name: each for each in find_steps(posture_of(changed), fit_of(), student_of(), **given)}


def plan_of(changed=None, interview=None):
    found = find_findings(posture_of(changed), fit_of(), student_of(), interview=interview)
    return make_plan(found, interview=interview)


def test_the_steps_are_those_of_the_file_in_its_order():
    assert list(steps_of()) == [step.name for step in load_coach_file().steps]
    assert list(steps_of())[:4] == ["putter_down", "shoulders_back", "elbows_on_ribs", "tilt_from_hips"]


def test_a_step_has_the_number_as_filmed_and_as_wanted():
    tilt, hands = steps_of({"spine_tilt": 18.0, "hand_offset": 1.0})["tilt_from_hips"].numbers
    assert (tilt.filmed.value, tilt.wanted, tilt.low, tilt.high) == (18.0, 36.0, 30.0, 42.0)
    assert tilt.lies == "outside"
    assert (hands.wanted, hands.low, hands.high) == (0.0, -3.0, 3.0)


def test_a_step_is_outside_if_one_of_its_numbers_is():
    steps = steps_of({"elbow_gap_trail": 12.0})
    assert steps["elbows_on_ribs"].lies == "outside"
    assert steps["putter_down"].lies == "absent"
    assert steps["putter_down"].numbers == ()


def test_a_number_that_is_absent_says_so_in_its_step():
    (number,) = steps_of({"balance": "The toes are hidden."})["weight_forward"].numbers
    assert number.lies == "absent"
    assert number.filmed.absent == "The toes are hidden."


def test_a_step_names_the_limits_that_it_touches():
    steps = steps_of(interview=Interview(limits="back, knee"))
    assert steps["tilt_from_hips"].limits == ("back",)
    assert steps["knees_soft"].limits == ("knee",)
    assert steps["putter_down"].limits == ()


def test_the_plan_is_for_the_first_finding():
    plan = plan_of({"hand_offset": 9.0, "knee_flex": 40.0})
    assert plan.works_on == "hands_outside"
    assert plan.quantity == "hand_offset"
    assert plan.now == "9.0 ± 5.1\N{NO-BREAK SPACE}cm outside"
    assert "3.0" in plan.goal
    assert 2 <= len(plan.drills) <= MOST_DRILLS
    assert plan.feel == "My arms hang like ropes."


def test_the_plan_keeps_a_setup_without_findings():
    plan = plan_of()
    assert plan.works_on is None
    assert plan.title == "Keep this setup"
    assert plan.drills


def test_the_plan_asks_for_more_where_nothing_is_certain():
    plan = plan_of({"hand_offset": 4.5})
    assert plan.works_on is None
    assert plan.title == "Find out more first"
    assert "hands outside the shoulders" in plan.change


@pytest.mark.parametrize("limit", ["back", "hip", "shoulder", "balance"])
def test_no_drill_loads_what_has_a_limit(limit):
    loads = {name: set(parts) for name, (_, parts) in load_coach_file().drills.items()}
    for changed in ({"spine_tilt": 18.0}, {"back_rounding": 50.0}, {"balance": 25.0}, {}):
        plan = plan_of(changed, interview=Interview(limits=limit))
        assert all(limit not in loads[drill.name] for drill in plan.drills)
        assert "Ask the doctor or therapist" in " ".join(plan.cautions)


def test_the_plan_promises_nothing_and_says_to_stop_at_pain():
    for changed in ({}, {"hand_offset": 9.0}, {"hand_offset": 4.5}):
        plan = plan_of(changed)
        text = " ".join([plan.change, plan.feel, plan.test, plan.film_again, *plan.cautions])
        assert "Stop at pain" in text
        assert "every three balls" in text
        for word in ("will ", "guarantee", "always", "never "):
            assert word not in text


def test_the_practice_test_is_the_published_one():
    # Robertson and others 2015, Eur. J. Sport Sci. 15:123: 36 putts, six each from six distances (secondary).
    assert plan_of().test.startswith("36 putts, six each from 0.9, 1.5, 3.0, 4.6, 6.1 and 7.6 m")
