"""The study's arithmetic against numbers worked by hand."""

import math

import numpy as np
import pandas as pd
import pytest
from conditions import HEIGHT, YAW, group_of, in_order
from print_tables import as_markdown, as_text
from tables import ENOUGH_FOR_HIGH, misses, summarise, tabulate_condition, tabulate_measures
from targets import MOST_WIDTH, RMSE_TARGETS

ERRORS = (1.0, 2.0, 3.0, -2.0)
"""Mean 4/4 = 1; mean square (1 + 4 + 9 + 4)/4 = 4.5; variance 4.5 − 1² = 3.5."""
HALVES = (1.0, 2.5, 2.5, 4.0)
"""Half-widths, median 2.5: the first interval ends at the truth and holds it, the third misses it."""


def rows(*, measure="spine_tilt", unit="deg", truth=30.0, errors=ERRORS, halves=HALVES, view="down_the_line"):
    value = truth + np.array(errors)
    return pd.DataFrame(
        {
            "folder": [f"golfer_{i}" for i in range(len(errors))],
            "measure": measure,
            "unit": unit,
            "view": view,
            "truth": truth,
            "value": value,
            "standard_uncertainty": np.array(halves) / 2,
            "low": value - halves,
            "high": value + halves,
            "absent": None,
        }
    )


def with_changes(frame, index, **changes):
    frame = frame.copy()
    for name, value in changes.items():
        frame.loc[index, name] = value
    return frame


def test_numbers_of_four_errors_are_as_worked_by_hand() -> None:
    numbers = summarise(rows())
    assert numbers["n"] == 4
    assert numbers["absent"] == 0
    assert numbers["bias"] == pytest.approx(1.0)
    assert numbers["SD"] == pytest.approx(math.sqrt(3.5))
    assert numbers["RMSE"] == pytest.approx(math.sqrt(4.5))
    assert numbers["worst"] == pytest.approx(3.0)
    assert numbers["u"] == pytest.approx(1.25)
    assert numbers["width"] == pytest.approx(2.5 / math.sqrt(4.5))
    assert numbers["holds %"] == pytest.approx(75.0)


def test_percentile_is_interpolated_between_the_two_largest() -> None:
    """Sizes 1, 2, 2, 3: rank 0.95 × 3 = 2.85 (definition 7 of Hyndman and Fan 1996) gives 2 + 0.85 × 1."""
    assert summarise(rows())["p95"] == pytest.approx(2.85)


def test_absent_counts_only_where_there_is_something_to_measure() -> None:
    frame = with_changes(rows(errors=(1.0, 1.0, 1.0, 1.0)), 0, value=np.nan, low=np.nan, high=np.nan)
    frame = with_changes(frame, 1, truth=np.nan)
    numbers = summarise(frame)
    assert (numbers["n"], numbers["absent"]) == (2, 1)
    assert numbers["bias"] == pytest.approx(1.0)


def test_interval_cut_at_its_floor_is_as_wide_as_it_is() -> None:
    frame = rows(truth=1.0, errors=(1.0,), halves=(4.0,)).assign(low=0.0)
    assert summarise(frame)["width"] == pytest.approx((6.0 - 0.0) / 2 / 1.0)


def test_measure_that_no_golfer_has_is_all_absent() -> None:
    frame = rows().assign(value=np.nan, low=np.nan, high=np.nan, standard_uncertainty=np.nan)
    table = tabulate_measures(frame)
    assert table.loc["spine_tilt", "absent"] == 4
    assert table.loc["spine_tilt", "met"] == "no: absent"
    assert "–" in as_text(table)


def test_each_target_that_is_missed_is_named() -> None:
    good = {"n": 40, "absent": 2, "RMSE": RMSE_TARGETS["spine_tilt"], "holds %": 90.0, "width": MOST_WIDTH}
    assert misses("spine_tilt", good) == []
    assert misses("spine_tilt", good | {"RMSE": 2.01}) == ["RMSE"]
    assert misses("spine_tilt", good | {"absent": 3}) == ["absent"]
    assert misses("spine_tilt", good | {"holds %": 89.9}) == ["holds"]
    assert misses("spine_tilt", good | {"width": 2.51}) == ["width"]
    assert misses("elbow_depth", good | {"RMSE": 99.0}) == []


