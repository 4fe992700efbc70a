import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.body import JOINT_LENGTHS, predict, predict_joint_length

statures = st.floats(min_value=100, max_value=230)
sexes = st.sampled_from(["female", "male", None])


@given(st.sampled_from(JOINT_LENGTHS), statures, sexes)
def test_every_length_is_positive_with_a_positive_uncertainty(length, stature, sex):
    found = predict_joint_length(length, stature, sex)
    assert found.value > 0
    assert found.standard_uncertainty > 0
    assert found.unit == "cm"


@given(statures, sexes)
def test_parts_add_up_to_the_whole(stature, sex):
    def of(length):
        return predict_joint_length(length, stature, sex).value

    assert of("hip_height") + of("trunk") == pytest.approx(of("shoulder_height"), abs=0.01)
    assert of("thigh") + of("shank") == pytest.approx(of("leg"), abs=0.01)
    assert of("ankle_height") + of("leg") == pytest.approx(of("hip_height"), abs=0.01)
    assert of("upper_arm") + of("forearm") == pytest.approx(of("arm"), abs=0.01)


def test_arm_hangs_from_shoulder_to_wrist_of_an_upright_person():
    # Arm length and the two heights are measured apart from each other in ANSUR II; a hanging arm bends a little.
    for sex, stature in (("female", 162.85), ("male", 175.62)):
        drop = predict_joint_length("shoulder_height", stature, sex).value - predict("wrist_height", stature, sex).value
        assert predict_joint_length("arm", stature, sex).value == pytest.approx(drop, abs=1.5)


def test_measured_wrist_height_sharpens_arm_trunk_and_shoulder():
    for length in ("arm", "upper_arm", "forearm", "trunk", "shoulder_height"):
        alone = predict_joint_length(length, 176, "male")
        taped = predict_joint_length(length, 176, "male", wrist_floor_cm=85)
        assert taped.standard_uncertainty < alone.standard_uncertainty, length


def test_unknown_length_lists_the_known_ones():
    with pytest.raises(KeyError, match=r"tail.*trunk.*hip_width"):
        predict_joint_length("tail", 170)
