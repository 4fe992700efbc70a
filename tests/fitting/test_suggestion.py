import math

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.body import find_grip_distance, predict, predict_joint_length
from putt_posture.errors import UsageError
from putt_posture.fitting import find_hand_height, find_putter_length, fit_putter
from putt_posture.fitting.evidence import MODEL_SD, TRUNK_SHARE
from putt_posture.fitting.inputs import read_inputs
from putt_posture.fitting.rules import keep_length_to_rules
from putt_posture.values import MEASURES, NORMAL_95, Estimate, Posture, Student, absent

STUDENT = Student(stature_cm=176.5, handed="right", sex="male")

SIGMAS = {"spine_tilt": 4.0, "hand_offset": 2.0, "hand_height": 1.5, "shaft_lie": 1.5, "knee_flex": 5.0}

GRIP_RANGE_CM = (5.0, 12.0)
"""From hands at the very top of the grip to its middle: a putter grip is some 26 cm long (common practice)."""

TRADE_LENGTH_IN = 33.0
"""What a man of 5 ft 9 to 10 in who stands tall over a 35 inch putter is usually moved to (common practice)."""

TRADE_TOLERANCE_IN = 0.75
"""The trunk's share was centred on this fact; the rest is the range of statures and tilts that it is told of."""

SAMPLING_TOLERANCE = 0.02
"""Share; 4096 evenly spread points against 400 000 drawn ones."""


def posture(**values):
    estimates = {name: absent(f"No {name} seen.", unit=unit) for name, (unit, _) in MEASURES.items()}
    for name, value in values.items():
        estimates[name] = Estimate(
            value=value, standard_uncertainty=SIGMAS.get(name, 3.0), unit=MEASURES[name][0], frames=9
        )
    return Posture(estimates=estimates)


def length_of(fit, name):
    return next(one.length for one in fit.evidence if one.name == name)


def names_of(fit):
    return [one.name for one in fit.evidence]


tilts = st.floats(min_value=15, max_value=35)
offsets = st.floats(min_value=-8, max_value=8)
heights = st.floats(min_value=60, max_value=85)


@given(tilts, offsets, heights)
def test_higher_hands_take_a_longer_putter(tilt, offset, height):
    low, high = (
        fit_putter(posture(spine_tilt=tilt, hand_offset=offset, hand_height=h), STUDENT).putter_length.value
        for h in (height, height + 1)
    )
    assert high - low == pytest.approx(1 / math.sin(math.radians(71)), rel=1e-6)


@given(tilts, st.floats(min_value=0, max_value=8), heights)
def test_hands_farther_outside_the_shoulders_take_a_shorter_putter(tilt, offset, height):
    near, far = (
        fit_putter(posture(spine_tilt=tilt, hand_offset=o, hand_height=height), STUDENT).putter_length.value
        for o in (offset, offset + 1)
    )
    assert far < near


@given(tilts, heights)
def test_hands_inside_the_shoulders_take_a_longer_putter(tilt, height):
    under, inside = (
        fit_putter(posture(spine_tilt=tilt, hand_offset=o, hand_height=height), STUDENT).putter_length.value
        for o in (0.0, -4.0)
    )
    assert inside > under


@given(tilts, heights, st.floats(min_value=66, max_value=78))
def test_hands_already_under_the_shoulders_keep_the_filmed_length(tilt, height, lie):
    fit = fit_putter(posture(spine_tilt=tilt, hand_offset=0.0, hand_height=height, shaft_lie=lie), STUDENT)
    assert fit.putter_length.value == pytest.approx(length_of(fit, "measured_setup").value)
    assert fit.putter_length.value == pytest.approx(
        float(find_putter_length(height, lie, find_grip_distance(STUDENT).value))
    )
    assert fit.lie.value == lie


@given(tilts, offsets, heights, st.sampled_from(["right", "left"]))
def test_a_left_hander_gets_the_putter_of_a_right_hander(tilt, offset, height, handed):
    seen = posture(spine_tilt=tilt, hand_offset=offset, hand_height=height)
    mirrored = fit_putter(seen, evolve(STUDENT, handed=handed))
    assert mirrored == fit_putter(seen, STUDENT)


