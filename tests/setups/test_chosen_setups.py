"""The coach's own times."""

from pathlib import Path

import numpy as np
import pytest

from putt_posture.errors import UsageError
from putt_posture.setups import choose_setups
from putt_posture.values import Clip

CLIP = Clip(
    path=Path("lesson.mp4"),
    sha256="0" * 64,
    view="face_on",
    kind="video",
    width=640,
    height=480,
    duration_s=10.0,
    rate_hz=30.0,
)
SLOW = Clip(
    path=Path("slow.mp4"),
    sha256="0" * 64,
    view="face_on",
    kind="video",
    width=640,
    height=480,
    duration_s=80.0,
    rate_hz=30.0,
    time_stretch=8.0,
)
STILL = Clip(path=Path("still.jpg"), sha256="0" * 64, view="face_on", kind="still", width=640, height=480)


def test_the_given_time_is_the_moment():
    (setup,) = choose_setups(CLIP, [3.4])
    assert setup.moment_s == 3.4
    assert setup.moment_s in setup.times_s
    assert len(setup.times_s) == 5
    assert setup.chosen_by == "person"
    assert setup.reason == "Chosen by the coach at 3.4 s."


def test_frames_lie_close_around_the_given_time_in_real_seconds():
    for clip in (CLIP, SLOW):
        (setup,) = choose_setups(clip, [5.0])
        assert np.ptp(setup.times_s) / clip.time_stretch == pytest.approx(0.4)


def test_several_times_come_in_order_and_once():
    assert [setup.moment_s for setup in choose_setups(CLIP, [7.0, 2.5, 7.0])] == [2.5, 7.0]


@pytest.mark.parametrize("time_s", [0.0, 9.99, 10.0])
def test_frames_at_an_end_of_the_clip_stay_inside(time_s):
    (setup,) = choose_setups(CLIP, [time_s])
    assert 0 <= setup.times_s[0] <= setup.moment_s <= setup.times_s[-1] <= 10.0 - 1 / 30 + 1e-9
    assert len(setup.times_s) >= 3


@pytest.mark.parametrize("time_s", [-0.1, 10.1, 1e9])
def test_a_time_outside_the_clip_is_refused(time_s):
    with pytest.raises(UsageError, match=r"outside lesson\.mp4, whose frames go from 0 to 9\.97 s"):
        choose_setups(CLIP, [time_s])


@pytest.mark.parametrize("time_s", [float("nan"), float("inf")])
def test_a_time_that_is_not_a_number_is_refused(time_s):
    with pytest.raises(UsageError, match="not a number of seconds"):
        choose_setups(CLIP, [time_s])


def test_no_time_is_refused():
    with pytest.raises(UsageError, match="No setup time was given"):
        choose_setups(CLIP, [])


def test_a_still_takes_only_zero():
    (setup,) = choose_setups(STILL, [0.0])
    assert setup.times_s == (0.0,)
    with pytest.raises(UsageError, match="which is a still"):
        choose_setups(STILL, [1.0])
