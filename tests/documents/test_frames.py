"""A lesson as a table: one row a measure, or one row a frame and measure."""

import subprocess
import sys

import numpy as np
import pandas as pd
import pytest
from attrs import evolve
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES, measure_posture
from putt_posture.records import read_result_folder
from putt_posture.values import LANDMARK_INDEX

NUMBERS = ("value", "standard_uncertainty", "low", "high")


def test_a_lesson_is_a_table_of_one_row_a_measure(lesson):
    frame = lesson.to_frame()
    assert list(frame.index) == list(MEASURES)
    assert list(frame.columns) == ["title", *NUMBERS, "unit", "view", "frames", "method", "reason"]
    assert all(frame[name].dtype == float for name in NUMBERS)
    for name, estimate in lesson.posture.items():
        row = frame.loc[name]
        found = tuple(row[each] for each in NUMBERS)
        np.testing.assert_equal(found, tuple(getattr(estimate, each) for each in NUMBERS))
        assert (row["unit"], row["view"], row["frames"]) == (estimate.unit, estimate.view or "", estimate.frames)
        assert (row["title"], row["method"], row["reason"]) == (
            MEASURES[name].title, estimate.method, estimate.absent or "",
        )  # fmt: skip
    assert frame["reason"].ne("").sum() == frame["value"].isna().sum() == 1


def test_a_stored_lesson_gives_the_same_table(lesson, folder):
    kept = read_result_folder(folder)
    pd.testing.assert_frame_equal(kept.to_frame(), lesson.to_frame(), check_exact=True)
    pd.testing.assert_frame_equal(kept.record.to_frame(), lesson.to_frame(), check_exact=True)


def with_frames(lesson, values):
    tilt = evolve(lesson.posture["spine_tilt"], per_frame=values)
    estimates = {**lesson.posture.estimates, "spine_tilt": tilt}
    return evolve(lesson, posture=evolve(lesson.posture, estimates=estimates))


def test_values_of_single_frames_come_with_their_time_and_setup(lesson):
    frame = with_frames(lesson, (29.0, float("nan"), 31.0)).to_frame(per="frame")
    assert list(frame.columns) == ["view", "frame", "time_s", "setup", "measure", "value", "unit"]
    assert frame["time_s"].to_list() == [2.3, 2.4, 2.5]
    assert frame["frame"].to_list() == [0, 1, 2]
    assert set(frame["measure"]) == {"spine_tilt"}
    assert set(frame["view"]) == {"down_the_line"}
    np.testing.assert_equal(frame["value"].to_numpy(), [29.0, np.nan, 31.0])


def test_a_stored_lesson_says_that_it_keeps_no_values_of_frames(folder):
    with pytest.raises(UsageError, match=r"keeps no values of single frames. Measure the clips again"):
        read_result_folder(folder).to_frame(per="frame")


def test_another_word_for_the_rows_is_refused(lesson):
    with pytest.raises(UsageError, match=r"per is 'frames'; 'measure', 'frame' or 'stroke' is needed\. Did you mean"):
        lesson.to_frame(per="frames")


def test_a_measure_is_the_median_of_the_values_of_its_frames(lesson):
    golfer = Golfer()
    seen = result_of(golfer, Camera())
    points = seen.landmarks.points_px.copy()
    points[:, [LANDMARK_INDEX["left_shoulder"], LANDMARK_INDEX["right_shoulder"]], 0] += [[-12.0], [0.0], [15.0]]
    marks = evolve(seen.landmarks, points_px=points)
    views = {"down_the_line": evolve(seen, landmarks=marks, joints=marks)}
    measured = evolve(lesson, views=views, posture=measure_posture(views, student_of(golfer)))
    frames = measured.to_frame(per="frame")
    tilts = frames[frames["measure"] == "spine_tilt"]["value"]
    assert len(tilts) == 3
    assert tilts.is_monotonic_increasing
    assert tilts.iloc[2] - tilts.iloc[0] > 3.0
    assert float(measured.posture["spine_tilt"]) == tilts.median()
    for name, values in frames.groupby("measure")["value"]:
        assert float(measured.posture[name]) == pytest.approx(values.median())


def test_no_value_of_a_frame_is_below_what_makes_sense():
    golfer = Golfer()
    views = {"down_the_line": result_of(golfer, Camera()), "face_on": result_of(golfer, Camera(view="face_on"))}
    posture = measure_posture(views, student_of(golfer))
    gaps = [posture[name] for name in ("elbow_gap_lead", "elbow_gap_trail")]
    assert all(gap and len(gap.per_frame) == 3 and min(gap.per_frame) >= 0 for gap in gaps)


def test_importing_the_package_and_showing_its_help_load_no_pandas():
    for script in (
        "import sys, putt_posture; putt_posture.Student; putt_posture.measure_lesson; putt_posture.compare; "
        "sys.exit('pandas' in sys.modules)",
        "import sys; from putt_posture.cli.program import program\n"
        "try: program(['--help'])\nexcept SystemExit: pass\nsys.exit('pandas' in sys.modules)",
    ):
        done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout + done.stderr
