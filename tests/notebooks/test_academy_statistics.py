"""The statistics of the head coach's notebook: against what was drawn, and against statsmodels."""

import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.stats import false_discovery_control

sys.path.insert(0, str(Path(__file__).parents[2] / "notebooks"))

from academy_statistics import (
    Groups,
    bound_share,
    find_back,
    find_groups,
    joint_level,
    share_cut,
    share_left,
    square_change,
    weights_of,
)
from made_academy import CUT, REBUILT, draw_academy, write_academy

from putt_posture.archive.export.frame_columns import FORMS
from putt_posture.archive.export.frames import columns_of
from putt_posture.changes import OFFSETS_SHARED
from putt_posture.measures import MEASURES

SEEDS, STUDENTS = range(100, 130), 1200


def of_measure(academy, name, *, everyone=False):
    """What the notebook reads of one measure: three values and their noise; the last NaN for who did not come back."""
    at = list(MEASURES).index(name)
    shared = OFFSETS_SHARED[MEASURES[name].views[0]]
    value = academy.measured[:, :, at].copy()
    if not everyone:
        value[~academy.comes_back, 2] = np.nan
    return value, academy.new[:, :, at] ** 2 + (1 - shared) * academy.shared[:, :, at] ** 2


def true_left(academy, name):
    at = list(MEASURES).index(name)
    size = academy.change[:, at] ** 2
    return (size * academy.left[:, at]).sum() / size.sum()


@pytest.fixture(scope="module")
def academies():
    return [draw_academy(students=STUDENTS, seed=seed) for seed in SEEDS]


@pytest.fixture(scope="module")
def large():
    return draw_academy(students=20_000, seed=3)


def test_19_of_20_intervals_of_what_is_left_hold_the_truth_of_all_students(academies):
    hold, bounds = [], []
    for academy in academies:
        weights = weights_of(academy.minor, academy.comes_back)
        for name in REBUILT:
            value, noise = of_measure(academy, name)
            truth, left = true_left(academy, name), share_left(*value.T, noise, weights)
            hold.append(left.low < truth < left.high)
            seen = share_left(*value.T, noise, academy.comes_back.astype(float))
            low, high = bound_share(seen, value[:, 0], value[:, 1], noise, academy.comes_back)
            bounds.append(low <= truth <= high)
    assert len(hold) == 180
    assert 0.91 < np.mean(hold) < 0.985  # four standard errors of 180 intervals about 0.95, rounded
    assert all(bounds)


def test_without_the_noise_taken_out_or_with_only_those_who_came_the_answer_is_wrong(large):
    """What the notebook guards against is there in what was drawn: in a large academy each trap moves the answer."""
    value, noise = of_measure(large, "back_rounding")
    truth, weights = true_left(large, "back_rounding"), weights_of(large.minor, large.comes_back)
    good = share_left(*value.T, noise, weights)
    assert good.low < truth < good.high
    only_seen = share_left(*value.T, noise, large.comes_back.astype(float))
    assert not only_seen.low < truth < only_seen.high
    value, noise = of_measure(large, "stance_width")
    raw = share_left(*value.T, np.zeros_like(noise), weights)
    assert not raw.low < true_left(large, "stance_width") < raw.high


def test_only_the_measures_that_were_rebuilt_are_said_to_be_changed(academies):
    level, wrong = joint_level(len(MEASURES)), 0
    for academy in academies[:10]:
        found = set()
        for name in MEASURES:
            value, noise = of_measure(academy, name)
            if square_change(value[:, 0], value[:, 1], noise, level=level).low > 0:
                found.add(name)
        assert set(REBUILT) <= found
        wrong += bool(found - set(REBUILT))
    assert wrong <= 3  # 5 of 100 academies at most are meant to name one too many


def test_how_many_changed_and_by_how_much_is_found(large):
    for name, (share, mean, differs, *_) in REBUILT.items():
        value, noise = of_measure(large, name)
        groups = find_groups(value[:, 1] - value[:, 0], noise[:, 0] + noise[:, 1])
        assert groups.share == pytest.approx(share, abs=0.02)
        assert groups.mean == pytest.approx(mean, rel=0.04)
        assert groups.differs == pytest.approx(differs, rel=0.12)


def test_of_those_named_as_gone_back_at_most_5_of_100_held(academies):
    named = wrong = missed = gone = 0
    for academy in academies:
        chances, held = [], []
        for name in REBUILT:
            at = list(MEASURES).index(name)
            value, noise = of_measure(academy, name)
            groups = find_groups(value[:, 1] - value[:, 0], noise[:, 0] + noise[:, 1])
            chance = find_back(*value.T, noise, groups)
            sure = (groups.changed > 0.99) & ~np.isnan(chance)
            chances.append(chance[sure])
            held.append((academy.left[sure, at] == 1) | (academy.change[sure, at] == 0))
        back = false_discovery_control(np.concatenate(chances)) <= 0.05
        held = np.concatenate(held)
        named, wrong = named + back.sum(), wrong + (back & held).sum()
        missed, gone = missed + (~back & ~held).sum(), gone + (~held).sum()
    assert wrong / named < 0.05
    assert missed / gone < 0.5


