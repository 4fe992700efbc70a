"""Hidden feet are recognised by the mask and by the model's scores, and what needs them is absent."""

import numpy as np
import pytest
from attrs import evolve
from stick_golfer import Camera, Golfer, result_of, see, student_of

from putt_posture.landmarks import without_hidden_feet
from putt_posture.landmarks.outline import FEET_SEEN, SURELY_HIDDEN
from putt_posture.measures import measure_posture
from putt_posture.scene import Seen, read_scenes
from putt_posture.values import LANDMARK_INDEX, LANDMARK_NAMES, Given, Landmarks, View

FEET = [name for name in LANDMARK_NAMES if name.endswith(("ankle", "heel", "foot_index"))]
NEEDS_FEET = {
    "down_the_line": ("balance", "hand_height", "knee_flex", "ball_distance", "shaft_lie", "putter_length"),
    "face_on": ("stance_width", "ball_position", "sideways_balance"),
}


def with_scores(landmarks: Landmarks, score: float, *, frames: slice = slice(None), side: str = "") -> Landmarks:
    scores = landmarks.visibility.copy()
    for name in FEET:
        if name.startswith(side):
            scores[frames, LANDMARK_INDEX[name]] = score
    return evolve(landmarks, visibility=scores)


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_feet_of_low_scores_are_unseen_in_their_setup_and_nothing_else_is(view) -> None:
    setups = np.array([0, 0, 0, 1, 1, 1])
    found = evolve(see(Golfer(), Camera(view=view), frames=6), setup_index=setups)
    left = without_hidden_feet(with_scores(found, 0.6, frames=slice(0, 2)))
    feet = [LANDMARK_INDEX[name] for name in FEET]
    assert np.isnan(left.points_px[:3, feet]).all()
    np.testing.assert_array_equal(left.points_px[3:], found.points_px[3:])
    np.testing.assert_array_equal(np.delete(left.points_px, feet, axis=1), np.delete(found.points_px, feet, axis=1))


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_feet_of_usual_scores_are_kept(view) -> None:
    found = with_scores(see(Golfer(), Camera(view=view)), FEET_SEEN[view] + 0.01)
    assert without_hidden_feet(found) is found


def test_down_the_line_the_far_foot_may_be_hidden_by_the_near_one() -> None:
    found = with_scores(see(Golfer(), Camera()), 0.05, side="left")
    assert without_hidden_feet(found) is found


def with_mask(landmarks: Landmarks, *, down_to: float) -> Landmarks:
    """The mask of a person who is seen down to this share of the way from the ankles to the soles, 1 being all."""
    width, height = landmarks.size_px
    feet = landmarks.points_px[0, [LANDMARK_INDEX[name] for name in FEET], 1]
    mask = np.zeros((height, width), dtype=np.uint8)
    mask[: int(feet.min() + down_to * (feet.max() - feet.min())) + (20 if down_to == 1 else 0)] = 255
    masks = np.repeat(mask[None], len(landmarks.points_px), axis=0)
    return evolve(landmarks, masks=masks, mask_box_px=(0, 0, width, height))


@pytest.mark.parametrize("score", [0.61, 0.97])
def test_feet_in_the_open_are_kept_whatever_the_scores_down_the_line(score) -> None:
    found = with_mask(with_scores(see(Golfer(), Camera()), score), down_to=1)
    assert without_hidden_feet(found) is found


@pytest.mark.parametrize("score", [0.61, 0.97])
def test_feet_that_the_mask_leaves_out_are_unseen_whatever_the_scores_down_the_line(score) -> None:
    found = with_mask(with_scores(see(Golfer(), Camera()), score), down_to=0.2)
    left = without_hidden_feet(found)
    assert np.isnan(left.points_px[:, [LANDMARK_INDEX[name] for name in FEET]]).all()


@pytest.mark.parametrize(("down_to", "hidden"), [(1, False), (0.2, True)])
def test_feet_of_low_scores_are_kept_face_on_only_where_the_mask_holds_them_whole(down_to, hidden) -> None:
    found = with_mask(with_scores(see(Golfer(), Camera(view="face_on")), 0.7), down_to=down_to)
    assert np.isnan(without_hidden_feet(found).middle("ankle")).all() == hidden


def test_feet_of_the_lowest_scores_are_unseen_though_the_mask_covers_what_is_before_them() -> None:
    found = with_mask(with_scores(see(Golfer(), Camera()), SURELY_HIDDEN - 0.01), down_to=1)
    assert np.isnan(without_hidden_feet(found).points_px[:, [LANDMARK_INDEX[name] for name in FEET]]).all()


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_what_needs_the_feet_is_absent_with_the_reason_and_the_rest_is_measured(view: View) -> None:
    golfer = Golfer()
    student = student_of(golfer)
    results = {}
    for each in ("down_the_line", "face_on"):
        result = result_of(golfer, Camera(view=each))
        if each == view:
            landmarks = without_hidden_feet(with_scores(result.landmarks, 0.55))
            result = evolve(result, landmarks=landmarks, joints=landmarks)
        results[each] = result
    blank = np.full((1920, 1080, 3), 128, dtype=np.uint8)
    seen = {each: Seen(landmarks=one.joints, picture=blank, given=Given()) for each, one in results.items()}
    scenes = read_scenes(seen, student)
    assert any("feet are cut off or hidden" in warning for warning in scenes[view].warnings)
    posture = measure_posture({each: evolve(one, scene=scenes[each]) for each, one in results.items()}, student)
    for name in NEEDS_FEET[view]:
        assert not posture[name], name
        assert posture[name].absent, name
    measured = ("spine_tilt", "head_drop", "hand_offset", "side_bend", "shoulder_level", "elbow_bend_lead")
    whole = measure_posture({each: result_of(golfer, Camera(view=each)) for each in results}, student)
    for name in measured:
        assert posture[name], posture[name].absent
        assert posture[name].value == pytest.approx(whole[name].value, abs=max(1.0, posture[name].margin)), name
