"""Putter and ball followed through strokes: rendered ones with truth, and drawn ones with faults."""

import numpy as np
import pytest
from clip_truth import ClipTruth
from drawn_stroke import REST, SCALE, DrawnStroke

from putt_posture.scene.following import ClubFollower, FollowedClub
from putt_posture.values import Floats

HANDS_SD_PX = 3.0
"""How far off the hands of a small pose model are, one sigma, px."""
HEAD_RMSE_CM, LENGTH_CM = 0.4, 1.5
"""Of the head's path, and the target for the length of the backswing."""
IMPACT_S = 0.010
"""The target for the ball's first motion."""
BACK_S = 0.7
"""A drawn stroke shown from here on has the head away from the ball already: a third fewer frames."""


def follow_clip(name: str, view: str, stroke: int) -> tuple[ClipTruth, Floats, FollowedClub]:
    truth = ClipTruth.read(name, view)
    told = truth.strokes[stroke]
    rng = np.random.default_rng(4)
    still_s = told["start_s"] - 0.3 if told["kind"] == "putt" else truth.strokes[stroke + 1]["start_s"] - 0.7
    still = next(truth.frames(still_s - 0.02, still_s + 0.1))
    hands = truth.hands_px(np.array([still.time_s]))[0]
    follower = ClubFollower(truth.scene(still.time_s), still.picture, hands_px=hands)
    times = []
    for frame in truth.frames(told["start_s"] - 0.3, min(told["finish_s"] + 0.2, told["hold_until_s"])):
        follower.push(frame, truth.landmarks_px(frame.time_s, rng.normal(0.0, HANDS_SD_PX, 2)))
        times.append(frame.time_s)
    return truth, np.array(times), follower.finish()


@pytest.mark.parametrize(
    ("name", "view", "stroke"),
    [
        ("before", "face_on", 0),
        ("before", "down_the_line", 0),
        pytest.param("left_hander", "down_the_line", 2, marks=pytest.mark.whole),
    ],
)
def test_a_rendered_putt_is_followed_and_its_ball_leaves_at_the_true_time(name, view, stroke):
    truth, times, club = follow_clip(name, view, stroke)
    told, scale = truth.strokes[stroke], truth.truth["views"][view]["px_per_cm"]
    true = truth.putter_px(times)
    off = (club.putter_head_px - true[:, 1]) / scale
    assert np.isfinite(off[:, 0]).mean() > 0.9
    off -= np.nanmedian(off[:5], axis=0)
    assert np.sqrt(np.nanmean(off**2)) < HEAD_RMSE_CM
    top = int(np.abs(times - told["top_s"]).argmin())
    moved = [np.linalg.norm(each[top] - np.nanmedian(each[:5], axis=0)) for each in (club.putter_head_px, true[:, 1])]
    assert abs(moved[0] - moved[1]) / scale < LENGTH_CM
    assert np.nanmean(np.abs(off) < 3 * club.putter_head_sd_px[:, None] / scale) > 0.95
    assert club.kind == "putt"
    assert club.ball_leaves_s.value == pytest.approx(told["impact_s"], abs=IMPACT_S)
    assert club.ball_leaves_s.standard_uncertainty < IMPACT_S
    rolling = times > told["impact_s"] + 0.05
    ball = (club.ball_px - truth.ball_px(times, putt=truth.putts_before(times[0]))) / scale
    assert np.isfinite(ball[rolling, 0]).sum() >= 6
    assert np.sqrt(np.nanmean(ball**2)) < 0.5


def test_a_rendered_practice_stroke_off_the_ball_is_told_from_a_putt():
    truth, times, club = follow_clip("left_hander", "face_on", 0)
    assert club.kind == "practice"
    assert club.ball_leaves_s.absent == "The ball stays at its place."
    off = (club.putter_head_px - truth.putter_px(times)[:, 1]) / truth.truth["views"]["face_on"]["px_per_cm"]
    off -= np.nanmedian(off[:5], axis=0)
    assert np.isfinite(off[:, 0]).mean() > 0.85
    assert np.sqrt(np.nanmean(off**2)) < HEAD_RMSE_CM


@pytest.mark.parametrize(
    ("rate_hz", "seeds"),
    [
        (30.0, range(2)),
        pytest.param(30.0, range(2, 8), marks=pytest.mark.whole),
        pytest.param(120.0, range(2), marks=pytest.mark.whole),
    ],
    ids=["some", "the rest", "120 a second"],
)
def test_the_first_motion_is_known_better_than_to_a_frame(rate_hz, seeds):
    off, told = [], []
    for seed in seeds:
        # A short clip is enough: the ball leaves the picture within half a second.
        drawn = DrawnStroke(rate_hz=rate_hz, seed=seed, impact_s=1.29 + 0.013 * seed, start_s=1.0, stop_s=1.55)
        club = drawn.follow()
        assert club.kind == "putt"
        off.append(club.ball_leaves_s.value - drawn.impact_s)
        told.append(club.ball_leaves_s.standard_uncertainty)
    assert np.max(np.abs(off)) < 0.005
    assert np.max(np.abs(off)) < 3 * max(told)
    assert max(told) < IMPACT_S


