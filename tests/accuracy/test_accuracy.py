"""The measures of a few rendered golfers against the truth that they were rendered from.

The truth is outside the project's measuring: the renderer places joints and skin and reads the measures off them in
three dimensions. `keep_golfers.py` says which golfers and why. This guards against getting worse; how good the measures
are on golfers that nothing was fitted on is the study's to say, see `study.py`.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Final

import pytest
from measuring import measure_shots
from scipy.stats import binom
from shots import read_shots
from tables import summarise

from putt_posture.measures import MEASURES
from putt_posture.values import VIEWS, MeasureName

GOLFERS = Path(__file__).parent / "golfers"

LEAST_SEEN: Final[Mapping[MeasureName, int]] = {
    "shaft_lie": 5,
    "putter_length": 5,
    "eye_offset": 4,
    "ball_distance": 4,
    "ball_position": 4,
    "head_position": 4,
    "shaft_lean": 4,
}
"""In how many shots shaft and ball are found without help, one less than were when this was set: grips that hide the
shaft, balls that are not white, blur and shade. What does not need them is there in every shot that is not refused."""

TOLERANCES: Final[Mapping[MeasureName, tuple[float, float]]] = {
    "spine_tilt": (4.3, 7.1),
    "back_rounding": (6.1, 8.0),
    "head_drop": (7.3, 14.1),
    "knee_flex": (8.5, 13.7),
    "elbow_bend_lead": (13.8, 20.7),
    "elbow_bend_trail": (16.4, 25.2),
    "hand_offset": (2.2, 4.1),
    "hand_height": (2.4, 3.6),
    "elbow_gap_lead": (2.5, 3.7),
    "elbow_gap_trail": (2.6, 3.7),
    "elbow_depth": (4.4, 7.2),
    "eye_offset": (2.4, 3.9),
    "ball_distance": (1.6, 2.5),
    "balance": (6.4, 10.8),
    "shaft_lie": (1.2, 2.5),
    "putter_length": (4.4, 7.6),
    "stance_width": (3.6, 5.8),
    "ball_position": (2.5, 3.8),
    "shoulder_level": (1.4, 2.9),
    "side_bend": (1.8, 3.3),
    "head_position": (2.9, 6.4),
    "shaft_lean": (2.1, 3.9),
    "sideways_balance": (4.2, 8.7),
}
"""Most root mean square error over the shots and most error of any one, in the measure's unit: what they were on
2026-11-26, shaft and ball given or found, and a third more, so that another version of a library or another processor
passes and a part that got worse does not. Half of the shots are hard ones, so that these are wider than the study's
targets. knee_flex and the elbows' bends are that wide because what the landmarks of every render miss alike is left in
where people do not show it (DEVELOPERS.md)."""

FAMILY_LEVEL: Final = 0.01
"""How seldom a check on the intervals may fail for intervals that are right."""

INDEPENDENT: Final = 8
"""How many of one shot's errors are as good as independent: trunk, back, head, legs, two arms, putter, scale. The
others go together with these (see "Errors that go together" in DEVELOPERS.md)."""


@pytest.fixture(scope="module")
def rows(detections_folder):
    return measure_shots(read_shots(GOLFERS), views=VIEWS, cache=detections_folder)


@pytest.fixture(scope="module")
def numbers(rows):
    return {name: summarise(rows[rows.measure == name]) for name in MEASURES}


@pytest.fixture(scope="module")
def rows_given(rows, detections_folder):
    """With shaft and ball given; the detections of the other run are used again."""
    return measure_shots(read_shots(GOLFERS), views=VIEWS, cache=detections_folder, find=False)


def test_golfers_are_of_both_kinds_hands_and_sexes() -> None:
    shots = read_shots(GOLFERS)
    assert {shot.kind for shot in shots} == {"usual", "hard"}
    assert {shot.student.handed for shot in shots} == {"right", "left"}
    assert {shot.student.sex for shot in shots} == {"female", "male"}
    assert {shot.part for shot in shots} == {"tuning"}
    assert {shot.truth["clothes"]["legs"] for shot in shots} == {"long", "loose", "shorts", "skirt"}
    assert {shot.truth["clothes"]["head"] for shot in shots} == {"short", "long", "cap"}


def test_no_golfer_is_refused(rows) -> None:
    refused = rows[rows.absent.fillna("").str.startswith("Refused")]
    assert set(refused.folder) == set()


@pytest.mark.parametrize("name", MEASURES)
def test_measure_is_had_of_as_many_golfers_as_it_was(name, rows, numbers) -> None:
    assert numbers[name]["n"] >= LEAST_SEEN.get(name, rows.folder.nunique())


@pytest.mark.parametrize("name", MEASURES)
def test_error_is_within_its_tolerances(name, rows) -> None:
    most_rmse, most = TOLERANCES[name]
    numbers = summarise(rows[rows.measure == name])
    assert numbers["RMSE"] <= most_rmse
    assert numbers["worst"] <= most


@pytest.mark.whole
@pytest.mark.parametrize("name", LEAST_SEEN)
def test_error_with_shaft_and_ball_given_is_within_its_tolerances(name, rows_given) -> None:
    most_rmse, most = TOLERANCES[name]
    of_name = rows_given[rows_given.measure == name]
    assert summarise(of_name)["n"] >= of_name.folder.nunique()
    numbers = summarise(of_name)
    assert numbers["RMSE"] <= most_rmse
    assert numbers["worst"] <= most


def test_intervals_of_each_measure_hold_as_often_as_chance_allows(numbers) -> None:
    """Of n right 95 % intervals at least the lower binomial limit hold, at a level shared out over the measures."""
    held = {name: (round(one["n"] * one["holds %"] / 100), one["n"]) for name, one in numbers.items()}
    least = {name: binom.ppf(FAMILY_LEVEL / len(held), n, 0.95) for name, (_, n) in held.items()}
    assert {name: one for name, one in held.items() if one[0] < least[name]} == {}


def test_intervals_hold_the_truth_all_in_all(rows) -> None:
    """The share that holds is that of as many right intervals as there are independent errors, or more."""
    seen = rows[rows.measure.isin(list(MEASURES)) & rows.value.notna() & rows.truth.notna()]
    share = ((seen.low <= seen.truth) & (seen.truth <= seen.high)).mean()
    independent = INDEPENDENT * seen.folder.nunique()
    assert share >= binom.ppf(FAMILY_LEVEL, independent, 0.95) / independent
