"""The command of the stroke study: what it prints and what it refuses."""

import pandas as pd
import pytest
import stroke_study
from test_stroke_tables import numbers, spread
from test_stroke_takes import write_take


@pytest.fixture
def study(tmp_path, monkeypatch):
    """Two takes, one filmed by hand; measuring gives one number of one of them."""
    write_take(tmp_path / "set" / "stroke_051")
    write_take(tmp_path / "set" / "stroke_071", shaken=True)
    chosen = []

    def measured(takes, **_):
        chosen.extend(take.name for take in takes)
        return pd.DataFrame(numbers("start", spread(0.02), truth=1.0, sd=0.02))

    monkeypatch.setattr(stroke_study, "measure_takes", measured)
    return lambda *more: (stroke_study.main([str(tmp_path / "set"), "--work", str(tmp_path / "work"), *more]), chosen)


def test_table_of_targets_is_printed(study, capsys):
    code, chosen = study("--markdown")
    assert (code, chosen) == (0, ["stroke_051"])
    assert "| start, face on | ms | 40 | 0 | 20.00 | yes | 25 |" in capsys.readouterr().out


def test_takes_filmed_by_hand_are_studied_by_themselves(study):
    assert study("--shaken") == (0, ["stroke_071"])


def test_part_that_is_not_there_is_refused_in_one_sentence(study, capsys):
    code, _ = study("--part", "tuning")
    assert code == 2
    assert "make_strokes.py" in capsys.readouterr().err


def test_what_was_seen_is_not_kept_inside_the_project(tmp_path):
    write_take(tmp_path / "set" / "stroke_051")
    with pytest.raises(SystemExit):
        stroke_study.main([str(tmp_path / "set"), "--work", stroke_study.__file__ + ".d"])
