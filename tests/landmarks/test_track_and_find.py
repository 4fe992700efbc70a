"""The whole way from a clip to landmarks, on a rendered golfer whose joints are known."""

import numpy as np
import pytest
from PIL import Image

from putt_posture.clips import read_clip
from putt_posture.errors import ClipError, StudentNotFound
from putt_posture.landmarks import find_landmarks, track_student
from putt_posture.values import Setup

NEAR_SHARE = 0.06
"""Error of a joint in shoulder-to-ankle lengths: twice the mean on rendered golfers (2.7 %)."""

AT_ONCE = (Setup(moment_s=0.0, times_s=(0.0,), window_s=(0.0, 0.0)),)


def on_canvas(picture, *, width=1280, height=960, left=100, shade=120):
    canvas = np.full((height, width, 3), shade, dtype=np.uint8)
    canvas[: picture.shape[0], left : left + picture.shape[1]] = picture
    return canvas


def mean_error(points, joints, *, names):
    from putt_posture.values import LANDMARK_INDEX

    body = np.hypot(*np.subtract(joints["right_shoulder"], joints["right_ankle"]))
    return np.mean([np.hypot(*(points[LANDMARK_INDEX[name]] - joints[name])) / body for name in names])


@pytest.fixture(scope="module")
def golfer_clip(golfer, write_clip):
    """Two seconds: the golfer stays, a square beside them moves in the second second."""

    def pictures():
        for number in range(60):
            picture = golfer["down_the_line"].copy()
            if number >= 30:
                picture[500:560, 300 + 4 * (number - 30) : 360 + 4 * (number - 30)] = 255 * (number % 2)
            yield picture

    return read_clip(write_clip(pictures(), name="golfer"), view="down_the_line")


@pytest.fixture(scope="module")
def golfer_track(golfer_clip):
    return track_student(golfer_clip)


def test_track_looks_six_times_a_second_and_sees_the_student(golfer_track) -> None:
    assert len(golfer_track.times_s) == 12
    np.testing.assert_allclose(np.diff(golfer_track.times_s), 1 / 6, atol=1 / 30)
    assert np.isfinite(golfer_track.points_px).all()
    assert golfer_track.people == 1
    assert golfer_track.notes == ()


def test_track_is_in_pixels_of_the_full_size_picture(golfer_track, joints) -> None:
    near = [name for name in joints["down_the_line"] if name.startswith("right")]
    median = np.median(golfer_track.points_px, axis=0)
    assert mean_error(median, joints["down_the_line"], names=near) < NEAR_SHARE


def test_motion_on_the_ball_side_is_read_and_stillness_is_still(golfer_track) -> None:
    times, motion = golfer_track.motion_times_s, golfer_track.motion
    still, moving = motion[times < 0.9], motion[times > 1.1]
    assert np.nanmax(still) < 1.0  # one grey level: what the encoder changes on a still picture
    assert np.nanmedian(moving) > 3 * np.nanmax(still)


def test_landmarks_lie_near_the_joints_that_were_rendered(golfer_clip, golfer_track, joints) -> None:
    setups = (Setup(moment_s=0.5, times_s=(0.3, 0.5, 0.7), window_s=(0.2, 0.8)),)
    landmarks, still, row = find_landmarks(golfer_clip, setups, golfer_track)
    near = [name for name in joints["down_the_line"] if name.startswith("right")]
    for points in landmarks.points_px:
        assert mean_error(points, joints["down_the_line"], names=near) < NEAR_SHARE
    assert landmarks.setup_index.tolist() == [0, 0, 0]
    assert row == 1
    assert still.time_s == landmarks.times_s[1] == pytest.approx(0.5, abs=1 / 60)
    assert still.picture.shape == (960, 540, 3)
    u0, v0, u1, v1 = landmarks.mask_box_px
    assert landmarks.masks.shape == (3, v1 - v0, u1 - u0)
    assert landmarks.model.startswith("pose_large ")


def test_progress_goes_from_nothing_to_all(golfer_clip, golfer_track) -> None:
    shares = []
    track_student(golfer_clip, progress=lambda _, share: shares.append(share))
    assert shares == sorted(shares)
    assert 0 <= shares[0] < 0.1
    assert 0.9 < shares[-1] <= 1
    done = []
    find_landmarks(golfer_clip, AT_ONCE, golfer_track, progress=lambda _, share: done.append(share))
    assert done == [1.0]


def test_still_goes_through_the_same_door(golfer, joints, tmp_path) -> None:
    path = tmp_path / "still.png"
    Image.fromarray(golfer["face_on"]).save(path)
    clip = read_clip(path, view="face_on")
    track = track_student(clip)
    landmarks, still, row = find_landmarks(clip, AT_ONCE, track)
    assert mean_error(landmarks.points_px[0], joints["face_on"], names=joints["face_on"]) < NEAR_SHARE
    assert row == 0
    np.testing.assert_array_equal(still.picture, golfer["face_on"])
    assert track.motion.size == 0


def test_small_student_in_a_wide_picture_is_enlarged(golfer, joints, tmp_path) -> None:
    path = tmp_path / "wide.png"
    Image.fromarray(on_canvas(golfer["face_on"], width=3000, height=2200, left=2000)).save(path)
    clip = read_clip(path, view="face_on")
    landmarks, _, _ = find_landmarks(clip, AT_ONCE, track_student(clip))
    points = landmarks.points_px[0] - (2000, 0)
    assert mean_error(points, joints["face_on"], names=joints["face_on"]) < NEAR_SHARE


@pytest.mark.parametrize(
    ("change", "error", "sentence"),
    [
        (lambda picture: picture[::-1, ::-1], ClipError, "upside down"),
        (lambda picture: np.full_like(picture, 90), StudentNotFound, "no person was found"),
    ],
)
def test_pictures_that_cannot_be_measured_are_refused_by_name(golfer, tmp_path, change, error, sentence) -> None:
    path = tmp_path / "odd.png"
    Image.fromarray(np.ascontiguousarray(change(golfer["face_on"]))).save(path)
    with pytest.raises(error, match=rf"^odd\.png: .*{sentence}") as caught:
        track_student(read_clip(path, view="face_on"))
    assert caught.value.path == path


def test_one_of_two_golfers_is_taken_where_the_person_points(golfer, tmp_path) -> None:
    one = golfer["face_on"][:, 100:440]
    path = tmp_path / "two.png"
    Image.fromarray(np.concatenate([one, one], axis=1)).save(path)
    clip = read_clip(path, view="face_on")
    with pytest.raises(StudentNotFound, match=r"two people could be the student.*--student-at"):
        track_student(clip)
    for u in (170.0, 510.0):
        track = track_student(clip, student_at=(u, 500.0))
        assert track.people == 2
        assert abs(track.points_px[0, [11, 12, 23, 24], 0].mean() - u) < 60
        landmarks, _, _ = find_landmarks(clip, AT_ONCE, track, student_at=(u, 500.0))
        assert abs(landmarks.points_px[0, [11, 12, 23, 24], 0].mean() - u) < 60
