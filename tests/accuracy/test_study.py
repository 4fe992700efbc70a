"""The study's command: what it prints, writes and refuses."""

import json

import numpy as np
import pandas as pd
import pytest
import study
from conditions import CONDITIONS
from scene_measures import OF_THE_SCENE
from test_shots import NEW, OLD, write

from putt_posture.measures import MEASURES
from putt_posture.values import VIEWS

WIDEST_TABLE = 120
"""Columns of a terminal in which the first table does not wrap."""


def measured(shots, *, views, **_):
    """Every measure with the errors and intervals that miss every target; the last shot refused."""
    names = [(name, measure.unit, measure.views[0]) for name, measure in MEASURES.items()]
    names += [(name, unit, view) for name, unit in OF_THE_SCENE.items() for view in views]
    rows = []
    for shot in shots:
        refused = shot is shots[-1]
        for name, unit, view in names:
            value = np.nan if refused else 30.0 - 18.88
            rows.append(
                {
                    "folder": shot.name,
                    "measure": name,
                    "unit": unit,
                    "view": view,
                    "truth": 30.0,
                    "value": value,
                    "standard_uncertainty": 10.0,
                    "low": value - 200.0,
                    "high": value + 10.0,
                    "absent": "Refused: no person is in the picture." if refused else None,
                }
            )
    return pd.DataFrame(rows)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(study, "measure_shots", measured)
    return write(tmp_path, golfer_001_hard=NEW, golfer_002_hard=NEW, golfer_002_usual=NEW | {"shot": "usual"})


def test_first_table_has_every_measure_and_fits_a_terminal(folder, capsys) -> None:
    assert study.main([str(folder)]) == 0
    out = capsys.readouterr().out.split("\n\n")
    headline, table = out[0], out[1].splitlines()
    assert "mediapipe" in headline
    said = " ".join(headline.split())
    assert "3 shots (2 hard of part tuning, 1 usual of part tuning; seeds 7 to 7)" in said
    assert "shaft and ball found by the program" in said
    assert [line.split()[0] for line in table] == ["measure", *MEASURES]
    assert "no: RMSE absent holds width" in table[1]
    assert max(map(len, [*headline.splitlines(), *table])) <= WIDEST_TABLE


def test_conditions_asked_for_are_tabulated(folder, capsys) -> None:
    study.main([str(folder), "--by", "light", "shape"])
    out = capsys.readouterr().out
    assert [word for word in ("By light", "By shape", "By yaw") if word in out] == ["By light", "By shape"]
    study.main([str(folder), "--by", "all"])
    out = capsys.readouterr().out
    assert all(f"By {condition}\n" in out for condition in CONDITIONS)


def test_refused_shot_is_said_with_its_reason(folder, capsys) -> None:
    study.main([str(folder)])
    assert "golfer_002_usual: Refused: no person is in the picture." in capsys.readouterr().err


def test_values_are_written_with_the_conditions_they_were_taken_under(folder, tmp_path) -> None:
    study.main([str(folder), "--csv", str(tmp_path / "values.csv")])
    values = pd.read_csv(tmp_path / "values.csv")
    assert len(values) == 3 * (len(MEASURES) + len(OF_THE_SCENE) * len(VIEWS))
    assert set(values.legs) == {"skirt"}
    assert set(values.light_face_on) == {"shade"}
    assert set(values.yaw_deg_down_the_line) == {-8.0}


def test_markdown_is_a_table_for_each_part(folder, capsys) -> None:
    study.main([str(folder), "--markdown", "--no-find", "--views", "face_on"])
    out = capsys.readouterr().out
    assert out.count("| ---") >= 2
    assert "only face on, shaft and ball given" in " ".join(out.split())


def test_part_that_is_not_there_is_one_sentence_and_no_traceback(folder, capsys) -> None:
    assert study.main([str(folder), "--part", "held_out"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "There are: tuning hard, tuning usual." in said.err


def test_kept_looks_do_not_go_into_the_project(folder, capsys) -> None:
    with pytest.raises(SystemExit):
        study.main([str(folder), "--cache", str(study._ROOT / "looks")])
    assert "outside" in capsys.readouterr().err


def test_old_set_is_one_group(tmp_path, monkeypatch, capsys) -> None:
    monkeypatch.setattr(study, "measure_shots", measured)
    (tmp_path / "golfer_07").mkdir()
    (tmp_path / "golfer_07" / "truth.json").write_text(json.dumps(OLD), encoding="utf-8")
    assert study.main([str(tmp_path), "--by", "light"]) == 0
    assert "1 of no stated part; seeds 7 to 7" in " ".join(capsys.readouterr().out.split())
