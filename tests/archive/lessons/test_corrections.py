"""A landmark put right by hand stands beside the automatic one."""

import math
import sys
from datetime import date
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from export_lessons import TODAY, fill, store_invented
from places import copy_folder

from putt_posture.archive import (
    correct_landmark,
    erase_lesson,
    load_landmarks,
    load_lessons,
    remove_correction,
)
from putt_posture.archive.db.rows import as_points
from putt_posture.archive.db.tables import Correction, LandmarkRow
from putt_posture.errors import NotInArchive, UsageError
from putt_posture.values import LANDMARK_INDEX

HIP = LANDMARK_INDEX["left_hip"]
WIDTH, HEIGHT = 1080, 1920


@pytest.fixture(scope="module")
def folder(made_once):
    return made_once("invented_with_clips", store_invented) / "result"


@pytest.fixture(scope="module")
def filled(made, folder, tmp_path_factory):
    """The folder of an archive with the lesson, to be copied."""
    place = copy_folder(made, tmp_path_factory.mktemp("filled") / "archive")
    with place.open() as archive:
        fill(archive, folder, clips=False)
    return Path(place.archive)


@pytest.fixture
def archive(filled, tmp_path):
    with copy_folder(filled, tmp_path / "archive").open() as opened:
        yield opened


@pytest.fixture
def lesson(archive):
    return load_lessons(archive, 1)[0].number


def correct(archive, lesson, **changes):
    told = {
        "view": "down_the_line", "frame": 0, "landmark": "right_knee", "point_px": (411.25, 1300.5),
        "made_by": "Kim Coach", "today": TODAY,
    }  # fmt: skip
    return correct_landmark(archive, lesson, **(told | changes))


def test_the_automatic_landmarks_are_those_of_the_result_folder(archive, lesson, folder):
    with np.load(folder / "landmarks.npz") as arrays:
        points, seen = arrays["face_on.points_px"], arrays["face_on.visibility"]
        times, setups = arrays["face_on.times_s"], arrays["face_on.setup_index"]
    loaded = load_landmarks(archive, lesson, "face_on", today=TODAY)
    assert np.array_equal(loaded.automatic[..., :2], points.astype(np.float32), equal_nan=True)
    assert np.array_equal(loaded.automatic[..., 2], seen.astype(np.float32))
    assert np.array_equal(loaded.times_s, times)
    assert np.array_equal(loaded.setup_index, setups)
    assert loaded.size_px == (WIDTH, HEIGHT)


def test_a_correction_is_put_in_and_the_automatic_landmark_stays(archive, lesson):
    with archive.read() as session:
        before = [(row.clip_id, row.frame, row.points) for row in session.query(LandmarkRow)]
    number = correct(archive, lesson)
    loaded = load_landmarks(archive, lesson, "down_the_line", today=TODAY)
    knee = LANDMARK_INDEX["right_knee"]
    assert loaded.points[0, knee].tolist() == [411.25, 1300.5, 1.0]
    moved = np.zeros(loaded.points.shape, bool)
    moved[0, knee] = True
    assert np.array_equal(loaded.points[~moved], loaded.automatic[~moved], equal_nan=True)
    assert loaded.automatic[0, knee].tolist() != [411.25, 1300.5, 1.0]
    (each,) = loaded.corrections
    assert (each.number, each.frame, each.landmark, each.point_px) == (number, 0, "right_knee", (411.25, 1300.5))
    assert (each.made_by, each.made_on) == ("Kim Coach", TODAY)
    with archive.read() as session:
        assert [(row.clip_id, row.frame, row.points) for row in session.query(LandmarkRow)] == before


def test_a_correction_belongs_to_its_view_and_frame(archive, lesson):
    correct(archive, lesson, frame=2)
    assert [each.landmark for each in load_landmarks(archive, lesson, "face_on", today=TODAY).corrections] == [
        "left_hip"
    ]
    face_on = load_landmarks(archive, lesson, "face_on", today=TODAY).points
    assert face_on[1, HIP].tolist() == [500.1, 900.7, 1.0]
    assert face_on[0, HIP].tolist() != [500.1, 900.7, 1.0]


