from itertools import pairwise

import numpy as np
import pytest
from drawn_people import bystander, draw_person, golfer_at_address
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.landmarks.all_people import find_all_people, paint_over
from putt_posture.landmarks.crops import detect_in_crop, nearest_person, pad_box
from putt_posture.landmarks.person import average, mirrored
from putt_posture.landmarks.zoom import is_small, tiles

SIZE = (1080, 1920)
CLOSE_PX = 12.0
"""Between two detections of a person of some 400 pixels: 3 %, the model's own scatter when the crop changes."""


@given(
    u=st.floats(-200, 1200), v=st.floats(-200, 2000), width=st.floats(0, 900), height=st.floats(0, 1500),
    room=st.floats(0, 1),
)  # fmt: skip
def test_room_stays_in_the_picture_and_holds_what_of_the_box_is_in_it(u, v, width, height, room) -> None:
    u0, v0, u1, v1 = pad_box(np.array([u, v, u + width, v + height]), size_px=SIZE, room=room)
    assert 0 <= u0 < u1 <= SIZE[0]
    assert 0 <= v0 < v1 <= SIZE[1]
    assert u0 <= max(u, 0) or u0 == SIZE[0] - 1
    assert v1 >= min(v + height, SIZE[1])


def test_room_is_a_share_of_the_longer_side() -> None:
    assert pad_box(np.array([400.0, 500.0, 500.0, 900.0]), size_px=SIZE, room=0.25) == (300, 400, 600, 1000)


def test_nearest_person_is_the_expected_one_or_none() -> None:
    student, coach = golfer_at_address(at=(500.0, 800.0)), bystander(at=(900.0, 800.0))
    assert nearest_person([coach, student], torso=student.torso + 10) is student
    assert nearest_person([coach], torso=student.torso) is None
    assert nearest_person([], torso=student.torso) is None
    assert nearest_person([student, coach], torso=None) is coach  # the taller


@given(st.integers(100, 2000))
def test_mirror_of_the_mirror_is_the_person(width) -> None:
    person = draw_person(across=0.6)
    again = mirrored(mirrored(person, width=width), width=width)
    np.testing.assert_allclose(again.points_px, person.points_px)
    np.testing.assert_array_equal(again.visibility, person.visibility)


def test_mirror_image_of_a_chest_is_a_chest() -> None:
    person = mirrored(draw_person(across=0.6), width=1000)
    left, right = person.points_px[11], person.points_px[12]
    assert left[0] > right[0]


def test_average_of_two_looks_lies_between_and_believes_the_first_about_sides() -> None:
    person = draw_person(across=0.6)
    moved = person.moved(shift=(4.0, -2.0))
    np.testing.assert_allclose(average(person, moved).points_px, person.points_px + np.array([2.0, -1.0]))
    crossed = mirrored(mirrored(person, width=900), width=900)
    crossed.points_px[[11, 12]] = crossed.points_px[[12, 11]]
    crossed.points_px[[13, 14]] = crossed.points_px[[14, 13]]
    crossed.points_px[[15, 16, 17, 18, 19, 20, 21, 22]] = crossed.points_px[[16, 15, 18, 17, 20, 19, 22, 21]]
    np.testing.assert_allclose(average(person, crossed).points_px, person.points_px)


def test_close_look_gives_pixels_of_the_whole_picture_and_a_mask_of_the_box(small_model, golfer) -> None:
    picture = golfer["face_on"]
    (whole,) = small_model.find_people(picture)
    box = pad_box(np.array(whole.box), size_px=(540, 960))
    person = detect_in_crop(small_model, picture, box, torso=whole.torso)
    assert np.median(np.hypot(*(person.points_px - whole.points_px).T)) < CLOSE_PX
    assert person.mask.shape == (box[3] - box[1], box[2] - box[0])


def test_close_look_of_the_mirrored_picture_is_the_mirror_image(small_model, golfer) -> None:
    picture = golfer["face_on"]
    (whole,) = small_model.find_people(picture)
    left, top, right, bottom = pad_box(np.array(whole.box), size_px=(540, 960))
    straight = detect_in_crop(small_model, picture, (left, top, right, bottom), torso=whole.torso)
    flipped = np.ascontiguousarray(picture[:, ::-1])
    torso = mirrored(whole, width=540).torso
    there = detect_in_crop(small_model, flipped, (540 - right, top, 540 - left, bottom), torso=torso)
    np.testing.assert_allclose(mirrored(there, width=540).points_px, straight.points_px, atol=1e-2)


def test_no_person_near_the_expected_place_is_none(small_model, golfer) -> None:
    expected = np.array([[60.0, 60.0], [60.0, 120.0]])
    assert detect_in_crop(small_model, golfer["face_on"], (0, 0, 540, 960), torso=expected) is None


def test_all_people_are_found_where_the_model_alone_misses_one(small_model, golfer) -> None:
    pair = np.concatenate([golfer["face_on"][:, 130:400], golfer["down_the_line"][:, 130:400]], axis=1)
    assert len(find_all_people(small_model, pair)) == 2


def test_lone_person_is_found_once(small_model, golfer) -> None:
    for picture in golfer.values():
        assert len(find_all_people(small_model, picture)) == 1


def test_paint_hides_the_person_and_nothing_far_from_them() -> None:
    picture = np.zeros((1400, 1000, 3), dtype=np.uint8)
    person = bystander(at=(500.0, 700.0))
    painted = paint_over(picture, [person])
    u, v = person.torso.mean(axis=0).astype(int)
    assert painted[v, u].tolist() == [128, 128, 128]
    assert not painted[:, :200].any()
    assert not picture.any()


@given(width=st.integers(1, 3000), height=st.integers(1, 3000), side=st.integers(300, 1500))
def test_tiles_cover_the_picture_and_overlap_by_half_a_person(width, height, side) -> None:
    columns = sorted({(box[0], box[2]) for box in tiles((width, height), side)})
    rows = sorted({(box[1], box[3]) for box in tiles((width, height), side)})
    for parts, length in ((columns, width), (rows, height)):
        assert parts[0][0] == 0
        assert parts[-1][1] == length
        assert all(following[0] <= part[1] - side // 3 for part, following in pairwise(parts))


@pytest.mark.parametrize(("trunk_px", "small"), [(50.0, True), (200.0, False)])
def test_small_is_by_the_height_in_the_picture(trunk_px, small) -> None:
    assert is_small([bystander(trunk_px=trunk_px)], size_px=SIZE) is small
    assert is_small([], size_px=SIZE)
