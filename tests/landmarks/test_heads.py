"""Heads are where the landmarks say, as large as the body says, and other people's are found too."""

import numpy as np
import pytest
from drawn_people import draw_person
from PIL import Image

from putt_posture.landmarks import find_head, find_heads
from putt_posture.values import LANDMARK_INDEX

FACE = [index for name, index in LANDMARK_INDEX.items() if index <= LANDMARK_INDEX["mouth_right"]]
TRUNK_PX = 200.0


@pytest.fixture
def points():
    return draw_person(across=0.6, trunk_px=TRUNK_PX).points_px


def test_the_disc_holds_every_point_of_the_head(points):
    head = find_head(points)
    away = np.hypot(*(points[FACE] - head.centre_px).T)
    assert away.max() < 0.8 * head.radius_px


def test_the_disc_grows_with_the_body(points):
    small, large = find_head(points), find_head(3 * points)
    assert large.radius_px == pytest.approx(3 * small.radius_px)
    assert large.centre_px == pytest.approx(3 * np.array(small.centre_px))


def test_a_trunk_seen_from_its_end_does_not_shrink_the_disc(points):
    head = find_head(points)
    hips = [LANDMARK_INDEX["left_hip"], LANDMARK_INDEX["right_hip"]]
    shoulders = [LANDMARK_INDEX["left_shoulder"], LANDMARK_INDEX["right_shoulder"]]
    bent = points.copy()
    bent[hips] = bent[shoulders] + (0, 5)
    assert find_head(bent).radius_px > 0.85 * head.radius_px


def test_the_scale_makes_the_disc_larger_and_never_smaller(points):
    without = find_head(points).radius_px
    assert find_head(points, px_per_cm=0.1).radius_px == without
    assert find_head(points, px_per_cm=20.0).radius_px == pytest.approx(360.0)


def test_without_ears_the_other_points_of_the_face_are_enough(points):
    seen = find_head(points)
    points[[LANDMARK_INDEX["left_ear"], LANDMARK_INDEX["right_ear"]]] = np.nan
    head = find_head(points)
    assert np.hypot(*np.subtract(head.centre_px, seen.centre_px)) < 0.5 * seen.radius_px


def test_without_a_face_the_top_of_the_outline_stands_for_the_head(points):
    points[FACE] = np.nan
    outline = np.zeros((700, 300), dtype=np.uint8)
    outline[100:700, 100:200] = 255
    outline[0:100, 120:180] = 255
    head = find_head(points, outline=outline, outline_corner_px=(400.0, 50.0))
    corners = np.array([(520, 50), (580, 50), (520, 150), (580, 150)])
    assert np.hypot(*(corners - head.centre_px).T).max() < head.radius_px


def test_where_nothing_is_seen_there_is_no_head(points):
    points[FACE] = np.nan
    assert find_head(points) is None
    assert find_head(points, outline=np.zeros((20, 20), dtype=np.uint8)) is None


def test_a_picture_without_people_has_no_head():
    assert find_heads(np.full((480, 640, 3), 128, dtype=np.uint8)) == ()


@pytest.mark.parametrize(("view", "size"), [("face_on", 0.5), ("down_the_line", 0.25), ("face_on", 0.3)])
def test_the_heads_of_people_who_are_small_in_the_picture_are_found_too(golfer, joints, view, size):
    """The truth of both heads is the renderer's."""
    student, other = (Image.fromarray(golfer[each]) for each in ("down_the_line", view))
    small = other.resize((round(540 * size), round(960 * size)))
    whole, corner = Image.new("RGB", (1080, 960), (150, 150, 150)), (700, 300)
    whole.paste(student, (0, 0))
    whole.paste(small, corner)
    heads = find_heads(np.asarray(whole.resize((2160, 1920))))
    for ears, scale, start in ((joints["down_the_line"], 1.0, (0, 0)), (joints[view], size, corner)):
        true = 2 * (scale * np.array([ears["left_ear"], ears["right_ear"]]) + start)
        assert any(np.hypot(*(true - head.centre_px).T).max() < head.radius_px for head in heads)


def test_a_picture_is_searched_once_and_one_that_differs_in_a_pixel_is_searched_again(monkeypatch):
    searched = []
    monkeypatch.setattr("putt_posture.landmarks.heads._search", lambda picture: searched.append(picture.copy()) or ())
    picture = np.random.default_rng(5).integers(0, 255, (40, 30, 3), dtype=np.uint8)
    assert find_heads(picture) == find_heads(picture.copy()) == ()
    assert len(searched) == 1
    other = picture.copy()
    other[7, 9, 1] += 1
    find_heads(other)
    find_heads(picture.reshape(30, 40, 3))
    assert len(searched) == 3
