"""Turning points against annotated heel strikes, and starts against annotated toe-offs, in recordings of walking.

The heel strike is about where the heel is farthest ahead of the hips (Zeni, Richards and Higginson 2008, Gait & Posture
27:710; they found it within 17 ms of force plates in half of healthy walking, some 10 to 60 ms off in patients; from
memory). The table and what was left out of it: `make_gait_table.py`.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from attrs import evolve

from putt_posture.strokes.events import find_events
from putt_posture.strokes.noise import Noise
from putt_posture.strokes.swing_model import fit_finish
from putt_posture.values import LANDMARK_NAMES, SeenStroke, absent

RATE_HZ = 150.0
LATEST_S = 0.06
"""Farthest from one annotated strike: what the definition itself is off by in people who walk unevenly."""
MEAN_S = 0.03
FROM_FARTHEST_S = 0.01
"""Farthest from the frame in which the heel is farthest ahead, in recordings with hardly any noise."""
BEFORE_TOE_OFF_S = (-0.11, 0.01)
"""Where one start may lie against its toe-off."""
MEAN_BEFORE_S = (-0.08, -0.02)
SCATTER_S = 0.03
SWINGS = pd.read_csv(Path(__file__).with_name("gait_toe_swings.csv"))
MM_A_PIXEL = 10.0
RECORDED = pd.read_csv(Path(__file__).with_name("gait_heel_strikes.csv"))


def strikes():
    for name, table in RECORDED.groupby("recording"):
        for side in ("left", "right"):
            heel = table[f"{side}_heel_mm"].to_numpy(float)
            for struck in np.flatnonzero(table[f"{side}_strike"].to_numpy(int)):
                if struck > 0.35 * RATE_HZ:  # the leg's swing before it was recorded
                    yield name, heel, int(struck)


def turning_point(heel, struck):
    """Return the heel's farthest point by the code for a finish, and the frame that is farthest."""
    fastest = struck - int(0.35 * RATE_HZ)
    fastest += int(np.argmax(np.gradient(heel)[fastest:struck]))
    farthest = fastest + int(np.argmax(heel[fastest : struck + int(0.12 * RATE_HZ)]))
    used = slice(fastest, farthest + int(0.05 * RATE_HZ))
    times = np.arange(len(heel)) / RATE_HZ
    noise = Noise(quick=np.array([1.5]), memory_s=0.0, sway=np.zeros(1))
    length = float(heel[farthest] - heel[fastest])
    found, _ = fit_finish(
        times[used],
        heel[used],
        noise.covariance(times[used]),
        impact_s=float(times[fastest]),
        length=length,
        around_s=float(times[farthest]),
    )
    return found, float(times[farthest])


def test_the_farthest_point_of_the_heel_is_near_the_annotated_strike():
    off = []
    for name, heel, struck in strikes():
        found, farthest = turning_point(heel, struck)
        off.append(found - struck / RATE_HZ)
        assert abs(off[-1]) <= LATEST_S, (name, struck)
        assert found == pytest.approx(farthest, abs=FROM_FARTHEST_S)
    assert len(off) == 9
    assert np.mean(np.abs(off)) <= MEAN_S


@pytest.mark.parametrize("noise_mm", [5.0, 15.0])
def test_noise_of_a_landmark_model_moves_a_turning_point_little(noise_mm):
    rng = np.random.default_rng(1)
    moved = []
    for _, heel, struck in strikes():
        plain, _ = turning_point(heel, struck)
        noisy, _ = turning_point(heel + rng.normal(0, noise_mm, len(heel)), struck)
        moved.append(noisy - plain)
    assert np.mean(np.abs(moved)) <= 0.035


def toe_swings():
    """Yield each step as a stroke: times, places in pixels, and when the toes left the ground, s."""
    numbers = (SWINGS["frame"].diff() != 1).cumsum()
    for _, table in SWINGS.groupby(numbers):
        toe = table["toe_mm"].to_numpy(float)
        # Every second frame forward, every fourth back, and a moment of rest.
        places = np.concatenate([toe[::2], toe[::-1][4::4], np.full(20, toe[0])]) / MM_A_PIXEL
        off = int(np.flatnonzero(table["toe_off"].to_numpy(int))[0]) / RATE_HZ
        yield 2 * np.arange(len(places)) / RATE_HZ, places, off, len(toe) / RATE_HZ


def start_of(times, places, off_s, landed_s, *, noise_px):
    rng = np.random.default_rng(2)
    along = places + rng.normal(0, noise_px, len(places))
    seen = SeenStroke.without_putter(
        view="face_on",
        times_s=times,
        address_s=(0.0, off_s - 0.15),
        stroke_s=(off_s - 0.1, landed_s + (landed_s - off_s) / 2 + 0.05),
        points_px=np.full((len(times), len(LANDMARK_NAMES), 2), np.nan),
        ball_leaves_s=absent("There is no ball.", unit="s"),
        why="A step.",
    )
    head_px = np.stack([-along, np.zeros(len(along))], axis=1)
    sd_px = np.full(len(times), max(noise_px, 0.05))
    return find_events(evolve(seen, putter_head_px=head_px, putter_head_sd_px=sd_px))["start"]


@pytest.mark.parametrize("noise_mm", [0.5, pytest.param(6.0, marks=pytest.mark.whole)])
def test_the_start_of_a_step_is_shortly_before_the_annotated_toe_off(noise_mm):
    off = []
    for times, places, off_s, landed_s in toe_swings():
        start = start_of(times, places, off_s, landed_s, noise_px=noise_mm / MM_A_PIXEL)
        assert start, start.absent
        off.append(start.value - off_s)
    assert len(off) == 6
    assert BEFORE_TOE_OFF_S[0] <= min(off) <= max(off) <= BEFORE_TOE_OFF_S[1], off
    assert MEAN_BEFORE_S[0] <= np.mean(off) <= MEAN_BEFORE_S[1], off
    assert np.std(off) <= SCATTER_S, off