@given(tilts, st.floats(min_value=1, max_value=8), heights)
def test_the_suggestion_lies_between_tilting_alone_and_the_arms_alone(tilt, offset, height):
    fit = fit_putter(posture(spine_tilt=tilt, hand_offset=offset, hand_height=height), STUDENT)
    trunk, arms = length_of(fit, "trunk_only").value, length_of(fit, "same_tilt").value
    assert trunk < fit.putter_length.value < arms < length_of(fit, "measured_setup").value


@given(tilts, offsets, heights)
def test_stock_length_is_the_nearest_half_inch(tilt, offset, height):
    fit = fit_putter(posture(spine_tilt=tilt, hand_offset=offset, hand_height=height), STUDENT)
    assert fit.stock_length_in * 2 == int(fit.stock_length_in * 2)
    assert abs(fit.stock_length_in - fit.putter_length.value / 2.54) <= 0.25 + 1e-9


@pytest.mark.parametrize("tilt", [24.0, 26.0, 28.0])
@pytest.mark.parametrize("stature", [175.3, 177.8])
def test_a_man_standing_tall_over_a_35_inch_putter_is_moved_to_about_33(tilt, stature):
    student = evolve(STUDENT, stature_cm=stature, putter_length_cm=35 * 2.54)
    height = float(find_hand_height(35 * 2.54, 71.0, find_grip_distance(student).value))
    fit = fit_putter(posture(spine_tilt=tilt, hand_offset=10.0, hand_height=height), student)
    assert fit.putter_length.value / 2.54 == pytest.approx(TRADE_LENGTH_IN, abs=TRADE_TOLERANCE_IN)
    assert fit.putter_length.low / 2.54 < TRADE_LENGTH_IN < fit.putter_length.high / 2.54
    tables = length_of(fit, "stature")
    assert tables.low / 2.54 < TRADE_LENGTH_IN < tables.high / 2.54
    apart = math.hypot(tables.standard_uncertainty, fit.putter_length.standard_uncertainty)
    assert abs(tables.value - fit.putter_length.value) < NORMAL_95 * apart


@pytest.mark.parametrize(
    ("name", "drop"),
    # Trunk 50 cm from 30° (cos 0.866025). All 10 cm by the trunk: sin θ' = 0.7, cos θ' = √0.51 = 0.714143. Its share of
    # 0.65: sin θ' = 0.5 + 6.5 / 50 = 0.63, cos θ' = √0.6031 = 0.776595. The arm's slack is reach − √(reach² − 100).
    [("trunk_only", 7.5941), ("hands_under_shoulders", 4.4715), ("same_tilt", 0.0)],
)
def test_each_way_to_take_up_the_offset_follows_the_hand_worked_case(name, drop):
    trunk = Estimate(value=50.0, standard_uncertainty=1.0, unit="cm")
    seen = posture(
        spine_tilt=30.0, hand_offset=10.0, hand_height=76.0, shaft_lie=70.0, elbow_bend_lead=0.0, elbow_bend_trail=0.0
    )
    fit = fit_putter(seen, STUDENT, trunk_length=trunk)
    straight = sum(_joint(part) for part in ("upper_arm", "forearm", "wrist_to_hand_centre"))
    reach = math.sqrt(straight**2 - (_joint("shoulder_width") / 2 - 3.0) ** 2)
    height = 76.0 - drop - (reach - math.sqrt(reach**2 - 100))
    expected = height / math.sin(math.radians(70)) + find_grip_distance(STUDENT).value
    assert length_of(fit, name).value == pytest.approx(expected, abs=1e-3)
    assert TRUNK_SHARE.value == 0.65
    assert fit.putter_length == length_of(fit, "hands_under_shoulders")


@pytest.mark.parametrize("name", ["spine_tilt", "hand_offset", "hand_height"])
def test_length_is_absent_with_the_reason_when_a_measure_is_missing(name):
    seen = {"spine_tilt": 26.0, "hand_offset": 8.0, "hand_height": 74.0}
    del seen[name]
    fit = fit_putter(posture(**seen), evolve(STUDENT, putter_length_cm=88.9))
    assert not fit.putter_length
    assert f"No {name} seen." in fit.putter_length.absent
    assert fit.stock_length_in is None
    assert "hands_under_shoulders" not in names_of(fit)
    assert names_of(fit)[-1] == "current_putter"
    assert ("measured_setup" in names_of(fit)) == (name != "hand_height")


