import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as npst
from scipy.spatial.transform import Rotation

from putt_posture.body import CENTRE_OF_MASS_POINTS, centre_of_mass, read_segment_mass

COUNT = len(CENTRE_OF_MASS_POINTS)
bodies = npst.arrays(float, (COUNT, 3), elements=st.floats(min_value=-200, max_value=200))
sexes = st.sampled_from(["female", "male", None])


def named(points):
    return dict(zip(CENTRE_OF_MASS_POINTS, points, strict=True))


@given(bodies, sexes)
def test_centre_turns_and_moves_with_the_body(points, sex):
    turn, shift = Rotation.from_euler("xyz", [20, -35, 70], degrees=True), np.array([3.0, -7.0, 11.0])
    moved = centre_of_mass(named(turn.apply(points) + shift), sex)
    np.testing.assert_allclose(moved, turn.apply(centre_of_mass(named(points), sex)) + shift, atol=1e-9)


@given(bodies, sexes)
def test_centre_is_mirrored_with_the_body(points, sex):
    flip = np.array([-1.0, 1.0, 1.0])
    mirrored = {_other_side(name): point * flip for name, point in named(points).items()}
    np.testing.assert_allclose(centre_of_mass(mirrored, sex), centre_of_mass(named(points), sex) * flip, atol=1e-9)


@given(bodies, sexes)
def test_centre_scales_with_the_body(points, sex):
    scaled = centre_of_mass(named(2.5 * points), sex)
    np.testing.assert_allclose(scaled, 2.5 * centre_of_mass(named(points), sex), atol=1e-9)


def test_many_frames_of_a_picture_give_as_many_centres():
    frames = np.random.default_rng(1).normal(size=(COUNT, 7, 2))
    centres = centre_of_mass(named(frames), "male")
    assert centres.shape == (7, 2)
    np.testing.assert_allclose(centres[3], centre_of_mass(named(frames[:, 3]), "male"))


@pytest.mark.parametrize("name", CENTRE_OF_MASS_POINTS)
def test_centre_is_unknown_in_the_frame_where_a_point_is(name):
    frames = named(np.ones((COUNT, 4, 2)))
    frames[name] = frames[name].copy()
    frames[name][2, 0] = np.nan
    centres = centre_of_mass(frames)
    assert np.isnan(centres[2]).all()
    np.testing.assert_allclose(centres[[0, 1, 3]], 1.0)


def test_moving_one_forearm_moves_the_centre_by_its_share():
    # The wrist ends the forearm and starts the hand: 0.0162 · 0.4574 + 0.0061 · (1 − 0.7900) of a man's body.
    points = named(np.zeros((COUNT, 2)))
    points["left_wrist"] = np.array([0.0, 100.0])
    assert centre_of_mass(points, "male")[1] == pytest.approx(100 * (0.0162 * 0.4574 + 0.0061 * 0.21), rel=1e-6)


def test_missing_points_are_named():
    points = named(np.zeros((COUNT, 2)))
    del points["left_heel"], points["right_knee"]
    with pytest.raises(KeyError, match=r"right_knee, left_heel"):
        centre_of_mass(points)


def test_unknown_segment_lists_the_known_ones():
    with pytest.raises(KeyError, match=r"tail.*head.*foot"):
        read_segment_mass("tail")


def _other_side(name):
    side, _, part = name.partition("_")
    return f"{'right' if side == 'left' else 'left'}_{part}"
