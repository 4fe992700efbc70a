"""The truth files of the sample clips agree with themselves, with the definitions of the measures, and with the files
beside them.

The clips are read with PyAV alone. Expected values are worked from the joints in the truth file by the definitions of
the measures.
"""

import json
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest
from av.sidedata.sidedata import Type

from putt_posture.measures import MEASURES

SAMPLES = Path(__file__).parents[2] / "sample_clips"
SCENARIO = json.loads((SAMPLES / "scenario.json").read_text())
PAIRS = [pair["name"] for pair in SCENARIO["pairs"]]
VIEWS = ("down_the_line", "face_on")

ROUNDING = 0.02
"""Joints are written to a hundredth of a millimetre, measures to a thousandth: together they can differ by this much
(cm or degrees)."""
TIMES_ROUNDING = 0.002
"""Seconds: two ticks of a clock of a thousandth."""


@pytest.fixture(params=PAIRS)
def truth(request):
    return json.loads((SAMPLES / request.param / "truth.json").read_text())


@pytest.fixture
def at(truth):
    return {name: np.array(point) for name, point in truth["joints_m"].items()}


@pytest.fixture
def lead_trail(truth):
    return ("left", "right") if truth["student"]["handed"] == "right" else ("right", "left")


def middle(at, joint):
    return (at[f"left_{joint}"] + at[f"right_{joint}"]) / 2


def bend(at, side, *joints):
    start, corner, end = (at[f"{side}_{joint}"] for joint in joints)
    first, second = corner - start, end - corner
    return np.degrees(np.arccos(first @ second / np.linalg.norm(first) / np.linalg.norm(second)))


def frames_of(path):
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        return stream.codec_context.name, [(f.time, f.width, f.height, dict_of(f)) for f in container.decode(stream)]


def dict_of(frame):
    data = frame.side_data.get(Type.DISPLAYMATRIX)
    return None if data is None else np.frombuffer(bytes(data), "<i4").reshape(3, 3)[:2, :2] / 65536


def test_every_measure_has_a_true_value(truth) -> None:
    assert set(truth["measures"]) == set(MEASURES)
    assert [name for name, value in truth["measures"].items() if value is None] == list(truth["absent"])


def test_people_say_that_they_are_invented(truth) -> None:
    assert truth["invented"] is True
    assert SCENARIO["invented"] is True


def test_angles_follow_from_the_joints(truth, at, lead_trail) -> None:
    lead, trail = lead_trail
    spine, neck = middle(at, "shoulder") - middle(at, "hip"), middle(at, "ear") - middle(at, "shoulder")
    tilt = np.degrees(np.arctan2(spine[1], spine[2]))
    line = at[f"{lead}_shoulder"] - at[f"{trail}_shoulder"]
    expected = {
        "spine_tilt": tilt,
        "head_drop": np.degrees(np.arctan2(neck[1], neck[2])) - tilt,
        "side_bend": np.degrees(np.arctan2(-spine[0], spine[2])),
        "shoulder_level": np.degrees(np.arctan2(line[2], line[0])),
        "knee_flex": bend(at, trail, "hip", "knee", "ankle"),
        "elbow_bend_lead": bend(at, lead, "shoulder", "elbow", "wrist"),
        "elbow_bend_trail": bend(at, trail, "shoulder", "elbow", "wrist"),
    }
    assert {name: truth["measures"][name] for name in expected} == pytest.approx(expected, abs=ROUNDING)


def test_lengths_follow_from_joints_putter_and_ball(truth, at, lead_trail) -> None:
    lead, trail = lead_trail
    ball, butt, sole = (
        np.array(truth["ball_m"]),
        np.array(truth["putter_m"]["butt"]),
        np.array(truth["putter_m"]["sole"]),
    )
    hands = np.mean([at[f"{s}_{j}"] for s in ("left", "right") for j in ("wrist", "index", "little")], axis=0)
    up = butt - sole
    expected = {
        "hand_offset": 100 * (hands - middle(at, "shoulder"))[1],
        "hand_height": 100 * hands[2],
        "eye_offset": 100 * (middle(at, "eye") - ball)[1],
        "ball_distance": 100 * (ball - middle(at, "toe"))[1],
        "putter_length": 100 * np.linalg.norm(up),
        "shaft_lie": np.degrees(np.arctan2(up[2], -up[1])),
        "shaft_lean": np.degrees(np.arctan2(up[0], up[2])),
        "stance_width": 100 * (at[f"{lead}_ankle"] - at[f"{trail}_ankle"])[0],
        "ball_position": 100 * (ball - middle(at, "ankle"))[0],
        "head_position": 100 * (middle(at, "eye") - ball)[0],
    }
    assert {name: truth["measures"][name] for name in expected} == pytest.approx(expected, abs=ROUNDING)


