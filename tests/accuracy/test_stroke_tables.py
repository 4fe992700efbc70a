"""The tables of the stroke study: what counts as reached, and which targets are missed."""

import numpy as np
import pandas as pd
import pytest
from stroke_tables import TARGETS, tabulate_numbers, tabulate_targets

COUNT = 40


def numbers(what, errors, *, truth, sd, view="face_on"):
    """Rows of one number with these errors and a normal 95 % interval."""
    values = truth + np.asarray(errors, dtype=float)
    return [
        {
            "what": what, "view": view, "truth": truth, "value": value, "standard_uncertainty": sd,
            "low": value - 1.96 * sd, "high": value + 1.96 * sd, "absent": None,
        }
        for value in values
    ]  # fmt: skip


def spread(sd):
    """Errors whose root mean square is `sd`, without bias, 95 % of them within the interval."""
    errors = np.random.default_rng(1).normal(0, 1, COUNT)
    errors -= errors.mean()
    return sd * errors / np.sqrt(np.mean(errors**2))


def line(rows, title):
    return tabulate_targets(pd.DataFrame(rows)).loc[title]


def test_every_target_of_the_study_has_its_line():
    rows = numbers("start", spread(0.01), truth=1.0, sd=0.01)
    assert list(tabulate_targets(pd.DataFrame(rows)).index) == [target.title for target in TARGETS]


def test_start_within_its_target_is_met_in_milliseconds():
    told = line(numbers("start", spread(0.020), truth=1.0, sd=0.02), "start, face on")
    assert told["reached"] == pytest.approx(20.0)
    assert told["met"] == "yes"


@pytest.mark.parametrize(
    ("errors", "sd", "missed"),
    [
        (spread(0.030), 0.03, "RMSE"),
        (spread(0.005) + 0.012, 0.01, "bias"),
        (spread(0.020), 0.004, "holds"),
        (spread(0.010), 0.05, "width"),
    ],
)
def test_missed_target_is_named(errors, sd, missed):
    assert missed in line(numbers("start", errors, truth=1.0, sd=sd), "start, face on")["met"]


def test_ratio_counts_in_percent_of_itself():
    told = line(numbers("tempo_ratio", spread(0.08), truth=2.0, sd=0.08), "ratio back : through, face on")
    assert told["reached"] == pytest.approx(4.0)


def test_share_found_is_that_of_all_strokes():
    rows = [{"what": "found", "view": "face_on", "value": float(k > 0), "truth": 1.0} for k in range(COUNT)]
    told = line(rows, "strokes found")
    assert told["reached"] == pytest.approx(97.5)
    assert told["met"] == "no"


def test_sideways_path_is_the_root_mean_square_over_strokes_down_the_line_only():
    rows = [
        {"what": "series hands", "view": view, "value": value, "truth": 0.0, "bias": 0.0, "holds": 0.95}
        for view, value in (("down_the_line", 0.3), ("down_the_line", 0.4), ("face_on", 9.0))
    ]
    assert line(rows, "sideways path of hands")["reached"] == pytest.approx(np.sqrt((0.09 + 0.16) / 2))


def test_absent_numbers_are_counted():
    rows = numbers("hands_back", spread(0.5), truth=10.0, sd=0.5)
    rows += [{"what": "hands_back", "view": "face_on", "truth": 9.0, "value": np.nan, "absent": "Not seen."}]
    told = tabulate_numbers(pd.DataFrame(rows)).loc[("hands_back", "face_on")]
    assert (told["n"], told["absent"]) == (COUNT, 1)
