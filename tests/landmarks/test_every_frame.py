"""The student in every frame, in a crop that stays; and single frames searched as setup frames are."""

import numpy as np
import pytest

from putt_posture.clips import read_clip, read_frames_at
from putt_posture.landmarks import (
    EveryFrameFollower,
    find_landmarks,
    find_landmarks_in_frames,
    open_pose_model,
    track_of_frames,
)
from putt_posture.values import LANDMARK_INDEX, Clip, Frame, Setup

NEAR_SHARE = 0.06
"""Error of a joint in shoulder-to-ankle lengths: twice the mean on rendered golfers (2.7 %)."""


def clip_of(picture) -> Clip:
    height, width = picture.shape[:2]
    return Clip(
        path="none.mp4", sha256="0" * 64, view="face_on", kind="video", width=width, height=height, duration_s=2.0,
        rate_hz=30.0,
    )  # fmt: skip


def still_track(joints, *, left=0):
    """Return a track of a student who stands where the rendered joints are."""
    points = np.full((33, 2), np.nan)
    for name, place in joints.items():
        if name in LANDMARK_INDEX:
            points[LANDMARK_INDEX[name]] = np.add(place, (left, 0))
    points[np.isnan(points[:, 0])] = points[LANDMARK_INDEX["left_shoulder"]]
    return track_of_frames(np.array([0.0, 2.0]), np.stack([points, points]), np.ones((2, 33)))


def test_the_student_is_found_in_each_frame_in_one_crop(small_model, golfer, joints) -> None:
    picture = golfer["face_on"]
    follower = EveryFrameFollower(
        small_model, clip_of(picture), still_track(joints["face_on"]), start_s=0.0, stop_s=0.1
    )
    box = follower.box
    for number in range(2):
        follower.push(Frame(time_s=number / 30, picture=picture))
    assert follower.box == box
    seen = follower.finish()
    assert not seen.lost.any()
    np.testing.assert_array_equal(seen.points_px[0], seen.points_px[1])
    body = np.hypot(*np.subtract(joints["face_on"]["right_shoulder"], joints["face_on"]["right_ankle"]))
    wrists = [f"{side}_wrist" for side in ("left", "right")]
    off = [np.hypot(*(seen.points_px[0, LANDMARK_INDEX[name]] - joints["face_on"][name])) / body for name in wrists]
    assert np.mean(off) < NEAR_SHARE


def test_where_the_student_is_hidden_the_other_person_is_not_taken(small_model, golfer, joints) -> None:
    one = golfer["face_on"]
    both = np.concatenate([one, one], axis=1)
    hidden = both.copy()
    hidden[:, : one.shape[1]] = 128
    follower = EveryFrameFollower(small_model, clip_of(both), still_track(joints["face_on"]), start_s=0.0, stop_s=0.1)
    follower.box = (0, 0, both.shape[1], both.shape[0])
    for number, picture in enumerate((both, hidden, both)):
        follower.push(Frame(time_s=number / 30, picture=picture))
    seen = follower.finish()
    assert seen.lost.tolist() == [False, True, False]
    nose = seen.points_px[[0, 2], LANDMARK_INDEX["nose"], 0]
    assert (nose < one.shape[1]).all()


@pytest.fixture(scope="module")
def golfer_clip(golfer, write_clip):
    return read_clip(write_clip([golfer["face_on"]] * 12, name="stands"), view="face_on")


def test_an_event_is_searched_to_the_last_digit_as_a_setup_frame_is(golfer_clip, joints) -> None:
    track = still_track(joints["face_on"])
    setups = (Setup(moment_s=0.2, times_s=(0.2,), window_s=(0.2, 0.2)),)
    of_setup, still, _ = find_landmarks(golfer_clip, setups, track)
    black = Frame(time_s=0.3, picture=np.zeros_like(still.picture))
    with open_pose_model("large", outline=True) as model:
        found, rows = find_landmarks_in_frames(model, golfer_clip, [still, black], track)
        assert find_landmarks_in_frames(model, golfer_clip, [black], track) == (None, [])
    assert rows == [0]
    np.testing.assert_array_equal(found.points_px, of_setup.points_px)
    np.testing.assert_array_equal(found.outlines, of_setup.outlines)
    assert found.setup_index.tolist() == [0]
    assert read_frames_at(golfer_clip, [0.2])[0].time_s == found.times_s[0]
