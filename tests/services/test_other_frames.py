"""Another frame of a clip stands for the lesson: it is looked at alone, and belongs to the lesson from then on."""

import io
import shutil
import sys
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1] / "clips"))

from written_clips import write_clip

from putt_posture.errors import NotAllowed, UsageError
from putt_posture.lesson import measure_lesson
from putt_posture.pages import store_lesson
from putt_posture.records import read_result_folder
from putt_posture.services.correcting import keep_corrected, open_folder_for_correcting
from putt_posture.services.other_frames import STRIP_FRAMES, draw_strip_picture, list_strip, open_at_other_times
from putt_posture.values import Given, Student

VIEW = "down_the_line"
AT_S, LATER_S, RATE = 0.3, 1.5, 10
SHIFT_PX = 24
SAME_PX = 2.0
"""How far the model's landmarks of a moved picture lie from those of the picture, moved (compression, other crops)."""


@pytest.fixture(scope="module")
def clip(golfer_stills, tmp_path_factory):
    """A golfer who stands still; after a second the camera has turned aside."""
    picture = np.asarray(Image.open(golfer_stills[VIEW]).convert("RGB"))
    moved = np.roll(picture, SHIFT_PX, axis=1)
    path = tmp_path_factory.mktemp("filmed") / "side.mp4"
    return write_clip(path, [picture] * RATE + [moved] * RATE, rate_hz=RATE)


@pytest.fixture(scope="module")
def stored(clip, tmp_path_factory):
    student = Student(stature_cm=175.0, handed="right", sex="male")
    lesson = measure_lesson(student=student, down_the_line=clip, setup_at={VIEW: [AT_S]}, setup_only=True)
    return store_lesson(lesson, tmp_path_factory.mktemp("measured") / "report")


@pytest.fixture(scope="module")
def opened(stored):
    return open_folder_for_correcting(stored)


@pytest.fixture(scope="module")
def later(opened, clip):
    given = {VIEW: Given(ball_px=(100.0, 800.0), roll_deg=0.5)}
    return open_at_other_times(evolve(opened, given=given), {VIEW: clip}, {VIEW: LATER_S})


def joints_of(lesson):
    result = lesson.found.views[VIEW]
    return result.joints.points_px[result.still_index]


def test_the_strip_goes_through_the_clip_and_marks_the_setup(opened, clip) -> None:
    strip = list_strip(opened, {VIEW: clip}, VIEW)
    times = [each.time_s for each in strip]
    assert times == sorted(times)
    assert len(strip) > STRIP_FRAMES / 2
    assert [each.time_s for each in strip if each.setup] == [pytest.approx(AT_S, abs=0.01)]
    small = draw_strip_picture(opened, {VIEW: clip}, VIEW, LATER_S)
    assert small.startswith(b"\xff\xd8")
    assert len(small) < 30_000


def test_another_frame_is_looked_at_where_the_student_stands_in_it(opened, later) -> None:
    np.testing.assert_allclose(joints_of(later), joints_of(opened) + (SHIFT_PX, 0.0), atol=3 * SAME_PX)
    assert np.median(np.abs(joints_of(later) - joints_of(opened) - (SHIFT_PX, 0.0))) < SAME_PX
    assert later.found.views[VIEW].setups[0].chosen_by == "person"
    assert later.found.views[VIEW].still.time_s == pytest.approx(LATER_S, abs=0.06)
    shown = np.asarray(Image.open(io.BytesIO(later.stills[VIEW].jpeg)))
    assert shown.shape[:2] == later.found.views[VIEW].landmarks.size_px[::-1]


def test_what_belongs_to_the_old_frame_does_not_go_along_and_the_camera_does(later) -> None:
    assert later.given[VIEW] == Given(roll_deg=0.5)


def test_the_chosen_frame_can_be_kept(later, stored, clip, tmp_path) -> None:
    folder = shutil.copytree(stored, tmp_path / "report")
    keep_corrected(later, {}, folder, clips={VIEW: clip})
    record = read_result_folder(folder).record
    assert record.views[VIEW].setup_times_s == (pytest.approx(LATER_S, abs=0.06),)
    again = open_folder_for_correcting(folder)
    np.testing.assert_allclose(joints_of(again), joints_of(later), atol=1e-6)


def test_where_heads_are_hidden_no_picture_of_a_clip_is_shown(opened, clip) -> None:
    hidden = evolve(opened, faces_hidden=True)
    with pytest.raises(NotAllowed, match="no pictures of its clips"):
        draw_strip_picture(hidden, {VIEW: clip}, VIEW, LATER_S)
    there = open_at_other_times(hidden, {VIEW: clip}, {VIEW: LATER_S})
    plain = open_at_other_times(opened, {VIEW: clip}, {VIEW: LATER_S})
    assert there.stills[VIEW].jpeg != plain.stills[VIEW].jpeg


def test_a_clip_that_is_not_the_measured_one_or_not_there_has_no_other_frames(opened, golfer_stills, tmp_path) -> None:
    for clips in ({}, {VIEW: tmp_path / "gone.mp4"}, {VIEW: golfer_stills[VIEW]}):
        assert list_strip(opened, clips, VIEW) == ()
        with pytest.raises(UsageError, match="no other frame can be chosen"):
            open_at_other_times(opened, clips, {VIEW: LATER_S})
