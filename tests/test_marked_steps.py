"""Several times of one clip, each measured as a step of its own; the student is followed once."""

import json
from datetime import date
from pathlib import Path

import pytest

from putt_posture import marked_steps
from putt_posture.errors import ArgumentError, UsageError
from putt_posture.marked_steps import measure_steps
from putt_posture.stages import lay_out_stages
from putt_posture.values import Student

CLIPS = Path(__file__).parents[1] / "sample_clips" / "rebuild"
TRUTH = json.loads((CLIPS / "truth.json").read_text(encoding="utf-8"))["steps"]
STUDENT = Student(stature_cm=173, handed="right", sex="male")
VIEW = "down_the_line"


@pytest.fixture(scope="module")
def followed():
    return []


@pytest.fixture(scope="module")
def lessons(followed):
    follow = marked_steps.follow_in_clips
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            marked_steps, "follow_in_clips", lambda *all, **named: followed.append(1) or follow(*all, **named)
        )
        return measure_steps(
            student=STUDENT,
            steps={step["step"]: {VIEW: [step["at_s"]]} for step in TRUTH},
            down_the_line=CLIPS / f"{VIEW}.mp4",
            without_putter=True,
        )


def test_each_mark_is_a_lesson_with_its_step_and_no_putter(lessons) -> None:
    assert [each.step for each in lessons] == ["Putter out of the hands", "Shoulders back", "Tilt from the hips"]
    assert all(each.without_putter and not each.posture["shaft_lie"] for each in lessons)
    for lesson, step in zip(lessons, TRUTH, strict=True):
        (setup,) = lesson.views[VIEW].setups
        assert setup.moment_s == pytest.approx(step["at_s"], abs=0.1)


def test_student_is_followed_once_for_all_steps(lessons, followed) -> None:
    assert len(lessons) == 3
    assert followed == [1]


def test_tilt_of_each_step_is_that_of_the_truth_within_its_interval(lessons) -> None:
    for lesson, step in zip(lessons, TRUTH, strict=True):
        tilt = lesson.posture["spine_tilt"]
        assert tilt.low <= step["measures"]["spine_tilt"] <= tilt.high


def test_steps_of_one_clip_are_laid_side_by_side(lessons) -> None:
    stages = lay_out_stages(lessons)
    assert stages.whole.measures["spine_tilt"].real
    assert not any("A clip is the same" in each for each in stages.whole.warnings)


def test_steps_of_one_clip_carry_the_day_that_is_given(lessons) -> None:
    stages = lay_out_stages(lessons, day=date(2026, 11, 3))
    assert {stage.lesson.record.made_on for stage in stages.stages} == {date(2026, 11, 3)}
    assert {stage.lesson.record.made_on for stage in lay_out_stages(lessons).stages} == {None}


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        ({}, "steps with their times are needed"),
        ({"nod": {VIEW: [1.0]}}, "no step 'nod'"),
        ({"putter down": {VIEW: [1.0]}, "Putter out of the hands": {VIEW: [4.0]}}, "marked twice"),
        ({"putter down": {"face_on": [1.0]}}, "has no time in a clip that was given"),
        ({"putter down": {}}, "has no time in a clip that was given"),
        ({"putter down": {VIEW: [-1.0]}}, "-1"),
        ({"putter down": {VIEW: [99.0]}}, "outside down_the_line.mp4"),
    ],
)
def test_marks_that_cannot_be_are_one_sentence(steps, says, monkeypatch) -> None:
    monkeypatch.setattr(marked_steps, "follow_in_clips", lambda clips, **_: _none_followed(clips))
    with pytest.raises((UsageError, ArgumentError), match=says):
        measure_steps(student=STUDENT, steps=steps, down_the_line=CLIPS / f"{VIEW}.mp4", without_putter=True)


def _none_followed(clips):
    return dict.fromkeys(clips)
