"""A back that a person drew replaces the outline that was found, between hips and neck."""

import numpy as np
import pytest
from attrs import evolve

from putt_posture.detection.loading import load_detections
from putt_posture.errors import ArgumentError, UsageError
from putt_posture.lesson import measure_detections
from putt_posture.records import read_result_folder
from putt_posture.values import Given

VIEW = "down_the_line"
SAME_DEG = 2.0
"""A line through some points of the found outline leaves out its small folds."""


@pytest.fixture(scope="module")
def stored(golfer_folder):
    return load_detections(read_result_folder(golfer_folder))


@pytest.fixture(scope="module")
def found(stored):
    return measure_detections(stored.detections, student=stored.student)


def drawn(stored, points):
    given = {VIEW: Given(back_px=tuple((float(u), float(v)) for u, v in points))}
    return measure_detections(stored.detections, student=stored.student, given=given)


@pytest.fixture(scope="module")
def back(found):
    """Nine points of the outline as it was found, from pelvis to neck."""
    line = np.array(found.posture.marks[VIEW]["back"])
    return line[np.linspace(0, len(line) - 1, 9).round().astype(int)]


def test_the_found_outline_drawn_by_hand_gives_the_same_rounding(stored, found, back) -> None:
    again = drawn(stored, back)
    assert again.posture["back_rounding"].value == pytest.approx(found.posture["back_rounding"].value, abs=SAME_DEG)
    np.testing.assert_allclose(
        np.array(again.posture.marks[VIEW]["back"])[[5, -5]],
        np.array(found.posture.marks[VIEW]["back"])[[5, -5]],
        atol=4,
    )


def test_a_rounder_line_gives_a_rounder_back_and_says_that_it_is_by_hand(stored, found, back) -> None:
    result = found.views[VIEW]
    rear = -result.scene.forward
    bulge = np.sin(np.linspace(0, np.pi, len(back)))[:, None] * np.array([rear * 12.0, 0.0])
    rounder = drawn(stored, back + bulge)
    rounding = rounder.posture["back_rounding"]
    assert rounding.value > found.posture["back_rounding"].value + 5
    assert rounding.by_hand == ("back line",)
    assert rounding.automatic == found.posture["back_rounding"].value
    assert rounder.posture["spine_tilt"] == found.posture["spine_tilt"]  # it rests on joints


def test_a_straight_line_is_a_flat_back(stored, found) -> None:
    line = np.array(found.posture.marks[VIEW]["back"])
    straight = line[0] + np.linspace(-0.1, 1.1, 6)[:, None] * (line[-1] - line[0])
    assert drawn(stored, straight).posture["back_rounding"].value == pytest.approx(1.3, abs=0.5)  # CURVE_MISS_DEG


def test_the_order_of_the_points_does_not_matter(stored, back) -> None:
    one, other = (drawn(stored, points).posture["back_rounding"] for points in (back, back[::-1]))
    assert one.value == pytest.approx(other.value, abs=1e-9)


def test_too_few_points_or_none_are_said() -> None:
    with pytest.raises(UsageError, match="3 points; 4 to 100 are needed"):
        Given(back_px=((1.0, 1.0), (2.0, 2.0), (3.0, 3.0)))
    with pytest.raises(ArgumentError, match="two numbers are needed"):
        Given(back_px=(1.0, 2.0, 3.0, 4.0))
    assert evolve(Given(), back_px=()).names() == ()
