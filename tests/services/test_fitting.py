"""The fit of one lesson, tried with other wanted setups and putters."""

import shutil
import sys
from datetime import date
from pathlib import Path

import pytest

from putt_posture.errors import NotAllowed, UsageError
from putt_posture.fitting import find_clip_lengths, fit_putter, hold_putter
from putt_posture.records import read_result_folder
from putt_posture.services import keep_wanted_in_folder, open_fit
from putt_posture.values import ChosenPutter, WantedSetup

sys.path.insert(0, str(Path(__file__).parents[1] / "server"))
from fit_lesson import make_measured_folder

IN = 2.54


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return make_measured_folder(tmp_path_factory.mktemp("fit") / "result")


@pytest.fixture(scope="module")
def opened(folder):
    return open_fit(read_result_folder(folder))


def test_a_try_gives_the_numbers_of_the_library_to_the_last_digit(opened):
    lesson, wanted = opened.lesson, WantedSetup(knee_flex_deg=22.0, tilt_deg=38.0)
    tried = opened.try_out(wanted, ChosenPutter(length_cm=34 * IN, lie_deg=71.0))
    lengths = find_clip_lengths(lesson.views["down_the_line"], lesson.posture, lesson.student)
    alone = fit_putter(lesson.posture, lesson.student, wanted=wanted, lengths=lengths)
    assert (tried.body.fit.putter_length, tried.body.fit.lie) == (alone.putter_length, alone.lie)
    assert dict(tried.body.fit.setup) == dict(alone.setup)
    assert tried.held == hold_putter(tried.body, length_cm=34 * IN, lie_deg=71.0)
    assert tried.spec.length.value == 34 * IN


def test_the_lessons_own_setup_is_the_one_it_was_fitted_for(opened, folder):
    assert opened.wanted == WantedSetup(knee_flex_deg=14.0)
    fit = opened.try_out(opened.wanted).body.fit
    assert fit.putter_length == opened.lesson.fit.putter_length


def test_the_suggested_putter_is_held_as_wanted_and_another_moves_the_ghost(opened):
    suggested = opened.try_out(opened.wanted)
    longer = opened.try_out(opened.wanted, ChosenPutter(length_cm=suggested.body.fit.putter_length.value + 2 * IN))
    assert suggested.held is None
    assert longer.held.departures["spine_tilt"].value < -1
    assert longer.ghost.putter[0][1] < suggested.ghost.putter[0][1]  # the top of the grip is higher in the picture
    left, top, right, bottom = opened.crop.box_px
    assert all(left <= u <= right and top <= v <= bottom for line in longer.ghost.outlines for u, v in line)


def test_a_wanted_setup_is_fitted_once(opened, monkeypatch):
    wanted = WantedSetup(knee_flex_deg=9.0)
    first = opened.fit(wanted)
    monkeypatch.setattr("putt_posture.services.fitting.find_fitted_body", None)
    assert opened.fit(wanted) is first


def test_the_curves_can_be_read_off_where_they_are_drawn(opened):
    chart, says = opened.draw_curves(opened.wanted, unit="cm")
    curves = fit_putter(
        opened.lesson.posture, opened.lesson.student, wanted=opened.wanted, lengths=opened.lengths
    ).curves
    assert [stop.length_cm for stop in chart.stops] == pytest.approx(list(curves.putter_length_cm))
    assert f"{curves.spine_tilt[4]:.1f}°" in chart.stops[4].points[0].says
    xs = [stop.points[0].x for stop in chart.stops]
    assert xs == sorted(xs)
    assert all(0 < point.y < 1 for stop in chart.stops for point in stop.points)
    assert "putters of other lengths" in says
    assert opened.draw_curves(opened.wanted, unit="cm")[0] is chart


def test_holding_lower_asks_for_a_longer_putter_and_says_what_that_does(opened):
    usual, lower = (opened.try_out(WantedSetup(grip_down_cm=down)) for down in (0.0, 2.5))
    assert lower.body.fit.putter_length.value == pytest.approx(usual.body.fit.putter_length.value + 2.5, abs=0.01)
    assert usual.grip_down == ""
    assert "lighter" in lower.grip_down


def test_a_chosen_putter_stands_in_the_spec_sheet_beside_what_is_suggested(opened):
    tried = opened.try_out(opened.wanted, ChosenPutter(length_cm=35 * IN, lie_deg=70.0))
    sheet = opened.write_spec_sheet(tried, made_on=date(2026, 11, 27))
    rows = {row.title: row for row in sheet.rows}
    assert rows["Length"].figure.startswith("35.0")
    assert "The fit suggests" in rows["Length"].says
    assert rows["Lie"].figure == "70.0°"
    assert "chosen length" in rows["Leave, cut or extend"].says
    plain = opened.write_spec_sheet(opened.try_out(opened.wanted), made_on=date(2026, 11, 27))
    assert "Suggested length" in {row.title for row in plain.rows}


@pytest.mark.parametrize("wrong", [{"length_cm": 10.0}, {"lie_deg": 89.0}])
def test_a_putter_that_cannot_be_is_refused(opened, wrong):
    with pytest.raises(UsageError, match="out of range"):
        opened.try_out(opened.wanted, ChosenPutter(**wrong))


def test_a_setup_that_cannot_be_asked_for_is_refused(opened):
    with pytest.raises(UsageError, match="knee flex of 80"):
        opened.try_out(WantedSetup(knee_flex_deg=80.0))


def test_a_wanted_setup_is_kept_with_the_lesson_or_the_lesson_stays(folder, tmp_path):
    copy = tmp_path / "result"
    shutil.copytree(folder, copy, ignore=shutil.ignore_patterns("stills"))
    before = (copy / "measures.json").read_bytes()
    with pytest.raises(UsageError):
        keep_wanted_in_folder(copy, WantedSetup(knee_flex_deg=80.0))
    assert (copy / "measures.json").read_bytes() == before
    wanted = WantedSetup(knee_flex_deg=24.0)
    keep_wanted_in_folder(copy, wanted, made_on=date(2026, 11, 27))
    again = open_fit(read_result_folder(copy))
    assert again.wanted == wanted
    assert again.lesson.fit.setup["knee_flex"].value == pytest.approx(24.0, abs=0.05)


def test_what_was_seen_and_may_not_be_shown_is_not_opened(folder):
    kept = read_result_folder(folder)
    from attrs import evolve

    hidden = evolve(kept, names=frozenset({"measures.json"}), says=("There is no consent for keeping outlines",))
    with pytest.raises(NotAllowed, match="cannot be tried out"):
        open_fit(hidden)
