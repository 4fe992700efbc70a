"""The adapter against MediaPipe's own landmarker, used directly on the same picture, to the last digit."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from putt_posture.errors import InstallationError
from putt_posture.landmarks import model as model_module
from putt_posture.landmarks import open_pose_model
from putt_posture.landmarks.weights import Weights

PICTURES = Path(__file__).parent / "pictures"

JOINT_PX = 0.06
"""Of the shoulder-to-ankle length: twice the mean error of a joint on rendered golfers (2.7 %)."""


DIRECT = """
import os, sys
import mediapipe
import numpy as np
from mediapipe.tasks.python import BaseOptions, vision
from PIL import Image
from putt_posture.landmarks import load_weights
options = vision.PoseLandmarkerOptions(
    base_options=BaseOptions(model_asset_buffer=load_weights(sys.argv[2]).data),
    num_poses=3,
    output_segmentation_masks=True,
)
picture = np.asarray(Image.open(sys.argv[1]).convert("RGB"))
landmarker = vision.PoseLandmarker.create_from_options(options)
found = landmarker.detect(mediapipe.Image(image_format=mediapipe.ImageFormat.SRGB, data=picture.copy()))
marks = np.array([(mark.x, mark.y, mark.z, mark.visibility) for mark in found.pose_landmarks[0]])
np.savez(sys.argv[3], marks=marks, outline=found.segmentation_masks[0].numpy_view().reshape(picture.shape[:2]))
os._exit(0)  # to close the landmarker would look up a name
"""


@pytest.mark.parametrize("size", ["small", "large"])
def test_landmarks_are_those_of_the_landmarker_itself(golfer, tmp_path, size) -> None:
    direct = tmp_path / "direct.npz"
    subprocess.run([sys.executable, "-c", DIRECT, PICTURES / "golfer_face_on.jpg", size, direct], check=True)
    picture = golfer["face_on"]
    height, width = picture.shape[:2]
    with open_pose_model(size, outline=True) as model:
        (person,) = model.find_people(picture)
    with np.load(direct) as expected:
        marks, outline = expected["marks"], expected["outline"]
    np.testing.assert_array_equal(person.points_px, marks[:, :2] * (width, height))
    np.testing.assert_array_equal(person.visibility, marks[:, 3])
    np.testing.assert_array_equal(person.depth, marks[:, 2] * width)
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


def test_a_picture_without_people_is_an_empty_list(small_model) -> None:
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


def test_mediapipe_is_never_loaded_in_this_process(golfer) -> None:
    code = f"""
import sys
import numpy as np
from PIL import Image
from putt_posture.landmarks import open_pose_model
with open_pose_model("small") as model:
    assert model.find_people(np.asarray(Image.open({str(PICTURES / "golfer_face_on.jpg")!r}).convert("RGB")))
sys.exit("mediapipe" in sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_model_that_follows_shows_a_move_at_once_without_a_lag_of_its_own(golfer) -> None:
    picture, shift = golfer["face_on"], 12
    moved = np.roll(picture, shift, axis=1)
    with open_pose_model("small", people=1, follows=True) as model:
        model.find_people(np.full_like(picture, 128))
        for _ in range(4):
            (before,) = model.find_people(picture)
        (after,) = model.find_people(moved)
    across = np.median((after.points_px - before.points_px)[11:, 0])
    assert across == pytest.approx(shift, abs=0.25 * shift)
