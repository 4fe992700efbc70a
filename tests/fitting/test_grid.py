"""The fit from one student to the next: no step, no turning back, wider where less is known.

`tests/accuracy/fit_grid.py` looks at the same on a finer grid.
"""

import numpy as np
import pytest
from attrs import evolve
from fit_grid import ALL_SEXES, film, fit_putters, fit_statures, fit_wrists, without_curves

import putt_posture.fitting.suggestion
from putt_posture.fitting import fit_putter
from putt_posture.values import Student

STATURES_CM = (130.0, 135.0, 140.0, 145.0, 150.0, 160.0, 170.0, 180.0, 187.0, 200.0, 205.0, 210.0, 215.0)
INSIDE = slice(4, 9)
"""Statures of the people of both tables."""

WRISTS_CM = np.arange(-6.0, 6.1, 1.5)

STATURES_MOVED = np.arange(158.0, 203.0, 4.0)

PUTTERS_IN = np.concatenate([np.arange(28.0, 42.0, 0.5), [44.0, 46.0, 48.0, 50.0]])

INCHES_A_CM = (0.17, 0.22)
"""What a centimetre of stature may add: 33 in for 176 cm and 35 in for 187 cm (common practice) make 0.18."""

WOBBLE_IN = 0.1
"""Less than is ever cut: what the straight lines of the update may turn back by for the shortest arms."""

STEEPEST = 1.3
"""Inches that the answer may go for each inch of a putter that is being put aside."""


@pytest.fixture(autouse=True)
def _quick(monkeypatch):
    monkeypatch.setattr(putt_posture.fitting.suggestion, "find_curves", None)
    without_curves()


@pytest.mark.parametrize("sex", ALL_SEXES)
def test_the_length_rises_with_the_stature_and_the_interval_widens_outside_the_tables(sex):
    found = fit_statures(STATURES_CM, sex)
    rises = np.diff(found.length) / np.diff(found["at"])
    assert INCHES_A_CM[0] < rises.min() < rises.max() < INCHES_A_CM[1]
    assert (np.diff(found.lie) > 0).all()
    margins = found.margin.to_numpy()
    assert np.ptp(margins[INSIDE]) < 0.05
    assert (np.diff(margins[:5]) < -0.1).all()
    assert (np.diff(margins[9:]) > 0.1).all()
    assert margins[0] > 1.2 * margins[4]
    said = found.says.str.contains("tables are of adult soldiers")
    assert list(said[:4]) == [True] * 4
    assert list(said[-3:]) == [True] * 3
    assert not said[INSIDE].any()


@pytest.mark.parametrize("sex", ALL_SEXES)
@pytest.mark.parametrize("stature", [130.0, 150.0, 178.0, 200.0, 215.0])
def test_the_length_rises_with_the_wrist_height_and_stays_where_it_contradicts_the_stature(stature, sex):
    found = fit_wrists(stature, sex, WRISTS_CM)
    rises = np.diff(found.length)
    assert (rises > -WOBBLE_IN).all()
    assert rises.sum() > 0.5
    assert rises.max() < 1.0


@pytest.mark.parametrize("sex", ALL_SEXES)
def test_a_wrist_height_far_from_the_usual_moves_the_length_no_further_and_is_said(sex):
    found = fit_wrists(178.0, sex, [-9.0, -6.5, -2.0, 0.0, 2.0, 6.5, 9.0])
    lengths, margins = found.length.to_numpy(), found.margin.to_numpy()
    assert lengths[0] == pytest.approx(lengths[1], abs=WOBBLE_IN)
    assert lengths[-1] == pytest.approx(lengths[-2], abs=WOBBLE_IN)
    assert lengths[2] < lengths[3] < lengths[4] < lengths[5]
    assert margins[0] > margins[1] + 0.2
    assert margins[-1] > margins[-2] + 0.2
    assert min(margins[0], margins[-1]) > fit_statures([178.0], sex).margin[0]
    assert list(found.says.str.contains("beyond 2.5 times were put aside")) == [True, True, *[False] * 3, True, True]


@pytest.mark.parametrize(("stature", "sex"), [(165.0, "female"), (178.0, "male"), (200.0, None)])
def test_a_putter_counts_while_it_goes_with_the_rest_and_is_put_aside_without_a_step(stature, sex):
    found = fit_putters(stature, sex, PUTTERS_IN)
    without, found = found.iloc[0], found.iloc[1:]
    lengths, pull = found.length.to_numpy(), found.length.to_numpy() - without.length
    steps = np.diff(lengths) / np.diff(PUTTERS_IN)
    assert np.abs(steps).max() < STEEPEST
    assert np.abs(pull).max() < without.margin
    assert pull.max() > 0.3
    # It rises while the putter is believed and comes back once to either side.
    turns = np.sign(steps[np.abs(steps) > 0.01])
    assert np.count_nonzero(np.diff(turns)) == 2
    assert turns[len(turns) // 2] == 1
    assert lengths[-4:] == pytest.approx(without.length, abs=0.01)
    # Believed, it narrows the interval; where it could be either, the interval is widest.
    margins = found.margin.to_numpy()
    assert margins.min() < 0.9 * without.margin
    assert margins.max() > 1.1 * without.margin
    aside = found.says.str.contains("put aside").to_numpy()
    assert aside[-4:].all()
    assert not aside[np.argmin(margins)]


@pytest.mark.parametrize(("putter_in", "wrist"), [(None, None), (34.0, None), (36.0, None), (36.0, 86.0)])
def test_what_was_filmed_and_measured_stays_and_the_length_still_rises_with_the_stature(putter_in, wrist):
    # From statures that what was filmed contradicts to those that it goes with, and beyond.
    seen = film(Student(stature_cm=178.0, handed="right", sex="male"))
    putter = None if putter_in is None else putter_in * 2.54
    student = Student(stature_cm=178.0, handed="right", sex="male", putter_length_cm=putter, wrist_floor_cm=wrist)
    lengths = [fit_putter(seen, evolve(student, stature_cm=one)).putter_length.value / 2.54 for one in STATURES_MOVED]
    rises = np.diff(lengths) / np.diff(STATURES_MOVED)
    assert 0 < rises.min() < rises.max() < 2 * INCHES_A_CM[1]
