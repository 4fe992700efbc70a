"""The adapter against MediaPipe's own landmarker, used directly on the same picture."""

import subprocess
import sys

import mediapipe
import numpy as np
import pytest
from mediapipe.tasks.python import BaseOptions, vision

from putt_posture.errors import InstallationError
from putt_posture.landmarks import load_weights, open_pose_model
from putt_posture.landmarks import model as model_module
from putt_posture.landmarks.weights import Weights

SAME_PX = 1e-3
"""The same numbers, but for their way through 32-bit floats."""

JOINT_PX = 0.06
"""Of the shoulder-to-ankle length: twice the mean error of a joint on rendered golfers (2.7 %)."""


@pytest.mark.parametrize("size", ["small", "large"])
def test_landmarks_are_those_of_the_landmarker_itself(golfer, size) -> None:
    picture = golfer["face_on"]
    height, width = picture.shape[:2]
    options = vision.PoseLandmarkerOptions(
        base_options=BaseOptions(model_asset_buffer=load_weights(size).data),
        num_poses=3,
        output_segmentation_masks=True,
    )
    with vision.PoseLandmarker.create_from_options(options) as landmarker:
        direct = landmarker.detect(mediapipe.Image(image_format=mediapipe.ImageFormat.SRGB, data=picture.copy()))
    with open_pose_model(size, outline=True) as model:
        (person,) = model.find_people(picture)
    expected = np.array([(mark.x * width, mark.y * height) for mark in direct.pose_landmarks[0]])
    np.testing.assert_allclose(person.points_px, expected, atol=SAME_PX)
    np.testing.assert_allclose(person.visibility, [mark.visibility for mark in direct.pose_landmarks[0]], atol=1e-6)
    np.testing.assert_allclose(person.depth, [mark.z * width for mark in direct.pose_landmarks[0]], atol=SAME_PX)
    outline = direct.segmentation_masks[0].numpy_view().reshape(height, width)
    assert np.abs(person.mask / 255 - outline).max() <= 0.5 / 255 + 1e-6


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_joints_lie_near_those_that_were_rendered(small_model, golfer, joints, view) -> None:
    (person,) = small_model.find_people(golfer[view])
    from putt_posture.values import LANDMARK_INDEX

    known = {name: point for name, point in joints[view].items() if view == "face_on" or name.startswith("right")}
    body = np.hypot(*np.subtract(joints[view]["left_shoulder"], joints[view]["left_ankle"]))
    errors = [np.hypot(*(person.points_px[LANDMARK_INDEX[name]] - point)) / body for name, point in known.items()]
    assert np.mean(errors) < JOINT_PX


def test_mask_covers_the_trunk_and_not_the_wall(small_model, golfer) -> None:
    (person,) = small_model.find_people(golfer["face_on"])
    assert person.mask.dtype == np.uint8
    assert person.mask.shape == golfer["face_on"].shape[:2]
    u, v = person.torso.mean(axis=0).astype(int)
    assert person.mask[v, u] > 200
    assert person.mask[100, 500] < 50


def test_picture_need_not_be_contiguous(small_model, golfer) -> None:
    padded = np.zeros((960, 600, 3), dtype=np.uint8)
    padded[:, 30:570] = golfer["face_on"]
    (straight,) = small_model.find_people(golfer["face_on"])
    (cut,) = small_model.find_people(padded[:, 30:570])
    np.testing.assert_array_equal(straight.points_px, cut.points_px)


def test_nobody_is_an_empty_list(small_model) -> None:
    assert small_model.find_people(np.full((480, 640, 3), 90, dtype=np.uint8)) == []


def test_no_mask_comes_without_outline(golfer) -> None:
    with open_pose_model("small") as model:
        (person,) = model.find_people(golfer["face_on"])
    assert person.mask is None


def test_weights_that_mediapipe_refuses_are_said_in_one_sentence(monkeypatch) -> None:
    monkeypatch.setattr(model_module, "load_weights", lambda size: Weights(name="x.task", sha256="0" * 64, data=b"no"))
    with (
        pytest.raises(InstallationError, match=r"mediapipe refused the pose model x\.task") as caught,
        open_pose_model(),
    ):
        pass
    assert "\n" not in str(caught.value)


def test_importing_the_package_does_not_import_mediapipe() -> None:
    code = "import sys, putt_posture.landmarks; sys.exit('mediapipe' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0
