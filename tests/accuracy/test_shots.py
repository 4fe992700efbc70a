"""Which shots of a study folder are read."""

import json

import pytest
from conditions import label_groups
from shots import NOT_STATED, read_shots

from putt_posture.errors import UsageError

VIEW = {
    "file": "dtl.png",
    "size_px": [1080, 1920],
    "camera": {"yaw_deg": -8.0, "roll_deg": 0.5, "distance_m": 5.0, "height_m": 0.7},
    "joints_px": {"putter_butt": [500.0, 900.0], "putter_sole": [650.0, 1300.0], "ball": [660.0, 1290.0]},
}
OLD = {
    "seed": 7,
    "student": {"stature_cm": 170.0, "handed": "left", "sex": "female", "putter_length_cm": 86.0},
    "measures": {"spine_tilt": 30.0, "shaft_lean": None},
    "views": {"down_the_line": VIEW, "face_on": VIEW | {"file": "fo.png", "size_px": [1920, 1080]}},
}
NEW = OLD | {
    "part": "tuning",
    "shot": "hard",
    "clothes": {"top": "loose", "sleeves": "long", "legs": "skirt", "head": "cap"},
    "views": {
        view: about | {"condition": {"light": "shade", "backdrop": "busy", "quality": "blur", "shape": "portrait"}}
        for view, about in OLD["views"].items()
    },
}


def write(folder, **truths):
    for name, truth in truths.items():
        (folder / name).mkdir()
        (folder / name / "truth.json").write_text(json.dumps(truth), encoding="utf-8")
    return folder


def test_shots_are_read_by_name_with_part_and_kind(tmp_path) -> None:
    write(
        tmp_path,
        golfer_001_usual=NEW | {"shot": "usual"},
        golfer_001_hard=NEW,
        golfer_060_hard=NEW | {"part": "held_out"},
    )
    assert [shot.name for shot in read_shots(tmp_path)] == ["golfer_001_hard", "golfer_001_usual", "golfer_060_hard"]
    assert [shot.name for shot in read_shots(tmp_path, parts={"tuning"}, kinds={"hard"})] == ["golfer_001_hard"]


def test_set_without_parts_is_one_group(tmp_path) -> None:
    (shot,) = read_shots(write(tmp_path, golfer_07=OLD))
    assert (shot.part, shot.kind) == (NOT_STATED, NOT_STATED)
    groups = label_groups(shot, "down_the_line")
    assert groups["light"] == groups["legs"] == NOT_STATED
    assert (groups["yaw"], groups["height"], groups["shape"]) == ("6 to 10°", "low, to 0.87 m", "portrait")
    assert label_groups(shot, "face_on")["shape"] == "landscape"


def test_conditions_are_taken_from_the_truth(tmp_path) -> None:
    (shot,) = read_shots(write(tmp_path, golfer_007_hard=NEW))
    groups = label_groups(shot, "face_on")
    assert (groups["light"], groups["backdrop"], groups["quality"]) == ("shade", "busy", "blur")
    assert (groups["top"], groups["legs"], groups["handed"]) == ("loose", "skirt", "left")


def test_program_gets_what_a_coach_types_and_not_the_putter(tmp_path) -> None:
    (shot,) = read_shots(write(tmp_path, golfer_07=OLD))
    assert (shot.student.stature_cm, shot.student.handed, shot.student.putter_length_cm) == (170.0, "left", None)
    assert shot.given("down_the_line").shaft_px == ((500.0, 900.0), (650.0, 1300.0))
    assert shot.picture("face_on") == tmp_path / "golfer_07" / "fo.png"


def test_empty_folder_is_said(tmp_path) -> None:
    with pytest.raises(UsageError, match="holds no shot"):
        read_shots(tmp_path)


def test_part_that_is_not_there_is_said_with_those_that_are(tmp_path) -> None:
    with pytest.raises(UsageError, match="There are: tuning hard"):
        read_shots(write(tmp_path, golfer_001_hard=NEW), parts={"held_out"})
