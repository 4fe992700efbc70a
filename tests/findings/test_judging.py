"""How a number lies to a band, against a published standard and a reference library."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_up_setups import fit_of, posture_of, student_of
from scipy import stats

from putt_posture.findings import PUTTER_IN_USE, judge_all, load_coach_file
from putt_posture.findings.coach_file import BandRule
from putt_posture.findings.judging import judge
from putt_posture.values import Estimate, absent


def band(**ends) -> BandRule:
    return BandRule(by_eye="Look.", source="made up", **ends)


def number(value: float, sd: float) -> Estimate:
    return Estimate(value=value, standard_uncertainty=sd, unit="cm", method="made up")


def test_one_limit_agrees_with_the_example_of_the_standard():
    # JCGM 106:2012, 7.4, from memory: breakdown voltage -5.47 V, u = 0.05 V, upper limit -5.40 V: 92 % conform.
    judged = judge("hand_offset", number(-5.47, 0.05), band(high=-5.40), wanted=None)
    assert 1 - judged.above == pytest.approx(0.92, abs=0.005)
    assert judged.below == 0
    assert judged.lies == "unsure"


def test_two_limits_agree_with_the_example_of_the_standard():
    # JCGM 106:2012, 7.5, from memory: viscosity 13.6 mm2/s, u = 1.8, limits 12.5 and 16.3: it conforms with 66 %.
    judged = judge("hand_offset", number(13.6, 1.8), band(low=12.5, high=16.3), wanted=None)
    assert 1 - judged.above - judged.below == pytest.approx(0.66, abs=0.005)


@given(
    value=st.floats(-50, 50), sd=st.floats(0.1, 20), below=st.floats(0, 20), above=st.floats(0, 20), own=st.floats(0, 5)
)
def test_the_probabilities_are_those_of_the_normal_difference(value, sd, below, above, own):
    judged = judge("hand_offset", number(value, sd), band(below=below, above=above), wanted=number(2.0, own))
    reference = stats.norm(loc=value - 2.0, scale=(sd**2 + own**2) ** 0.5)  # scipy.stats, as a reference
    assert judged.below == pytest.approx(reference.cdf(-below), abs=1e-9)
    assert judged.above == pytest.approx(reference.sf(above), abs=1e-9)


@pytest.mark.parametrize(
    ("value", "lies"),
    [(0.0, "within"), (2.1, "within"), (2.5, "unsure"), (3.5, "unsure"), (3.9, "outside"), (-9.0, "outside")],
)
def test_outside_and_within_are_said_only_where_they_are_sure(value, lies):
    assert judge("hand_offset", number(value, 0.5), band(low=-3.0, high=3.0), wanted=None).lies == lies


def test_a_number_without_uncertainty_is_on_one_side():
    rule = band(high=3.0)
    assert judge("hand_offset", number(3.1, 0.0), rule, wanted=None).lies == "outside"
    assert judge("hand_offset", number(2.9, 0.0), rule, wanted=None).lies == "within"


def test_what_is_absent_is_not_judged():
    judged = judge("hand_offset", absent("The hands are hidden.", unit="cm"), band(high=3.0), wanted=None)
    assert judged.lies == "absent"
    no_fit = judge("hand_offset", number(1, 1), band(above=3), wanted=absent("No length was found.", unit="cm"))
    assert no_fit.lies == "absent"
    assert no_fit.estimate.absent == "No length was found."


def test_the_typed_length_goes_before_the_measured_one():
    coach = load_coach_file()
    typed = judge_all(posture_of(), fit_of(), student_of(putter_length_cm=91.4), coach)[PUTTER_IN_USE]
    seen = judge_all(posture_of(), fit_of(), student_of(putter_length_cm=None), coach)[PUTTER_IN_USE]
    assert typed.estimate.value == 91.4
    assert seen.estimate.value == 84.0
    assert typed.sd < seen.sd


def test_every_band_of_the_shipped_file_is_judged():
    coach = load_coach_file()
    judged = judge_all(posture_of(), fit_of(), student_of(), coach)
    assert set(judged) == set(coach.bands)
    assert all(each.estimate and each.lies in {"within", "unsure"} for each in judged.values())
