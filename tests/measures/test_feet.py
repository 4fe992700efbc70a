"""What hidden feet take away, and a balance in which no one could stand."""

import numpy as np
import pytest
from attrs import evolve
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.measures import measure_posture
from putt_posture.values import LANDMARK_INDEX, Estimate, View


def balance_of(*, view: View, name: str, golfer: Golfer, shift_px: dict[str, float] | None = None) -> Estimate:
    result = result_of(golfer, Camera(view=view))
    points = result.landmarks.points_px.copy()
    for landmark, shift in (shift_px or {}).items():
        points[:, LANDMARK_INDEX[landmark], 0] += shift
    moved = evolve(result.landmarks, points_px=points)
    return measure_posture({view: evolve(result, landmarks=moved, joints=moved)}, student_of(golfer))[name]  # type: ignore[index]


def test_balance_is_present_when_the_whole_foot_is_seen():
    assert balance_of(view="down_the_line", name="balance", golfer=Golfer())


def test_balance_is_absent_when_something_hides_the_toes():
    # 7 cm of a foot of 20 cm at 3.75 px/cm: less than a foot of this stature can look, turned out by 45°.
    toes = dict.fromkeys(("left_foot_index", "right_foot_index"), -7 * 3.75)
    found = balance_of(view="down_the_line", name="balance", golfer=Golfer(), shift_px=toes)
    assert not found
    assert "foot is hidden" in found.absent


def test_balance_beyond_the_feet_is_absent_since_a_still_body_is_over_them():
    feet = [f"{side}_{part}" for side in ("left", "right") for part in ("heel", "foot_index")]
    found = balance_of(view="down_the_line", name="balance", golfer=Golfer(), shift_px=dict.fromkeys(feet, 40 * 3.75))
    assert not found
    assert "outside the feet" in found.absent


@pytest.mark.parametrize(("stance_cm", "told"), [(25.0, True), (2.0, False)])
def test_sideways_balance_is_absent_when_the_ankles_are_seen_together(stance_cm, told):
    found = balance_of(view="face_on", name="sideways_balance", golfer=Golfer(stance_cm=stance_cm))
    assert bool(found) is told
    assert told or "too large to be useful" in found.absent
    assert told or np.isnan(found.value)


def test_hand_height_is_absent_when_no_foot_shows_where_the_ground_is():
    scene = result_of(Golfer(), Camera()).scene
    result = result_of(Golfer(), Camera(), ground_v_px=evolve(scene.ground_v_px, frames=0))
    found = measure_posture({"down_the_line": result}, student_of(Golfer()))
    assert not found["hand_height"]
    assert "ground is not known" in found["hand_height"].absent
    assert found["spine_tilt"]
