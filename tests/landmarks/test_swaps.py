import numpy as np
import pytest
from drawn_people import bystander, draw_person, golfer_at_address, table_of
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.landmarks.swaps import GROUPS, correct_swaps, find_facing, swap_sides

FRAMES = 12
SCATTER_PX = 2.0
"""A hundredth of the trunk: what the model scatters on a still person."""


def frames_of(person, *, seed=0):
    points, visibility, depth = table_of([person] * FRAMES)
    return points + np.random.default_rng(seed).normal(0, SCATTER_PX, points.shape), visibility, depth


def swapped(values, rows, groups):
    mask = np.zeros(len(values), dtype=bool)
    mask[list(rows)] = True
    for group in groups:
        values = swap_sides(values, rows=mask, pairs=GROUPS[group])
    return values


@given(
    rows=st.sets(st.integers(0, FRAMES - 1), max_size=5),
    groups=st.sets(st.sampled_from(["head", "arms", "legs"]), min_size=1),
    seed=st.integers(0, 99),
)
def test_swaps_in_fewer_than_half_of_the_frames_are_put_back(rows, groups, seed) -> None:
    truth = frames_of(draw_person(across=0.6), seed=seed)
    sides = correct_swaps(*(swapped(table, rows, groups - {"head"}) for table in truth), view="face_on")
    for mended, true in zip((sides.points_px, sides.visibility, sides.depth), truth, strict=True):
        np.testing.assert_array_equal(mended, true)
    assert sides.frames == (len(rows) if groups - {"head"} else 0)


@given(angle=st.floats(-0.2, 0.2), scale=st.floats(0.3, 4.0), shift=st.floats(-500, 500))
def test_mending_does_not_depend_on_where_and_how_large_the_person_is(angle, scale, shift) -> None:
    points, visibility, depth = frames_of(draw_person(across=0.6))
    bad = swapped(points, {3, 4}, {"arms"})
    turn = scale * np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    sides = correct_swaps(bad @ turn.T + shift, visibility, depth, view="face_on")
    np.testing.assert_allclose(sides.points_px, points @ turn.T + shift)


def test_legs_swapped_in_all_frames_face_on_are_put_back() -> None:
    truth = frames_of(draw_person(across=0.6))
    sides = correct_swaps(*(swapped(table, range(FRAMES), ["legs"]) for table in truth), view="face_on")
    np.testing.assert_array_equal(sides.points_px, truth[0])
    assert sides.frames == FRAMES


def test_all_sides_exchanged_face_on_are_put_back_since_a_back_is_refused_before() -> None:
    truth = frames_of(draw_person(across=0.6))
    sides = correct_swaps(*(swapped(table, range(FRAMES), ["arms", "legs"]) for table in truth), view="face_on")
    np.testing.assert_array_equal(sides.points_px, truth[0])
    assert sides.frames == FRAMES


@pytest.mark.parametrize("facing", [1, -1])
def test_near_and_far_side_taken_for_each_other_down_the_line_are_put_back(facing) -> None:
    truth = frames_of(golfer_at_address(facing=facing))
    sides = correct_swaps(*(swapped(table, range(FRAMES), ["arms", "legs"]) for table in truth), view="down_the_line")
    np.testing.assert_array_equal(sides.depth, truth[2])
    assert sides.frames == FRAMES


@pytest.mark.parametrize("facing", [1, -1])
def test_right_side_is_nearer_where_the_toes_point_right_and_is_left_alone(facing) -> None:
    points, visibility, depth = frames_of(golfer_at_address(facing=facing))
    assert np.sign(find_facing(points)) == facing
    assert correct_swaps(points, visibility, depth, view="down_the_line").frames == 0


def test_sides_that_overlap_are_left_alone() -> None:
    points, visibility, depth = frames_of(golfer_at_address())
    assert correct_swaps(points, visibility, depth * 0, view="down_the_line").frames == 0


def test_person_who_walks_is_mended_with_a_window() -> None:
    truth = table_of([bystander(at=(100.0 + 40 * step, 800.0), view="face_on") for step in range(FRAMES)])
    sides = correct_swaps(*(swapped(table, {5, 6}, ["arms"]) for table in truth), view="face_on", window=9)
    np.testing.assert_array_equal(sides.points_px, truth[0])


def test_frames_and_landmarks_that_were_not_seen_stay_unseen() -> None:
    points, visibility, depth = frames_of(draw_person(across=0.6))
    points[4], visibility[4], depth[4] = np.nan, np.nan, np.nan
    points[:, 31:] = np.nan
    sides = correct_swaps(swapped(points, {2}, ["legs"]), visibility, depth, view="face_on")
    np.testing.assert_array_equal(sides.points_px, points)


def test_no_people_give_no_student() -> None:
    points = np.full((3, 33, 2), np.nan)
    sides = correct_swaps(points, points[..., 0], points[..., 0], view="face_on")
    assert np.isnan(sides.points_px).all()
    assert find_facing(points) == 0.0