def test_of_two_corrections_the_last_counts_and_the_first_comes_back(archive, lesson):
    correct(archive, lesson, point_px=(1, 2))
    second = correct(archive, lesson, point_px=(3, 4), made_by="Lee Other", today=date(2026, 11, 26))
    knee = LANDMARK_INDEX["right_knee"]
    assert load_landmarks(archive, lesson, "down_the_line", today=TODAY).points[0, knee].tolist() == [3, 4, 1]
    remove_correction(archive, second)
    assert load_landmarks(archive, lesson, "down_the_line", today=TODAY).points[0, knee].tolist() == [1, 2, 1]


def test_a_correction_taken_away_leaves_the_automatic_landmark(archive, lesson):
    remove_correction(archive, correct(archive, lesson))
    loaded = load_landmarks(archive, lesson, "down_the_line", today=TODAY)
    assert loaded.corrections == ()
    assert np.array_equal(loaded.points, loaded.automatic, equal_nan=True)


def test_the_points_given_out_can_be_changed_without_harm(archive, lesson):
    loaded = load_landmarks(archive, lesson, "face_on", today=TODAY)
    loaded.points[:] = 0
    assert loaded.points[1, HIP].tolist() == [500.1, 900.7, 1.0]


@pytest.mark.parametrize("point", [(0, 0), (WIDTH, HEIGHT)])
def test_the_corners_of_the_picture_belong_to_it(archive, lesson, point):
    correct(archive, lesson, point_px=point)
    found = load_landmarks(archive, lesson, "down_the_line", today=TODAY).corrections[0].point_px
    assert found == point


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"frame": 3}, r"There is no frame 3 in this view of lesson \d+\. Give one from 0 to 2\."),
        ({"frame": -1}, r"There is no frame -1 .* from 0 to 2\."),
        ({"landmark": "elbow"}, r"There is no landmark 'elbow'\. Give one of nose, "),
        ({"point_px": (-0.1, 5)}, r"The point -0\.1, 5 is outside the picture, which is 1080 by 1920 pixels\."),
        ({"point_px": (5, 1920.5)}, "is outside the picture"),
        ({"point_px": (math.nan, 5)}, "The point nan, 5 is outside"),
        ({"point_px": (5, math.inf)}, "is outside the picture"),
        ({"view": "behind"}, r"has no view behind\. Give down_the_line or face_on\."),
        ({"made_by": " \n\x00"}, r"The name of the person who corrected the landmark is missing\. Give it\."),
    ],
)
def test_what_cannot_be_is_one_sentence_and_nothing_is_kept(archive, lesson, changes, says):
    with pytest.raises(UsageError, match=says):
        correct(archive, lesson, **changes)
    with archive.read() as session:
        assert session.query(Correction).count() == 1  # the one of the fixture


def test_a_lesson_or_a_correction_that_is_not_there_is_one_sentence(archive):
    with pytest.raises(NotInArchive, match=r"There is no lesson 99 in the archive\."):
        correct(archive, 99)
    with pytest.raises(NotInArchive, match=r"There is no lesson 99 in the archive\."):
        load_landmarks(archive, 99, "face_on", today=TODAY)
    with pytest.raises(NotInArchive, match=r"There is no correction 99 in the archive\."):
        remove_correction(archive, 99)


def test_a_lesson_without_landmarks_is_one_sentence(archive, lesson):
    with archive.write() as session:
        session.query(LandmarkRow).delete()
    with pytest.raises(UsageError, match="was filed without landmarks"):
        load_landmarks(archive, lesson, "down_the_line", today=TODAY)
    with pytest.raises(UsageError, match="was filed without landmarks"):
        correct(archive, lesson)


def test_corrections_go_with_their_lesson(archive, lesson):
    erase_lesson(archive, lesson)
    with archive.read() as session:
        assert session.query(Correction).count() == 0


def test_landmarks_of_a_row_are_its_points(archive):
    with archive.read() as session:
        row = session.query(LandmarkRow).first()
        assert as_points(row).shape == (33, 3)
