"""What the study of planted faults counts, on made-up golfers."""

import pytest
from keep_planted import short_estimate
from made_up_setups import USUAL, fit_of, posture_of, student_of
from planted import PLANTED_AS, PlantedGolfer
from study_planted import find_true_excess, outside_in_truth, planted_excess, rows_of, share

from putt_posture.documents.json_values import as_value
from putt_posture.findings import load_coach_file
from putt_posture.values import Estimate, absent

FAULTS = {fault.name: fault for fault in load_coach_file().faults}
RIGHT = {name: value for name, (value, _) in USUAL.items()}


def golfer_of(fault="none", *, putter_cm=84.0, seed=2001, **changed) -> PlantedGolfer:
    """Return a golfer whose measures are as they are true."""
    return PlantedGolfer(
        seed=seed,
        fault=fault,
        right_putter_cm=84.0,
        putter_cm=putter_cm,
        wanted=RIGHT,
        truth=RIGHT | changed,
        student=student_of(putter_length_cm=putter_cm),
        posture=posture_of(changed),
        fit=fit_of(),
    )


@pytest.mark.parametrize(
    ("fault", "changed", "expected"),
    [
        ("hands_outside", {"hand_offset": 9.0}, 6.0),
        ("weight_on_heels", {"balance": 25.0}, 20.0),
        ("elbows_behind", {"elbow_depth": -9.0}, 5.0),
        ("too_much_tilt", {"spine_tilt": 52.0}, 10.0),
        ("stands_tall", {"spine_tilt": 52.0}, -22.0),
    ],
)
def test_a_fault_is_as_large_as_the_truth_lies_outside_the_band(fault, changed, expected):
    assert find_true_excess(golfer_of(**changed), FAULTS[fault], FAULTS[fault].bands[0]) == pytest.approx(expected)


def test_a_putter_is_too_long_beside_the_one_that_fits_the_wanted_setup():
    assert find_true_excess(golfer_of(putter_cm=91.6), FAULTS["putter_too_long"], "putter_in_use") == pytest.approx(5.1)


def test_of_two_elbows_the_one_further_off_counts():
    golfer = golfer_of("elbows_floating", elbow_gap_lead=6.0, elbow_gap_trail=10.4)
    true, seen = planted_excess(golfer)
    assert true == pytest.approx((10.4 - 5.0) / USUAL["elbow_gap_trail"][1], rel=0.02)
    assert seen == pytest.approx(true)


def test_every_planted_fault_is_one_of_the_coach_s_file():
    assert set(PLANTED_AS.values()) <= set(FAULTS)


def test_nothing_is_outside_in_the_truth_of_a_golfer_with_nothing_wrong():
    assert outside_in_truth(golfer_of()) == ()
    assert outside_in_truth(golfer_of(hand_offset=9.0, spine_tilt=20.0)) == ("stands_tall", "hands_outside")


def test_a_row_says_whether_the_planted_fault_comes_first():
    rows = rows_of(
        [
            golfer_of("hands_out", hand_offset=10.0),
            golfer_of("heels", hand_offset=10.0),
            golfer_of("none"),
            golfer_of("none", hand_offset=10.0),
        ]
    )
    assert list(rows["first"]) == ["hands_outside", "hands_outside", "nothing", "hands_outside"]
    assert list(rows.right) == [True, False, True, False]
    assert rows.sigmas[0] == pytest.approx(7.0 / USUAL["hand_offset"][1], rel=0.02)


def test_a_golfer_who_was_refused_has_no_row():
    refused = PlantedGolfer(
        seed=2001,
        fault="none",
        right_putter_cm=84.0,
        putter_cm=84.0,
        wanted={},
        truth={},
        student=student_of(),
        posture=None,
        fit=None,
        refused="No whole body was found.",
    )
    assert rows_of([refused]).empty


def test_the_interval_of_a_share_is_that_of_a_published_example():
    """81 of 263: 0.2553 to 0.3662 (Newcombe, Stat. Med. 17 (1998) 857-872, table I, method 3; from memory)."""
    assert share([True] * 81 + [False] * 182) == "81 of 263 (26 to 37 %)"
    assert share([]) == "0 of 0"


@pytest.mark.parametrize(
    "estimate",
    [
        Estimate(
            value=30.5,
            standard_uncertainty=2.25,
            unit="deg",
            view="down_the_line",
            method="landmarks",
            budget={"scale": 1.0, "scatter of the frames": 2.0},
            floor=0.0,
            coverage=2.5,
        ),
        absent("The near hip is hidden.", unit="deg", view="down_the_line"),
    ],
)
def test_a_kept_estimate_is_read_as_it_was(estimate):
    read = as_value(short_estimate(estimate), Estimate)
    assert bool(read) == bool(estimate)
    for name in ("unit", "view", "method", "absent", "budget", "floor"):
        assert getattr(read, name) == getattr(estimate, name)
    if estimate:
        assert (read.value, read.standard_uncertainty, read.margin) == (
            estimate.value,
            estimate.standard_uncertainty,
            pytest.approx(estimate.margin, abs=1e-3),
        )