def test_a_ball_that_stays_makes_a_practice_stroke():
    club = DrawnStroke(rate_hz=30, start_s=BACK_S, speed_cm_s=None).follow()
    assert (club.kind, club.why) == ("practice", "The ball stays at its place.")
    assert not club.ball_leaves_s
    off = np.linalg.norm(club.ball_px - REST, axis=1)
    assert np.isfinite(off).mean() > 0.9
    assert np.nanmax(off) < 1.0


def test_no_ball_at_the_putter_makes_a_practice_stroke_and_says_so():
    drawn = DrawnStroke(rate_hz=30, start_s=BACK_S, speed_cm_s=None, balls=())
    club = drawn.follow(ball_px=None, ball_source="none", ball_why_not="nothing round and bright lies there")
    assert club.kind == "practice"
    assert "No ball lies at the putter head" in club.why
    assert not np.isfinite(club.ball_px).any()
    assert not club.ball_leaves_s


def test_another_ball_that_lies_near_is_not_taken():
    drawn = DrawnStroke(
        rate_hz=30, start_s=BACK_S, balls=(tuple(REST), (REST[0] + 150, REST[1] - 20), (REST[0] - 60, REST[1] + 25))
    )
    club = drawn.follow()
    assert club.kind == "putt"
    assert club.ball_leaves_s.value == pytest.approx(drawn.impact_s, abs=0.005)
    true = np.array([drawn.ball(time) for time in drawn.times_s])
    assert np.nanmax(np.linalg.norm(club.ball_px - true, axis=1)) < 1.0 * SCALE


def test_a_second_ball_rolled_in_at_once_is_said_and_not_taken():
    drawn = DrawnStroke(rate_hz=30, start_s=BACK_S, rolled_in_s=1.75, stop_s=2.5)
    club = drawn.follow()
    assert club.ball_leaves_s.value == pytest.approx(drawn.impact_s, abs=0.005)
    assert any("another ball" in note for note in club.notes)
    assert not (np.linalg.norm(club.ball_px[drawn.times_s > 2.1] - REST, axis=1) < 5).any()


def test_a_place_that_a_foot_hides_leaves_it_open_whether_the_ball_left():
    club = DrawnStroke(rate_hz=30, start_s=BACK_S, speed_cm_s=None, foot_from_s=1.1).follow()
    assert club.kind == "unsure"
    assert "hidden" in club.why
    assert not club.ball_leaves_s


def test_a_ball_that_no_one_found_at_address_is_found_when_the_head_has_gone_back():
    drawn = DrawnStroke(rate_hz=30, start_s=BACK_S)
    club = drawn.follow(ball_px=None, ball_source="none", ball_why_not="nothing round and bright lies there")
    assert club.kind == "putt"
    assert club.ball_leaves_s.value == pytest.approx(drawn.impact_s, abs=0.005)


def test_without_a_putter_nothing_is_followed_and_the_reason_is_given():
    drawn = DrawnStroke(rate_hz=30)
    club = drawn.follow(shaft_px=None, ball_px=None, shaft_source="none", ball_source="none", without_putter=True)
    assert (club.kind, club.why) == ("unsure", "The clip was filmed without putter and ball.")
    assert not np.isfinite(club.shaft_px).any()
    assert not np.isfinite(club.putter_head_sd_px).any()
    assert len(club.shaft_px) == len(drawn.times_s)


def test_a_shaky_camera_whose_motion_is_known_is_taken_out():
    drawn = DrawnStroke(rate_hz=30, start_s=BACK_S, shake_px=3.0)
    club = drawn.follow()
    still = DrawnStroke(rate_hz=30, start_s=BACK_S).follow()
    assert club.ball_leaves_s.value == pytest.approx(drawn.impact_s, abs=0.005)
    apart = np.linalg.norm(club.putter_head_px - still.putter_head_px, axis=1)
    assert np.nanmedian(apart) > 1.5  # the points are those of each frame, as it was filmed


def test_a_stroke_of_few_frames_or_none_is_no_error():
    drawn = DrawnStroke(rate_hz=30, start_s=0.1, stop_s=0.2)
    club = drawn.follow()
    assert club.kind == "practice"
    follower = ClubFollower(drawn.scene(), next(drawn.frames()).picture, hands_px=np.full(2, np.nan))
    empty = follower.finish()
    assert empty.shaft_px.shape == (0, 2, 2)
    assert empty.kind == "unsure"
