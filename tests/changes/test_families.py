"""Many changes looked at together, against statsmodels' corrections."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.multitest import multipletests

from putt_posture.changes import control_family, control_share, weigh_change
from putt_posture.values import Estimate, absent

CHANCES = st.lists(st.floats(0.0, 8.0), min_size=1, max_size=30)
SAME = 1e-12


def changes(values):
    """Return changes of so many standard uncertainties."""
    found = [Estimate(value=value, standard_uncertainty=1.0, unit="deg") for value in values]
    return {at: weigh_change("spine_tilt", each, each, each) for at, each in enumerate(found)}


@pytest.mark.parametrize(("control", "method"), [(control_family, "holm"), (control_share, "fdr_bh")])
@given(values=CHANCES)
def test_joint_chances_are_those_of_statsmodels(control, method, values) -> None:
    alone = changes(values)
    joint = [each.joint_chance for each in control(alone).values()]
    told = multipletests([each.chance for each in alone.values()], method=method)[1]
    assert joint == pytest.approx(told, abs=SAME)


@given(values=CHANCES)
def test_looking_at_more_never_makes_a_change_of_what_is_none_alone(values) -> None:
    for control in (control_family, control_share):
        for each in control(changes(values)).values():
            assert each.joint_chance >= each.chance - SAME
            assert each.real <= (each.chance <= 0.05)
            assert not (each.real and each.maybe)


def test_absent_changes_do_not_count_and_stay_as_they_are() -> None:
    none = absent("It is hidden.", unit="deg")
    family = changes([2.5]) | {"gone": weigh_change("spine_tilt", none, none, none)}
    found = control_family(family)
    assert found[0].joint_chance == found[0].chance
    assert math.isnan(found["gone"].joint_chance)
    assert control_share({}) == {}


def test_of_families_without_a_change_one_in_twenty_names_any() -> None:
    drawn = np.random.default_rng(5)
    families = [control_family(changes(drawn.standard_normal(23))) for _ in range(600)]
    named = sum(any(each.real for each in family.values()) for family in families)
    assert named / 600 < 0.05 + 3 * math.sqrt(0.05 * 0.95 / 600)  # three standard errors of 600 draws
    assert named > 0
