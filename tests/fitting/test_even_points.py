"""The points that stand in for chance are SciPy's, and SciPy's statistics are not loaded for them."""

import subprocess
import sys

import numpy as np
import pytest
from scipy.stats import norm, qmc

from putt_posture.fitting.propagation import MOST_DIMENSIONS, normal_points


@pytest.mark.parametrize("log2_count", [4, 11, 12])
@pytest.mark.parametrize("dimensions", [1, 2, 34, MOST_DIMENSIONS])
def test_points_are_those_of_scipy_to_the_last_bit(dimensions, log2_count) -> None:
    uniform = qmc.Sobol(dimensions, scramble=False).random_base2(log2_count)
    expected = norm.ppf(uniform + 0.5 / len(uniform))
    np.testing.assert_array_equal(normal_points(dimensions, log2_count=log2_count), expected)


@pytest.mark.parametrize(("dimensions", "log2_count"), [(MOST_DIMENSIONS + 1, 4), (2, 13)])
def test_more_than_the_table_holds_is_refused(dimensions, log2_count) -> None:
    with pytest.raises(ValueError, match="direction numbers"):
        normal_points(dimensions, log2_count=log2_count)


def test_a_lesson_is_measured_and_stored_without_scipys_statistics() -> None:
    # Importing them takes a second, half of what all other imports take.
    asked = "import sys, putt_posture.lesson, putt_posture.pages.lesson_files; sys.exit('scipy.stats' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", asked], check=False).returncode == 0
