"""What two shots of one body share of the joints' errors; two lessons share less, and nothing of it is counted."""

import numpy as np
import pytest
from joint_sharing import SHARED_BY_TWO_SHOTS, find_intraclass_correlation, find_joint_sharing

from putt_posture.values import VIEWS

ROUNDED_DOWN_BY = 0.06
"""To a twentieth, and no further."""
MEASURED_MEDIAN = {"down_the_line": 0.42, "face_on": 0.42}
PRINTED = 0.01


@pytest.mark.parametrize("view", VIEWS)
def test_share_of_the_joints_is_the_lower_quartile_of_what_two_shots_share_rounded_down(view) -> None:
    shares = list(find_joint_sharing(view).values())
    quartile = np.quantile(shares, 0.25)
    assert quartile - ROUNDED_DOWN_BY < SHARED_BY_TWO_SHOTS <= quartile
    assert np.median(shares) == pytest.approx(MEASURED_MEDIAN[view], abs=PRINTED)


def test_intraclass_correlation_finds_what_pairs_share() -> None:
    rng = np.random.default_rng(3)
    body, own = rng.normal(size=(4000, 1)), rng.normal(size=(4000, 2))
    pairs = np.sqrt(0.4) * body + np.sqrt(0.6) * own
    assert find_intraclass_correlation(pairs) == pytest.approx(0.4, abs=0.04)  # 3 standard errors
    assert find_intraclass_correlation(own) == pytest.approx(0.0, abs=0.05)


def test_intraclass_correlation_of_pairs_that_agree_is_one_and_a_lost_pair_is_left_out() -> None:
    assert find_intraclass_correlation(np.array([[1.0, 1.0], [3.0, 3.0], [np.nan, 2.0]])) == pytest.approx(1.0)