@pytest.mark.parametrize(
    ("tilt", "offset", "words"),
    [(50.0, 10.0, "more than the 60°"), (50.0, 25.0, "beyond the horizontal"),
     (5.0, -15.0, "lean the student backward"), (26.0, 70.0, "farther than the arms reach")],
)  # fmt: skip
def test_length_is_absent_when_the_shoulders_cannot_come_over_the_hands(tilt, offset, words):
    fit = fit_putter(posture(spine_tilt=tilt, hand_offset=offset, hand_height=70.0), STUDENT)
    assert words in fit.putter_length.absent
    assert names_of(fit) == ["measured_setup"]


def test_trunk_alone_is_left_out_where_it_would_bend_too_far():
    # sin 45° + 10 / 50 = 0.907, 65°; with 6.5 cm by the trunk, 0.837, 57°.
    trunk = Estimate(value=50.0, standard_uncertainty=1.0, unit="cm")
    fit = fit_putter(posture(spine_tilt=45.0, hand_offset=10.0, hand_height=70.0), STUDENT, trunk_length=trunk)
    assert fit.putter_length
    assert "trunk_only" not in names_of(fit)
    assert any("Tilting to 57°" in one for one in fit.assumptions)


def test_arms_alone_keep_a_tilt_that_is_out_of_range():
    # The hands are inside the shoulders, so that the suggestion straightens the student into the range.
    fit = fit_putter(posture(spine_tilt=62.0, hand_offset=-10.0, hand_height=60.0), STUDENT)
    assert fit.putter_length
    assert length_of(fit, "same_tilt").value < length_of(fit, "measured_setup").value


def test_length_is_absent_when_the_scale_makes_a_giant_putter():
    fit = fit_putter(posture(spine_tilt=20.0, hand_offset=2.0, hand_height=170.0), STUDENT)
    assert "longer than any putter" in fit.putter_length.absent


def test_unmeasured_lie_is_the_usual_one_and_says_so():
    fit = fit_putter(posture(spine_tilt=26.0, hand_offset=5.0, hand_height=74.0), STUDENT)
    assert (fit.lie.value, fit.lie.standard_uncertainty) == (71.0, 1.5)
    assert any("lie was not measured" in one for one in fit.assumptions)


def test_a_lie_that_no_putter_has_is_not_believed():
    fit = fit_putter(posture(spine_tilt=26.0, hand_offset=5.0, hand_height=74.0, shaft_lie=30.0), STUDENT)
    assert fit.lie.value == 71.0
    assert any("cannot be a putter's" in one for one in fit.assumptions)


def test_lie_is_kept_to_the_rules():
    # The R&A and USGA, Equipment Rules, Part 2, 1d(i): the shaft diverges from the vertical by at least 10°.
    fit = fit_putter(posture(spine_tilt=26.0, hand_offset=5.0, hand_height=74.0, shaft_lie=84.0), STUDENT)
    assert fit.lie.value == 80.0
    assert any("Equipment Rules" in one for one in fit.assumptions)


def test_length_is_kept_to_the_rules():
    # The R&A and USGA, Equipment Rules, Part 2, 1c: not less than 18 inches.
    child = Student(stature_cm=100.0, handed="right")
    fit = fit_putter(posture(spine_tilt=26.0, hand_offset=3.0, hand_height=36.0), child)
    assert fit.putter_length.value == pytest.approx(18 * 2.54)
    assert fit.stock_length_in == 18
    assert any("18 inches" in one for one in fit.assumptions)
    kept, says = keep_length_to_rules(Estimate(value=90.0, standard_uncertainty=1.0, unit="cm"))
    assert (kept.value, says) == (90.0, None)


def test_surer_measures_give_a_narrower_interval():
    # All at once: errors that cancel each other do so less when one of them alone is made small.
    seen = posture(spine_tilt=26.0, hand_offset=8.0, hand_height=74.0)
    names = ("spine_tilt", "hand_offset", "hand_height")
    halved = {name: evolve(seen[name], standard_uncertainty=seen[name].standard_uncertainty / 2) for name in names}
    wide, narrow = (
        fit_putter(one, STUDENT).putter_length for one in (seen, Posture(estimates=seen.estimates | halved))
    )
    assert narrow.standard_uncertainty < wide.standard_uncertainty