def test_too_sure_an_interval_is_a_miss_once_there_are_enough_shots_to_tell() -> None:
    always = {"n": ENOUGH_FOR_HIGH, "absent": 0, "RMSE": 1.0, "holds %": 100.0, "width": 1.0}
    assert misses("spine_tilt", always) == ["holds"]
    assert misses("spine_tilt", always | {"n": ENOUGH_FOR_HIGH - 1}) == []


def test_sizes_are_grouped_up_to_and_with_the_limit() -> None:
    assert [group_of(yaw, YAW) for yaw in (0.0, 6.0, 6.01, 10.0, 14.9)] == [
        "to 6°", "to 6°", "6 to 10°", "6 to 10°", "over 10°",
    ]  # fmt: skip
    assert group_of(1.0, HEIGHT) == "mid"
    assert in_order("yaw", {"over 10°", "to 6°", "6 to 10°"}) == ["to 6°", "6 to 10°", "over 10°"]
    assert in_order("light", {"shade", "backlight"}) == ["backlight", "shade"]


GROUPS = pd.DataFrame(
    {
        "folder": [f"golfer_{i}" for i in range(4) for _ in range(2)],
        "view": ["down_the_line", "face_on"] * 4,
        "yaw": ["to 6°", "over 10°", "to 6°", "to 6°", "over 10°", "to 6°", "over 10°", "over 10°"],
    }
)


def test_condition_is_that_of_the_view_that_the_measure_came_from() -> None:
    """Down the line golfers 0 and 1 stand straight (errors 1 and 2), 2 and 3 askew (errors 3 and −2)."""
    table = tabulate_condition(rows(), GROUPS, "yaw")
    straight, askew = table.loc[("spine_tilt", "deg", "to 6°")], table.loc[("spine_tilt", "deg", "over 10°")]
    assert (straight["n"], askew["n"]) == (2, 2)
    assert straight["bias"] == pytest.approx(1.5)
    assert askew["bias"] == pytest.approx(0.5)
    assert askew["holds %"] == pytest.approx(50.0)
    assert list(table.index.get_level_values("group")) == ["to 6°", "over 10°"]


def test_measure_of_both_views_counts_once_in_the_groups_of_both() -> None:
    """Straight in some view: 0, 1 (twice, counted once) and 2, errors 1, 2 and 3; askew: 0, 2 and 3."""
    table = tabulate_condition(rows(measure="elbow_bend_lead", view="both"), GROUPS, "yaw")
    straight = table.loc[("elbow_bend_lead", "deg", "to 6°")]
    askew = table.loc[("elbow_bend_lead", "deg", "over 10°")]
    assert (straight["n"], askew["n"]) == (3, 3)
    assert straight["bias"] == pytest.approx(2.0)
    assert askew["bias"] == pytest.approx(2 / 3)


def test_text_is_aligned_and_markdown_is_a_table() -> None:
    table = tabulate_measures(pd.concat([rows(), rows(measure="putter_length", unit="cm", truth=90.0)]))
    head, *lines = as_text(table).splitlines()
    assert head.split()[:3] == ["measure", "unit", "n"]
    assert [line.index("no: ") for line in lines] == [head.index("met")] * 2
    assert lines[0].split() == [
        "spine_tilt", "deg", "4", "0", "+1.00", "1.87", "2.12", "2.85", "3.00", "1.25", "1.18", "75", "2", "no:",
        "RMSE", "holds",
    ]  # fmt: skip
    marked = as_markdown(table).splitlines()
    assert {line.count("|") for line in marked} == {15}
    assert marked[2].startswith("| `spine_tilt` | deg | 4 | 0 | +1.0 |")