def test_shaft_runs_through_the_hand_centre(truth, at) -> None:
    butt, sole = np.array(truth["putter_m"]["butt"]), np.array(truth["putter_m"]["sole"])
    hands = np.mean([at[f"{s}_{j}"] for s in ("left", "right") for j in ("wrist", "index", "little")], axis=0)
    shaft = (sole - butt) / np.linalg.norm(sole - butt)
    assert np.linalg.norm(np.cross(hands - butt, shaft)) == pytest.approx(0.0, abs=ROUNDING / 100)


def test_length_is_hand_height_over_sine_of_lie_and_what_sticks_out(truth) -> None:
    # only for a shaft without lean, as all four are
    measures = truth["measures"]
    length = (
        measures["hand_height"] / np.sin(np.radians(measures["shaft_lie"])) + truth["extras"]["butt_to_hand_centre"]
    )
    assert measures["putter_length"] == pytest.approx(length, abs=ROUNDING)


def test_body_stands_in_balance(truth) -> None:
    # nobody stands with the centre of mass behind the heel or beyond the toe
    assert 25 < truth["measures"]["balance"] < 75
    assert 35 < truth["measures"]["sideways_balance"] < 65


def test_people_differ_as_the_story_says() -> None:
    before, after = (json.loads((SAMPLES / n / "truth.json").read_text()) for n in ("before", "after"))
    assert before["student"]["stature_cm"] == after["student"]["stature_cm"]
    assert before["measures"]["putter_length"] - after["measures"]["putter_length"] == pytest.approx(
        3 * 2.54, abs=ROUNDING
    )
    assert before["measures"]["hand_offset"] > 8 > 1 > after["measures"]["hand_offset"] > -1
    assert before["measures"]["spine_tilt"] + 12 < after["measures"]["spine_tilt"]
    assert before["measures"]["back_rounding"] > after["measures"]["back_rounding"] + 15
    assert min(before["measures"]["elbow_gap_lead"], before["measures"]["elbow_gap_trail"]) > 5
    assert max(after["measures"]["elbow_gap_lead"], after["measures"]["elbow_gap_trail"]) < 1


@pytest.mark.parametrize("name", PAIRS)
def test_scenario_and_truth_name_the_same_student(name) -> None:
    truth = json.loads((SAMPLES / name / "truth.json").read_text())
    (pair,) = (p for p in SCENARIO["pairs"] if p["name"] == name)
    assert pair["options"]["handed"] == truth["student"]["handed"]
    assert float(pair["options"]["putter_length"].removesuffix("in")) == pytest.approx(
        truth["student"]["putter_length_in"], abs=0.01
    )
    assert float(pair["options"]["stature"].removesuffix("cm")) == pytest.approx(
        truth["student"]["stature_cm"], abs=0.1
    )


@pytest.mark.parametrize("view", VIEWS)
def test_clip_is_stored_as_the_truth_says(truth, view) -> None:
    facts = truth["views"][view]["stored"]
    codec, frames = frames_of(SAMPLES / truth["name"] / truth["views"][view]["file"])
    times = [time for time, *_ in frames]
    matrix = frames[0][3]
    mirrored = matrix is not None and np.linalg.det(matrix) < 0
    lying = matrix is not None and abs(matrix[0, 0]) < 0.5
    stored = frames[0][1:3]
    assert codec == facts["codec"]
    assert len(frames) == facts["frames"]
    assert mirrored == facts["mirrored"]
    assert lying == (facts["turned"] in (90, 270))
    assert list(stored[::-1] if lying else stored) == truth["views"][view]["size_px"]
    gaps = np.diff(times)
    assert (np.ptp(gaps) > 0.005) == facts["variable_rate"]
    assert all(later > earlier for earlier, later in pairwise(times))
    assert truth["strokes"][-1]["finish_s"] < times[-1] + TIMES_ROUNDING


def test_address_is_quiet_for_long_enough_before_each_putt(truth) -> None:
    putts = [stroke for stroke in truth["strokes"] if stroke["kind"] == "putt"]
    for (start, end), exact, putt in zip(truth["address"], truth["address_exact_s"], putts, strict=True):
        assert start < exact < end
        assert end - start >= 1.2
        assert end == pytest.approx(putt["start_s"], abs=TIMES_ROUNDING)


@pytest.mark.parametrize("view", VIEWS)
def test_nobody_is_cut_off_by_the_edge_at_address(truth, view) -> None:
    wide, high = truth["views"][view]["size_px"]
    for u, v in truth["views"][view]["joints_px"].values():
        assert 0 < u < wide
        assert 0 < v < high


def test_all_clips_together_stay_small() -> None:
    total = sum(path.stat().st_size for path in SAMPLES.glob("*/*.m[op][v4]"))
    assert total < 8_000_000
