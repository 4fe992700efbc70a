"""Where the latest visit lies between the first setup and the rebuilt one."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.changes import weigh_change
from putt_posture.history import find_midway
from putt_posture.values import Estimate

SIZES = st.floats(0.1, 10)
VALUES = st.floats(-50, 50)


def changes(values, sizes, shared=0.0):
    """Return first to rebuilt, rebuilt to latest and first to latest; `shared` is the correlation of all errors."""

    def change(start, end):
        u = math.sqrt(sizes[start] ** 2 + sizes[end] ** 2 - 2 * shared * sizes[start] * sizes[end])
        found = Estimate(value=values[end] - values[start], standard_uncertainty=u, unit="deg")
        return weigh_change("spine_tilt", found, found, found)

    return change(0, 1), change(1, 2), change(0, 2)


@pytest.mark.parametrize(
    ("values", "beyond"),
    [((20, 30, 30), 5), ((20, 30, 25), 0), ((20, 30, 20), -5), ((30, 20, 20), 5), ((30, 20, 27), -2)],
)  # fmt: skip
def test_the_middle_is_nought_and_the_rebuilt_side_is_plus(values, beyond) -> None:
    assert find_midway(*changes(values, (1, 1, 1))).value == beyond


@given(st.tuples(VALUES, VALUES, VALUES), st.tuples(SIZES, SIZES, SIZES))
def test_its_variance_is_that_of_the_latest_less_the_mean_of_the_others(values, sizes) -> None:
    u1, u2, u3 = sizes
    plain = u3**2 + (u1**2 + u2**2) / 4
    least = min(u1**2 + u3**2, u2**2 + u3**2) / 2  # what is kept at least, where setups tell different scatters
    found = find_midway(*changes(values, sizes))
    assert found.standard_uncertainty == pytest.approx(math.sqrt(max(plain, least)))


def test_errors_that_all_three_share_drop_out() -> None:
    # One error of 3 with 0.6 of its variance common: u(m)^2 = 9 (1 - 0.6) (1 + 1/4 + 1/4).
    found = find_midway(*changes((0, 10, 10), (3, 3, 3), shared=0.6))
    assert found.standard_uncertainty == pytest.approx(math.sqrt(9 * 0.4 * 1.5))


def test_an_error_of_the_rebuilt_visit_that_makes_a_rebuild_does_not_make_it_look_held() -> None:
    drawn = np.random.default_rng(8)
    x = drawn.standard_normal((4000, 3)) + np.array([0.0, 4.0, 2.0])  # truly half gone
    told = [changes(tuple(row), (1, 1, 1)) for row in x]
    kept = [each for each in told if each[0].real]
    held = sum(find_midway(*each).low > 0 for each in kept) / len(kept)
    assert held < 0.025 + 3 * math.sqrt(0.025 * 0.975 / len(kept))  # 1 of 40, and three standard errors


def test_the_interval_is_as_wide_as_the_widest_of_the_three() -> None:
    found = changes((0, 10, 10), (1, 1, 1))
    few = weigh_change("spine_tilt", found[1].before, found[1].after, found[1].change, freedom=3.0)
    assert find_midway(found[0], few, found[2]).coverage == few.change.coverage > 3
