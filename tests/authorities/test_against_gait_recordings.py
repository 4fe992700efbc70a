"""Turning points against annotated heel strikes of two recordings of walking.

The heel strike is about where the heel is farthest ahead of the hips (Zeni, Richards and Higginson 2008, Gait & Posture
27:710; they found it within 17 ms of force plates in half of healthy walking, some 10 to 60 ms off in patients; from
memory). The table and what was left out of it: `make_gait_table.py`.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from putt_posture.strokes.noise import Noise
from putt_posture.strokes.swing_model import fit_finish

RATE_HZ = 150.0
LATEST_S = 0.06
"""Farthest from one annotated strike: what the definition itself is off by in people who walk unevenly."""
MEAN_S = 0.03
FROM_FARTHEST_S = 0.01
"""Farthest from the frame in which the heel is farthest ahead, in recordings with hardly any noise."""
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
