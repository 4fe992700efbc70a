"""The part of the picture that a still shows."""

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from invented import make_lesson

from putt_posture.drawing.placing import STILL_SHORT_SIDE, find_crop
from putt_posture.values import Frame

LESSON = make_lesson()
SIDE = LESSON.views["down_the_line"]
WIDTH, HEIGHT = 1080, 1920

points = st.lists(st.tuples(st.floats(-500, 2500), st.floats(-500, 2500)), max_size=6)


@given(points)
def test_the_crop_lies_in_the_picture_and_holds_every_point_of_it(extra):
    u0, v0, u1, v1 = find_crop(SIDE, extra).box_px
    assert 0 <= u0 < u1 <= WIDTH
    assert 0 <= v0 < v1 <= HEIGHT
    for u, v in extra:
        if 0 <= u <= WIDTH and 0 <= v <= HEIGHT:
            assert u0 <= u <= u1
            assert v0 <= v <= v1


def test_the_short_side_is_the_same_for_every_picture():
    assert min(find_crop(SIDE, ()).size) == STILL_SHORT_SIDE


def test_feet_head_and_ball_are_in_the_crop():
    marks = LESSON.posture.marks["down_the_line"]
    u0, v0, u1, v1 = find_crop(SIDE, marks["foot"]).box_px
    for u, v in (*marks["foot"], *marks["head"], *marks["ball"]):
        assert u0 < u < u1
        assert v0 < v < v1


def test_nothing_known_gives_the_whole_picture():
    marks = SIDE.landmarks
    empty = evolve(
        SIDE,
        landmarks=evolve(marks, points_px=np.full_like(marks.points_px, np.nan), masks=np.zeros_like(marks.masks)),
        scene=evolve(SIDE.scene, shaft_px=None, ball_px=None),
    )
    assert find_crop(empty, [(float("nan"), 3.0)]).box_px == (0, 0, WIDTH, HEIGHT)


def test_a_still_that_was_read_at_half_size_is_cut_at_the_same_place():
    half = np.ascontiguousarray(SIDE.still.picture[::2, ::2])
    small = evolve(SIDE, still=Frame(time_s=2.4, picture=half, scale=0.5))
    one, two = find_crop(SIDE, ()), find_crop(small, ())
    assert one.box_px == two.box_px
    difference = np.abs(one.cut(SIDE).astype(float) - two.cut(small).astype(float))
    assert difference.mean() < 2.0  # grey levels; edges differ by a pixel, nothing is shifted


def test_a_point_lands_where_its_pixel_is_drawn():
    picture = SIDE.still.picture.copy()
    picture[700:712, 500:512] = (255, 0, 255)
    marked = evolve(SIDE, still=evolve(SIDE.still, picture=picture))
    crop = find_crop(marked, ())
    drawn = crop.cut(marked)
    rows, columns = np.nonzero((drawn == (255, 0, 255)).all(axis=2))
    u, v = crop.place((506.0, 706.0))
    assert columns.mean() == pytest.approx(u, abs=1.0)
    assert rows.mean() == pytest.approx(v, abs=1.0)
