"""The tilt of a body of the tables, which no film moves, and the filmed tilt held against it."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "findings"))

from made_up_setups import posture_of

from putt_posture.findings.coach_file import BandRule
from putt_posture.findings.judging import judge
from putt_posture.findings.quantities import wanted_of
from putt_posture.fitting import fit_putter
from putt_posture.values import Student, WantedSetup

STUDENT = Student(stature_cm=175.0, handed="right", sex="male")


@pytest.fixture(scope="module")
def fits():
    return {tilt: fit_putter(posture_of({"spine_tilt": tilt}), STUDENT) for tilt in (24.0, 52.0)}


def test_a_filmed_tilt_does_not_move_the_tilt_of_the_tables(fits):
    low, high = fits.values()
    alone = fit_putter(None, STUDENT)
    assert low.tilt_by_tables == high.tilt_by_tables == alone.tilt_by_tables
    assert alone.tilt_by_tables.value == pytest.approx(alone.setup["spine_tilt"].value, abs=0.1)
    assert high.setup["spine_tilt"].value - low.setup["spine_tilt"].value > 1.0  # the fit's own is moved


def test_the_filmed_tilt_is_held_against_that_of_the_tables(fits):
    rule = BandRule(below=6, above=6, by_eye="Look.", source="made up")
    for tilt, fit in fits.items():
        wanted = wanted_of("spine_tilt", WantedSetup(), fit)
        assert wanted == fit.tilt_by_tables
        assert judge("spine_tilt", posture_of({"spine_tilt": tilt})["spine_tilt"], rule, wanted=wanted).lies != "within"


def test_a_tilt_that_the_coach_asks_for_goes_before_both(fits):
    wanted = wanted_of("spine_tilt", WantedSetup(tilt_deg=30.0), fits[24.0])
    assert (wanted.value, wanted.standard_uncertainty) == (30.0, 0.0)


def test_a_doubt_of_a_band_makes_a_finding_less_sure(fits):
    estimate = posture_of({"elbow_depth": -8.0})["elbow_depth"]
    ends = {"low": -4.0, "by_eye": "Look.", "source": "made up"}
    sure = judge("elbow_depth", estimate, BandRule(**ends), wanted=None)
    doubted = judge("elbow_depth", estimate, BandRule(doubt=3.0, **ends), wanted=None)
    assert doubted.sd == pytest.approx((sure.sd**2 + 9.0) ** 0.5)
    assert 0.5 < doubted.below < sure.below
