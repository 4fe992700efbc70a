from pathlib import Path

import numpy as np
import pytest
from attrs import evolve
from drawn_people import TRUNK_PX, draw_person

from putt_posture.landmarks.frame_detections import FrameDetection, combine_detections
from putt_posture.values import Clip

CLIP = Clip(path=Path("clip.mp4"), sha256="", view="face_on", kind="video", width=1080, height=1920)


def look(person, *, box, time_s=0.0, setup=0, value=255) -> FrameDetection:
    u0, v0, u1, v1 = box
    mask = np.full((v1 - v0, u1 - u0), value, dtype=np.uint8)
    return FrameDetection(time_s=time_s, setup=setup, box=box, person=evolve(person, mask=mask))


def gather(*looks, missed=0):
    return combine_detections(looks, clip=CLIP, model="pose 0", missed=missed)


def test_masks_share_the_box_that_holds_all() -> None:
    person = draw_person(across=0.6)
    landmarks = gather(
        look(person, box=(100, 200, 400, 900), value=50), look(person, box=(150, 300, 600, 1000), time_s=1.0, value=70)
    )
    assert landmarks.mask_box_px == (100, 200, 600, 1000)
    assert landmarks.masks.shape == (2, 800, 500)
    assert landmarks.masks[0, :700, :300].min() == 50
    assert landmarks.masks[1, 100:, 50:].min() == 70
    assert landmarks.masks[0, 700:].max() == landmarks.masks[1, :100].max() == 0


def test_rows_keep_times_setups_points_and_model() -> None:
    person = draw_person(across=0.6)
    box = (0, 0, 1080, 1920)
    landmarks = gather(look(person, box=box), look(person, box=box, time_s=2.5, setup=1))
    assert landmarks.times_s.tolist() == [0.0, 2.5]
    assert landmarks.setup_index.tolist() == [0, 1]
    np.testing.assert_array_equal(landmarks.points_px[1], person.points_px)
    assert landmarks.model == "pose 0"
    assert landmarks.size_px == (1080, 1920)
    assert landmarks.notes == ()


@pytest.mark.parametrize(
    ("at", "cut", "whole", "words"),
    [
        ((500.0, 1920 - 1.75 * TRUNK_PX), "left_heel", "left_ankle", "feet are"),
        ((500.0, 1.3 * TRUNK_PX), "left_ear", "left_shoulder", "head is"),
    ],
)
def test_what_the_edge_cuts_off_is_nan_and_noted(at, cut, whole, words) -> None:
    landmarks = gather(look(draw_person(at=at, across=0.6), box=(0, 0, 1080, 1920)))
    assert np.isnan(landmarks.point(cut)).all()
    assert np.isfinite(landmarks.point(whole)).all()
    assert landmarks.notes == (f"The {words} cut off by the edge of the picture in 1 of 1 setup frames.",)


def test_frames_without_the_student_are_noted() -> None:
    landmarks = gather(look(draw_person(across=0.6), box=(0, 0, 1080, 1920)), missed=2)
    assert landmarks.notes == ("The student was not found in 2 of 3 setup frames; they were left out.",)


def test_swapped_sides_are_mended_and_noted() -> None:
    right, wrong = draw_person(across=0.6), draw_person(across=0.6)
    wrong.points_px[23:33] = wrong.points_px[[24, 23, 26, 25, 28, 27, 30, 29, 32, 31]]
    box = (0, 0, 1080, 1920)
    landmarks = gather(*(look(wrong if row == 3 else right, box=box, time_s=row) for row in range(7)))
    np.testing.assert_array_equal(landmarks.points_px[3], right.points_px)
    assert landmarks.notes == ("Left and right were swapped in 1 setup frame and corrected.",)


def test_an_outline_is_kept_beside_the_mask_and_the_mask_stands_in_for_a_missing_one() -> None:
    box = (0, 0, 60, 90)
    plain = look(draw_person(across=0.6), box=box, value=200)
    refined = evolve(plain, time_s=1.0, outline=np.full((90, 60), 255, dtype=np.uint8))
    landmarks = gather(plain, refined)
    assert (landmarks.masks == 200).all()
    assert (landmarks.outlines[0] == 200).all()
    assert (landmarks.outlines[1] == 255).all()


def test_a_trimmed_look_keeps_person_mask_and_outline_and_little_else() -> None:
    whole = look(draw_person(across=0.6), box=(100, 200, 700, 1100), value=0)
    mask, outline = whole.person.mask.copy(), whole.person.mask.copy()
    mask[300:500, 100:180], outline[290:480, 120:200] = 200, 90
    whole = evolve(whole, person=evolve(whole.person, mask=mask), outline=outline)
    trimmed = whole.trimmed()
    u0, v0, u1, v1 = trimmed.box
    assert (u0, v0, u1, v1) == (100 + 98, 200 + 288, 100 + 202, 200 + 502)
    full, small = gather(whole), gather(trimmed)
    for name in ("masks", "outlines"):
        laid = np.zeros((1920, 1080), dtype=np.uint8)
        laid[v0:v1, u0:u1] = getattr(small, name)[0]
        np.testing.assert_array_equal(laid[200:1100, 100:700], getattr(full, name)[0])
        assert laid.sum() == getattr(full, name).sum()
    np.testing.assert_array_equal(small.points_px, full.points_px)


def test_a_look_without_a_trace_of_a_person_stays_as_it_is() -> None:
    empty = look(draw_person(across=0.6), box=(100, 200, 700, 1100), value=0)
    assert empty.trimmed() is empty
