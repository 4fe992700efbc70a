"""Looking and measuring apart give what both in one give."""

from pathlib import Path

import pytest

from putt_posture.clips import read_clip
from putt_posture.errors import UsageError
from putt_posture.lesson import measure_lesson, measure_looks
from putt_posture.look import look_at_clips
from putt_posture.report import fit_as_json
from putt_posture.scene import Given
from putt_posture.values import Student

PICTURES = Path(__file__).parent / "landmarks" / "pictures"
STILLS = {"down_the_line": PICTURES / "golfer_down_the_line.jpg", "face_on": PICTURES / "golfer_face_on.jpg"}
STUDENT = Student(stature_cm=175.0, handed="right", sex="male")


@pytest.fixture(scope="module")
def looks():
    return look_at_clips({view: read_clip(path, view=view) for view, path in STILLS.items()})


def test_measuring_what_was_seen_is_measuring_the_clips(looks) -> None:
    whole = measure_lesson(student=STUDENT, **STILLS, camera_roll_deg={"face_on": 1.0})
    apart = measure_looks(looks, student=STUDENT, given={"face_on": Given(roll_deg=1.0)})
    assert apart.posture.estimates == whole.posture.estimates
    assert fit_as_json(apart.fit) == fit_as_json(whole.fit)
    assert apart.warnings == whole.warnings
    assert apart.views["face_on"].scene.roll.value == 1.0


def test_one_look_serves_two_students(looks) -> None:
    short, tall = (
        measure_looks(looks, student=Student(stature_cm=stature, handed="right", sex="male"))
        for stature in (160.0, 192.0)
    )
    assert tall.posture["hand_height"].value / short.posture["hand_height"].value == pytest.approx(192 / 160, rel=0.02)


def test_student_who_cannot_be_is_refused_before_anything_is_measured(looks) -> None:
    with pytest.raises(UsageError):
        measure_looks(looks, student=Student(stature_cm=17.0, handed="right", sex="male"))
