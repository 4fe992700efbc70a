"""Feet and ball are found where they are, whatever is seen of them."""

import numpy as np
from attrs import evolve
from invented import make_lesson

from putt_posture.drawing.feet import Standing, find_feet_and_ball
from putt_posture.drawing.stills import find_still_crop
from putt_posture.records.measured import MeasuredLesson
from putt_posture.values import LANDMARK_INDEX


def found_at(standing, crop, point):
    cells = find_feet_and_ball(standing, crop)
    u, v = crop.place(point)
    return bool(cells[int(v / crop.size[1] * cells.shape[0]), int(u / crop.size[0] * cells.shape[1])])


def test_feet_ball_and_nothing_higher_up_are_found_in_a_sample_lesson(sample_lessons):
    for lesson in sample_lessons.values():
        for view, result in lesson.views.items():
            standing, crop = Standing.of(result), find_still_crop(lesson, view)
            assert found_at(standing, crop, result.scene.ball_px)
            for side in ("left", "right"):
                assert all(found_at(standing, crop, point) for point in standing.foot(side))
                for joint in ("knee", "hip", "shoulder"):
                    assert not found_at(standing, crop, standing.joints_px[LANDMARK_INDEX[f"{side}_{joint}"]])


def test_a_kept_view_gives_the_same_as_the_one_that_was_measured(sample_lessons):
    lesson = sample_lessons["before"]
    crop = find_still_crop(lesson, "down_the_line")
    kept = Standing.of(MeasuredLesson.of(lesson).view("down_the_line"))
    measured = Standing.of(lesson.views["down_the_line"])
    assert (find_feet_and_ball(kept, crop) == find_feet_and_ball(measured, crop)).all()


def test_without_outline_landmarks_and_ball_there_is_nothing_and_no_fault():
    lesson = make_lesson()
    crop = find_still_crop(lesson, "face_on")
    standing = Standing.of(lesson.views["face_on"])
    nothing = evolve(standing, joints_px=np.full((33, 2), np.nan), outline=np.zeros((0, 0), np.uint8), ball_px=None)
    assert not find_feet_and_ball(nothing, crop).any()
    bare = evolve(standing, outline=np.zeros((0, 0), np.uint8), px_per_cm=None)
    assert find_feet_and_ball(bare, crop).any()
