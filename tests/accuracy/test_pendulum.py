"""A pendulum with known period, rendered and filmed, through what finds the turning points of a stroke.

`sample_clips/make_pendulum.py` made ``pendulum.mp4``: a ball on a rod is drawn back, let go, and swings freely. From
the release to the lowest point takes a quarter of the period, to where it turns on the other side half of it.
"""

from pathlib import Path

import numpy as np
import pytest
from attrs import evolve
from scipy.special import ellipk

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.strokes.events import find_events
from putt_posture.values import LANDMARK_NAMES, SeenStroke, absent

PERIOD_S = 4 * np.sqrt(0.60 / 9.81) * ellipk(np.sin(0.35 / 2) ** 2)
"""T = 4 √(length / g) K(sin²(angle / 2)), the exact period of a pendulum of 60 cm let go at 0.35 rad: 1.566 s."""
STARTS_S, RELEASED_S = 0.9, 0.9 + 0.7 + 0.15
EVENT_TOLERANCE_S = 0.015
"""What the study allows the top, root mean square."""
START_TOLERANCE_S = 0.025
RETURN_TOLERANCE_S = 0.005
"""The lowest point is passed at full speed, 80 cm/s: 5 ms are 4 mm."""


@pytest.fixture(scope="module")
def swing():
    """Return the pendulum as a stroke: its weight, found by its colour, in the place of the putter head."""
    clip = read_clip(Path(__file__).with_name("pendulum.mp4"), view="face_on")
    times, places = [], []
    for frame in iterate_frames(clip):
        picture = np.asarray(frame.picture, dtype=float)
        red = np.clip(picture[..., 0] - picture[..., 1:].max(axis=2) - 40, 0, None)
        v, u = np.indices(red.shape)
        times.append(frame.time_s)
        places.append([(red * u).sum() / red.sum(), (red * v).sum() / red.sum()])
    times, places = np.array(times), np.array(places)
    seen = SeenStroke.without_putter(
        view="face_on",
        times_s=times,
        address_s=(0.1, 0.85),
        stroke_s=(0.95, 2.6),
        points_px=np.full((len(times), len(LANDMARK_NAMES), 2), np.nan),
        ball_leaves_s=absent("There is no ball.", unit="s"),
        why="A pendulum.",
    )
    return evolve(seen, putter_head_px=places, putter_head_sd_px=np.full(len(times), 0.1))


@pytest.fixture(scope="module")
def events(swing):
    return find_events(swing)


def test_weight_is_followed_in_the_film(swing):
    wide = np.ptp(swing.putter_head_px[:, 0])
    assert 100 < wide < 300
    assert len(swing.times_s) == 201


def test_start_is_where_the_weight_is_drawn_back(events):
    assert events["start"].value == pytest.approx(STARTS_S, abs=START_TOLERANCE_S)


def test_top_is_the_moment_of_the_release(events):
    assert events["top"].value == pytest.approx(RELEASED_S, abs=EVENT_TOLERANCE_S)


def test_lowest_point_is_a_quarter_of_the_period_after_the_release(events):
    assert events["impact"].value == pytest.approx(RELEASED_S + PERIOD_S / 4, abs=RETURN_TOLERANCE_S)


def test_turning_point_is_half_a_period_after_the_release(events):
    assert events["finish"].value == pytest.approx(RELEASED_S + PERIOD_S / 2, abs=EVENT_TOLERANCE_S)


@pytest.mark.parametrize("name", ["start", "top", "impact", "finish"])
def test_interval_of_each_event_holds_the_truth(events, name):
    true = {
        "start": STARTS_S,
        "top": RELEASED_S,
        "impact": RELEASED_S + PERIOD_S / 4,
        "finish": RELEASED_S + PERIOD_S / 2,
    }[name]
    assert events[name].low <= true <= events[name].high