def test_a_change_that_held_has_any_chance_alike(large):
    """Under the question's own assumption the chances are uniform, which a naive test of the drift is not."""
    at = list(MEASURES).index("spine_tilt")
    value, noise = of_measure(large, "spine_tilt", everyone=True)
    groups = find_groups(value[:, 1] - value[:, 0], noise[:, 0] + noise[:, 1])
    held = (large.change[:, at] != 0) & (large.left[:, at] == 1) & ~np.isnan(value).any(axis=1)
    chance = find_back(*value.T, noise, groups)[held]
    assert np.quantile(chance, [0.05, 0.5, 0.95]) == pytest.approx([0.05, 0.5, 0.95], abs=0.02)


def test_19_of_20_intervals_of_the_putters_that_were_cut_hold_the_truth_of_all_students(academies):
    hold, bounds = [], []
    for academy in academies:
        for inches in CUT:
            own = academy.putter_in == inches
            is_cut = academy.cut_in[own] > 0
            share, (low, high) = share_cut(is_cut, academy.minor[own], academy.comes_back[own])
            hold.append(share.low < is_cut.mean() < share.high)
            bounds.append(low <= is_cut.mean() <= high)
    assert 0.9 < np.mean(hold) <= 1.0
    assert all(bounds)


def test_the_share_left_is_the_slope_of_statsmodels_where_there_is_no_noise():
    import statsmodels.api as sm

    rng = np.random.default_rng(1)
    one = rng.normal(8, 4, 300)
    two = 0.6 * one + rng.normal(0, 1 + 0.2 * np.abs(one))
    weights = rng.uniform(0.5, 2, 300)
    found = share_left(np.zeros(300), one, two, np.zeros((300, 3)), weights)
    fitted = sm.WLS(two, one, weights=weights).fit(cov_type="HC0")
    assert [found.value, found.low, found.high] == pytest.approx([fitted.params[0], *fitted.conf_int()[0]], rel=1e-9)


def test_shares_and_discoveries_are_those_of_statsmodels():
    from statsmodels.stats.multitest import multipletests
    from statsmodels.stats.proportion import proportion_confint

    is_cut = np.arange(80) < 23
    one, _ = share_cut(is_cut, np.zeros(80), np.ones(80, dtype=bool))
    wanted = proportion_confint(23, 80, method="wilson")
    assert [one.low, one.high] == pytest.approx(wanted, rel=1e-9)
    chances = np.random.default_rng(2).beta(0.4, 1, 500)
    rejected = multipletests(chances, alpha=0.05, method="fdr_bh")[0]
    np.testing.assert_array_equal(false_discovery_control(chances) <= 0.05, rejected)
    assert 0 < rejected.sum() < 500


def test_missing_measures_are_left_out_and_a_size_that_never_came_back_is_not_known():
    value = np.array([[0.0, 10.0, 8.0], [0.0, np.nan, 5.0], [0.0, 12.0, np.nan], [1.0, 9.0, 7.0]])
    found = share_left(*value.T, np.zeros((4, 3)), np.ones(4))
    assert found.value == pytest.approx((80 + 48) / (100 + 64))
    groups = Groups(0.5, 10.0, 2.0, np.ones(4))
    assert list(np.isnan(find_back(*value.T, np.ones((4, 3)), groups))) == [False, True, True, False]
    share, bounds = share_cut(np.zeros(3, dtype=bool), np.zeros(3), np.zeros(3, dtype=bool))
    assert np.isnan(share.value)
    assert bounds == (0.0, 1.0)


def test_the_made_tables_have_the_columns_of_an_export_and_the_same_seed_makes_the_same(tmp_path):
    academy = draw_academy(students=50, seed=5)
    for name in ("one", "two"):
        write_academy(academy if name == "one" else draw_academy(students=50, seed=5), tmp_path / name)
    for table in ("students", "lessons", "measures"):
        form = next(each for each in FORMS if each.name == table)
        read = pd.read_parquet(tmp_path / "one" / table)
        assert list(read.drop(columns="year", errors="ignore")) == [each.name for each in columns_of(form, names=False)]
        pd.testing.assert_frame_equal(read, pd.read_parquet(tmp_path / "two" / table))
    lessons = pd.read_parquet(tmp_path / "one" / "lessons")
    assert len(lessons) == 100 + academy.comes_back.sum()
    assert set(pd.read_parquet(tmp_path / "one" / "measures")["measure"]) == set(MEASURES)
