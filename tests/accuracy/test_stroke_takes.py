"""What is true of a take: clip times, signs and numbers from places that are known."""

import json

import numpy as np
import pytest
from stroke_takes import read_takes

from putt_posture.errors import UsageError
from putt_posture.values import STROKE_EVENTS

NAMES = ("ear", "shoulder", "hip", "knee", "elbow", "wrist", "index", "little")
START_S, TOP_S, IMPACT_S, FINISH_S = 1.0, 1.7, 2.0, 2.4
CAMERA_STARTS_S = 0.25


def places(*, hands=(0.0, 0.30, 0.70), head_along=0.0, tilt=0.5, handed="right", back_m=0.0):
    """A body that stands at the origin, leaning by `tilt` (tangent), its hands and putter where they are put."""
    at = {}
    for side, sign in (("left", 1.0), ("right", -1.0)):
        sign = sign if handed == "right" else -sign
        at[f"{side}_hip"] = [0.15 * sign, 0.0, 0.9]
        at[f"{side}_knee"] = [0.15 * sign, 0.05, 0.5]
        at[f"{side}_shoulder"] = [0.20 * sign, 0.5 * tilt, 1.4]
        at[f"{side}_ear"] = [0.08 * sign + head_along, 0.35, 1.5]
        at[f"{side}_elbow"] = [0.20 * sign, 0.28, 1.05]
        at[f"{side}_wrist"] = [hands[0] + 0.02 * sign, hands[1], hands[2] + 0.07]
        at[f"{side}_index"] = [hands[0], hands[1], hands[2]]
        at[f"{side}_little"] = [hands[0] + back_m, hands[1], hands[2]]
    return at | {"hand_centre": list(hands), "putter_sole": [2 * hands[0], 0.6, 0.0]}


def write_take(folder, *, part="held_out", kind="putt", handed="right", clearance=(1.0, 3.5), shaken=False):
    """A performance in which the hands go 10 cm back, 2 cm out, and 12 cm on, and the head 1 cm against them."""
    folder.mkdir(parents=True)
    moments = {
        "start": places(handed=handed),
        "top": places(hands=(-0.10, 0.32, 0.71), head_along=0.01, handed=handed),
        "impact": places(hands=(0.0, 0.30, 0.70), tilt=0.45, handed=handed, back_m=0.03),
        "finish": places(hands=(0.12, 0.29, 0.72), handed=handed),
    }
    times = np.arange(0, 2.6, 1 / 60)
    known = np.array([0.0, START_S, TOP_S, IMPACT_S, FINISH_S, 9.0]) - CAMERA_STARTS_S
    names = sorted(moments["start"])
    series = []
    for name in names:
        stops = [moments[m][name] for m in ("start", "start", "top", "impact", "finish", "finish")]
        series.append(np.stack([np.interp(times, known, [stop[k] for stop in stops]) for k in range(3)], axis=1))
    view = {"file": "clip.mp4", "starts_s": CAMERA_STARTS_S, "shaken": shaken, "frames": len(times)}
    for name in ("down_the_line", "face_on"):
        np.savez(folder / f"{name}.npz", times_s=times, names=np.array(names), place_m=np.stack(series, axis=1))
    clearances = dict(zip(("start", "impact"), clearance, strict=True)) | {"top": 0.0, "finish": 0.0}
    stroke = {
        "kind": kind,
        **dict(zip((f"{m}_s" for m in STROKE_EVENTS), (START_S, TOP_S, IMPACT_S, FINISH_S), strict=True)),
        "ratio": 2.333,
        "start_direction_deg": None if kind == "practice" else 1.5,
        "at_events": {
            m: {"place_m": at, "elbow_clearance_cm": {"lead": clearances[m], "trail": -0.5}}
            for m, at in moments.items()
        },
    }
    truth = {
        "part": part,
        "student": {"stature_cm": 178.0, "handed": handed, "sex": "male"},
        "quiet_s": [[0.0, START_S]],
        "strokes": [stroke],
        "views": {"down_the_line": view, "face_on": view},
    }
    (folder / "truth.json").write_text(json.dumps(truth))


@pytest.fixture
def take(tmp_path):
    write_take(tmp_path / "stroke_001")
    return read_takes(tmp_path)[0]