@pytest.mark.parametrize("putter", [None, 88.9])
def test_interval_agrees_with_chance(putter):
    # Outside check: numpy's multivariate normal, and the formulas of the hand-worked cases written out again. Errors of
    # tilt, offset and hand height are correlated by −0.48, −0.43 and −0.10 (accuracy study on 40 rendered golfers).
    seen = posture(spine_tilt=26.0, hand_offset=8.0, hand_height=74.0, shaft_lie=70.0)
    student = evolve(STUDENT, putter_length_cm=putter)
    fit = fit_putter(seen, student)
    inputs = read_inputs(seen, student)
    sigma = np.array([4.0, 2.0, 1.5])
    matrix = np.array([[1, -0.48, -0.10], [-0.48, 1, -0.43], [-0.10, -0.43, 1]]) * np.outer(sigma, sigma)
    rng = np.random.default_rng(4)
    tilt, offset, hand_height = rng.multivariate_normal([26.0, 8.0, 74.0], matrix, size=400_000).T
    others = [inputs.trunk, inputs.reach, inputs.lie, inputs.grip_distance, TRUNK_SHARE, MODEL_SD]
    trunk, reach, lie, grip, share, model = (
        rng.normal(one.value, one.standard_uncertainty, size=tilt.size) for one in others
    )
    new = hand_height - trunk * (
        np.cos(np.radians(tilt)) - np.sqrt(1 - (np.sin(np.radians(tilt)) + share * offset / trunk) ** 2)
    )
    new += model - (reach - np.sqrt(reach**2 - offset**2))
    length, now = (height / np.sin(np.radians(lie)) + grip for height in (new, hand_height))
    if putter:
        # Tape 0.3 cm, gripping down 1.3 cm (common practice).
        variance = 0.3**2 + 1.3**2
        weight = np.var(now) / (np.var(now) + variance)
        length = length + weight * (rng.normal(putter, math.sqrt(variance), size=tilt.size) - now)
    assert fit.putter_length.value == pytest.approx(np.mean(length), abs=0.2)
    assert fit.putter_length.standard_uncertainty == pytest.approx(np.std(length), rel=SAMPLING_TOLERANCE)


@given(tilts, offsets, heights, st.floats(min_value=75, max_value=100))
def test_putter_in_use_pulls_the_suggestion_and_narrows_it(tilt, offset, height, putter):
    seen = posture(spine_tilt=tilt, hand_offset=offset, hand_height=height)
    alone, anchored = (fit_putter(seen, evolve(STUDENT, putter_length_cm=one)) for one in (None, putter))
    filmed = length_of(alone, "measured_setup").value
    pulled = anchored.putter_length.value - alone.putter_length.value
    assert min(0, putter - filmed) - 1e-9 <= pulled <= max(0, putter - filmed) + 1e-9
    assert anchored.putter_length.standard_uncertainty < alone.putter_length.standard_uncertainty
    assert length_of(anchored, "measured_setup") == length_of(alone, "measured_setup")


def test_putter_in_use_is_weighed_by_precision():
    # Hands under the shoulders, so that nothing changes but the weighing: mean of filmed and typed length by 1 / σ².
    seen = posture(spine_tilt=26.0, hand_offset=0.0, hand_height=74.0, shaft_lie=70.0)
    fit = fit_putter(seen, evolve(STUDENT, putter_length_cm=84.0))
    filmed = length_of(fit, "measured_setup")
    precisions = np.array([1 / filmed.standard_uncertainty**2, 1 / (0.3**2 + 1.3**2)])
    expected = float(np.average([filmed.value, 84.0], weights=precisions))
    assert fit.putter_length.value == pytest.approx(expected)
    assert any(f"taken as {expected:.1f} cm" in one for one in fit.assumptions)


@given(tilts, st.floats(min_value=0, max_value=8), heights, st.floats(min_value=80, max_value=95))
def test_a_longer_putter_in_use_takes_a_longer_putter(tilt, offset, height, putter):
    seen = posture(spine_tilt=tilt, hand_offset=offset, hand_height=height)
    short, long = (
        fit_putter(seen, evolve(STUDENT, putter_length_cm=one)).putter_length.value for one in (putter, putter + 1)
    )
    assert 0 < long - short < 1


