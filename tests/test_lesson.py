"""Looking and measuring apart give what both in one give."""

from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

from putt_posture.clips import read_clip
from putt_posture.detection.detect import detect_in_clips
from putt_posture.documents import fit_as_json
from putt_posture.errors import SetupNotFound, UsageError
from putt_posture.lesson import measure_detections, measure_lesson
from putt_posture.values import LANDMARK_INDEX, Given, Student

PICTURES = Path(__file__).parent / "landmarks" / "pictures"
STILLS = {"down_the_line": PICTURES / "golfer_down_the_line.jpg", "face_on": PICTURES / "golfer_face_on.jpg"}
STUDENT = Student(stature_cm=175.0, handed="right", sex="male")


@pytest.fixture(scope="module")
def looks():
    return detect_in_clips({view: read_clip(path, view=view) for view, path in STILLS.items()})


def test_measuring_what_was_seen_is_measuring_the_clips(looks) -> None:
    whole = measure_lesson(student=STUDENT, **STILLS, camera_roll_deg={"face_on": 1.0})
    apart = measure_detections(looks, student=STUDENT, given={"face_on": Given(roll_deg=1.0)})
    assert apart.posture.estimates == whole.posture.estimates
    assert fit_as_json(apart.fit) == fit_as_json(whole.fit)
    assert apart.warnings == whole.warnings
    assert apart.views["face_on"].scene.roll.value == 1.0


def test_one_look_serves_two_students(looks) -> None:
    short, tall = (
        measure_detections(looks, student=Student(stature_cm=stature, handed="right", sex="male"))
        for stature in (160.0, 192.0)
    )
    assert tall.posture["hand_height"].value / short.posture["hand_height"].value == pytest.approx(192 / 160, rel=0.02)


def test_student_who_cannot_be_is_refused_before_anything_is_measured(looks) -> None:
    with pytest.raises(UsageError):
        measure_detections(looks, student=Student(stature_cm=17.0, handed="right", sex="male"))


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_where_hidden_ankles_were_seen_moves_no_other_joint(looks, view) -> None:
    def with_ankles_moved(by_px: float):
        landmarks = looks[view].landmarks
        points, scores = landmarks.points_px.copy(), landmarks.visibility.copy()
        feet = [i for name, i in LANDMARK_INDEX.items() if name.endswith(("ankle", "heel", "foot_index"))]
        points[:, feet] += by_px
        scores[:, feet] = 0.5
        look = evolve(looks[view], landmarks=evolve(landmarks, points_px=points, visibility=scores))
        return measure_detections({**looks, view: look}, student=STUDENT)

    seen, moved = (with_ankles_moved(by_px).views[view].joints for by_px in (0.0, -60.0))
    assert np.isnan(seen.middle("ankle")).all()
    for part in ("knee", "hip", "shoulder", "wrist"):
        np.testing.assert_allclose(moved.middle(part), seen.middle(part), atol=1e-6)


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_a_body_that_fits_no_address_is_no_setup(looks, view) -> None:
    landmarks = looks[view].landmarks
    points = landmarks.points_px.copy()
    for side, by_px in (("left", 90.0), ("right", -90.0)):
        for part in ("shoulder", "ear", "eye"):
            points[:, LANDMARK_INDEX[f"{side}_{part}"], 1] += by_px
    turned = evolve(looks[view], landmarks=evolve(landmarks, points_px=points))
    with pytest.raises(SetupNotFound, match="this is not a putting address: shoulders, hips, legs and head"):
        measure_detections({view: turned}, student=STUDENT)