def test_events_are_in_the_time_of_the_clip(take):
    (stroke,) = take.strokes("face_on")
    assert stroke.events == pytest.approx({"start": 0.75, "top": 1.45, "impact": 1.75, "finish": 2.15}, abs=1e-9)
    assert take.quiet_s("face_on") == [(-0.25, 0.75)]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("backswing_time", 0.7),
        ("through_time", 0.3),
        ("hands_back", 10.0),
        ("hands_through", 12.0),
        ("hands_rise_back", 1.0),
        ("hands_sideways_back", 2.0),
        ("hands_sideways_through", -1.0),
        ("putter_back", 20.0),
        ("head_along", 1.0),
        ("elbow_gap_change_lead", 2.5),
        ("elbow_gap_change_trail", 0.0),
        ("start_direction", 1.5),
    ],
)
def test_number_is_that_of_the_places(take, name, value):
    (stroke,) = take.strokes("face_on")
    # the peak of the head is read from frames, the last of which is up to a sixtieth before the top
    assert stroke.numbers[name] == pytest.approx(value, abs=0.03 if name == "head_along" else 1e-6)


def test_trunk_that_rises_tilts_less(take):
    (stroke,) = take.strokes("down_the_line")
    expected = np.degrees(np.arctan(0.45 * 0.5 / 0.5) - np.arctan(0.5))
    assert stroke.numbers["tilt_change"] == pytest.approx(expected)


@pytest.mark.parametrize("handed", ["right", "left"])
def test_knuckles_that_go_toward_the_target_bend_the_lead_wrist_back(tmp_path, handed):
    write_take(tmp_path / "stroke_001", handed=handed)
    (stroke,) = read_takes(tmp_path)[0].strokes("face_on")
    assert stroke.numbers["wrist_change"] > 5


def test_practice_stroke_has_no_direction_and_no_quiet_time_before_a_putt(tmp_path):
    write_take(tmp_path / "stroke_001", kind="practice")
    take = read_takes(tmp_path)[0]
    assert np.isnan(take.strokes("face_on")[0].numbers["start_direction"])
    assert take.quiet_s("face_on") == []


def test_only_takes_of_the_part_are_read(tmp_path):
    write_take(tmp_path / "stroke_001", part="tuning")
    write_take(tmp_path / "stroke_048")
    assert [take.name for take in read_takes(tmp_path, parts={"held_out"})] == ["stroke_048"]


def test_folder_without_takes_is_refused_with_what_to_do(tmp_path):
    with pytest.raises(UsageError, match=r"make_strokes\.py"):
        read_takes(tmp_path)


def test_the_target_line_is_marked_where_the_camera_shows_it(tmp_path):
    """A pinhole camera behind the golfer, turned and tilted by known angles."""
    write_take(tmp_path / "stroke_300")
    (take,) = read_takes(tmp_path)
    told = dict(np.load(take.folder / "down_the_line.npz"))
    chance = np.random.default_rng(1)
    told["place_m"] = np.concatenate([told["place_m"], chance.uniform(0, 2, (len(told["times_s"]), 4, 3))], axis=1)
    told["names"] = np.array([*told["names"], "ball", "a", "b", "c"])
    told["place_m"][:, list(told["names"]).index("ball")] = [0.05, 0.62, 0.021]
    turn, lean, place = np.radians(4.0), np.radians(8.0), np.array([-4.0, 0.5, 1.2])

    def seen(points):
        ahead, across, up = np.moveaxis(points - place, -1, 0)
        ahead, across = ahead * np.cos(turn) + across * np.sin(turn), across * np.cos(turn) - ahead * np.sin(turn)
        ahead, up = ahead * np.cos(lean) - up * np.sin(lean), up * np.cos(lean) + ahead * np.sin(lean)
        return np.stack([360 - 1500 * across / ahead, 640 - 1500 * up / ahead], axis=-1)

    np.savez(take.folder / "down_the_line.npz", place_px=seen(told["place_m"]), **told)
    wanted = seen(np.array([[0.05 + ahead, 0.62, 0.0] for ahead in (0.3, 1.5)]))
    np.testing.assert_array_equal(np.array(take.target_px()), np.round(wanted))
