"""What two lessons share of their errors: no more than is known, and nothing where they were filmed differently."""

import pytest
from attrs import evolve
from measured_twice import measured, number

from putt_posture.changes import OFFSETS_SHARED, find_shared

OFFSET = number("hand_offset", 9.0)
LESSON = measured(hand_offset=OFFSET, spine_tilt=number("spine_tilt", 30.0))
ALIKE = "renders are not people"


def test_what_renders_miss_alike_is_the_same_in_both_lessons() -> None:
    assert find_shared(ALIKE, "hand_offset", LESSON, LESSON) == OFFSETS_SHARED["down_the_line"]


@pytest.mark.parametrize(
    "cause", ["joints", "scale", "camera roll", "ground", "measure itself", "scatter of the frames", "anything else"]
)
def test_of_no_other_cause_is_anything_taken_to_be_shared(cause) -> None:
    assert find_shared(cause, "hand_offset", LESSON, LESSON) == 0.0


def test_another_landmark_model_misses_the_joints_in_another_way() -> None:
    other = measured(model="pose_small", hand_offset=OFFSET)
    assert find_shared(ALIKE, "hand_offset", LESSON, other) == 0.0


def test_a_model_that_is_not_known_shares_nothing() -> None:
    unknown = evolve(LESSON, landmark_models={})
    assert find_shared(ALIKE, "hand_offset", unknown, unknown) == 0.0


def test_a_measure_from_both_views_shares_only_where_the_same_views_were_filmed() -> None:
    bend = number("elbow_bend_lead", 30.0, view="face_on")
    both = evolve(
        measured(elbow_bend_lead=bend), landmark_models={"down_the_line": "pose_large", "face_on": "pose_large"}
    )
    alone = evolve(both, landmark_models={"face_on": "pose_large"})
    assert find_shared(ALIKE, "elbow_bend_lead", both, both) == OFFSETS_SHARED["face_on"]
    assert find_shared(ALIKE, "elbow_bend_lead", both, alone) == 0.0