def test_uncertainty_agrees_with_linear_propagation():
    # JCGM 100:2008 (GUM), 5.1.2, with numerical derivatives, for the setup as filmed.
    seen = posture(spine_tilt=26.0, hand_offset=8.0, hand_height=74.0, shaft_lie=70.0)
    found = length_of(fit_putter(seen, STUDENT), "measured_setup").standard_uncertainty
    grip = find_grip_distance(STUDENT)
    height_part = SIGMAS["hand_height"] / math.sin(math.radians(70))
    lie_part = SIGMAS["shaft_lie"] * float(np.ptp([find_putter_length(74, lie, 0) for lie in (69.5, 70.5)]))
    assert found == pytest.approx(math.hypot(height_part, lie_part, grip.standard_uncertainty), rel=0.02)


def test_current_putter_that_does_not_fit_the_hands_is_pointed_out():
    seen = posture(spine_tilt=26.0, hand_offset=8.0, hand_height=70.0, shaft_lie=71.0)
    long = fit_putter(seen, evolve(STUDENT, putter_length_cm=93.0))
    assert any("grips down" in one for one in long.assumptions)
    fits = fit_putter(seen, evolve(STUDENT, putter_length_cm=82.0))
    assert not any("grips down" in one for one in fits.assumptions)


def test_measured_wrist_height_takes_the_place_of_stature():
    seen = posture(spine_tilt=26.0, hand_offset=8.0, hand_height=74.0)
    alone, taped = fit_putter(seen, STUDENT), fit_putter(seen, evolve(STUDENT, wrist_floor_cm=85.5))
    assert "stature" in names_of(alone)
    assert "wrist_floor" in names_of(taped)
    assert length_of(taped, "wrist_floor").standard_uncertainty < length_of(alone, "stature").standard_uncertainty


def test_cross_check_by_tables_follows_the_hand_worked_case():
    # Tilt 30°, knees 40°, hands under the shoulders, elbows straight. The hips sink by leg · (1 − cos 20° = 0.060307),
    # the shoulders by trunk · (1 − cos 30° = 0.133975) more; shoes lift by 2.5 cm (common practice).
    seen = posture(
        spine_tilt=30.0,
        hand_offset=0.0,
        hand_height=70.0,
        shaft_lie=70.0,
        knee_flex=40.0,
        elbow_bend_lead=0.0,
        elbow_bend_trail=0.0,
    )
    straight = sum(_joint(part) for part in ("upper_arm", "forearm", "wrist_to_hand_centre"))
    turned_in = math.sqrt(straight**2 - (_joint("shoulder_width") / 2 - 3.0) ** 2)
    standing = predict("wrist_height", STUDENT.stature_cm, STUDENT.sex).value - _joint("wrist_to_hand_centre") + 2.5
    height = standing - 0.060307 * _joint("leg") - 0.133975 * _joint("trunk") + straight - turned_in
    expected = height / math.sin(math.radians(70)) + find_grip_distance(STUDENT).value
    assert length_of(fit_putter(seen, STUDENT), "stature").value == pytest.approx(expected, abs=1e-3)


def test_tilting_more_comes_with_the_caution_for_the_back():
    more = fit_putter(posture(spine_tilt=26.0, hand_offset=8.0, hand_height=74.0), STUDENT)
    less = fit_putter(posture(spine_tilt=26.0, hand_offset=-4.0, hand_height=74.0), STUDENT)
    assert any("stop at pain" in one for one in more.assumptions)
    assert not any("stop at pain" in one for one in less.assumptions)
    same = fit_putter(posture(spine_tilt=38.2, hand_offset=0.1, hand_height=71.0), STUDENT)
    assert not any("stop at pain" in one for one in same.assumptions)


@given(st.floats(min_value=110, max_value=215), st.sampled_from(["female", "male", None]))
def test_hands_sit_on_the_upper_half_of_the_grip(stature, sex):
    low, high = GRIP_RANGE_CM
    share = stature / 175
    assert low * min(share, 1) <= find_grip_distance(Student(stature_cm=stature, handed="left", sex=sex)).value <= high


def test_an_impossible_student_is_refused():
    with pytest.raises(UsageError):
        fit_putter(posture(), Student(stature_cm=90.0, handed="right"))


def _joint(name):
    return predict_joint_length(name, STUDENT.stature_cm, STUDENT.sex).value
