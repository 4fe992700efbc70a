"""The whole archive as pandas frames, as CSV and as Parquet, says what the rows say."""

import csv
import json
from datetime import date

import numpy as np
import pandas as pd
import pytest
from export_lessons import CLIPS, DAY, NAME, NOTES, TODAY, fill, store_invented
from pandas.testing import assert_frame_equal

from putt_posture.archive import export_archive, load_consents, load_history, load_landmarks, open_archive, read_frames
from putt_posture.archive.export.frame_columns import FORMS, LANDMARKS, STROKES
from putt_posture.measures import MEASURES, RECORDS
from putt_posture.values import LANDMARK_NAMES, VIEWS

TYPED = (
    "Example",
    "Guardian",
    "on paper",
    "Kim Coach",
    "Comes on Tuesdays",
    "2008-05-18",
    "windy",
    ".mov",
    "oak",
    "gift",
)
"""What may tell who somebody is, each in a frame with names."""


@pytest.fixture(scope="module")
def folder(made_once):
    return made_once("invented_with_clips", store_invented) / "result"


@pytest.fixture(scope="module")
def filling(folder):
    """What adds one born in 2008, and one of whom only being grown up is known."""

    def add(archive):
        fill(archive, folder, notes="Comes on Tuesdays.")
        fill(archive, folder, name="Casey Cupp", born=None)

    return add


@pytest.fixture
def filled(archive):
    """An archive with both, in both databases in turn."""
    return archive


@pytest.fixture(scope="module")
def frames(filling, tmp_path_factory):
    with open_archive(tmp_path_factory.mktemp("framed") / "archive") as archive:
        filling(archive)
        return read_frames(archive, landmarks=True, today=TODAY)


def test_both_databases_give_the_same_frames(filled, frames):
    found = read_frames(filled, landmarks=True, today=TODAY)
    assert list(found) == list(frames) == [*(form.name for form in FORMS), STROKES.name, LANDMARKS.name]
    for name, frame in frames.items():
        assert len(frame) > 0 or name == STROKES.name, name  # these lessons have no strokes
        assert_frame_equal(found[name], frame, check_exact=True, obj=name)


def test_the_measures_are_those_of_the_history(filled):
    measures = read_frames(filled, today=TODAY)["measures"]
    for student in (1, 2):
        (visit,) = load_history(filled, student, today=TODAY).visits
        mine = measures[measures["student"] == student].set_index("measure")
        assert list(mine.index) == list(MEASURES)
        for name, estimate in visit.measured.measures.items():
            row = mine.loc[name]
            wanted = [estimate.value, estimate.standard_uncertainty, estimate.raw_value, estimate.floor]
            wanted = [np.nan if each is None or not estimate else each for each in wanted]
            found = [row["value"], row["standard_uncertainty"], row["raw_value"], row["floor"]]
            np.testing.assert_array_equal(np.array(found, dtype=float), np.array(wanted, dtype=float))
            assert row["unit"] == estimate.unit
            assert json.loads(row["budget"]) == dict(estimate.budget)
            assert pd.isna(row["absent"]) == bool(estimate)


def test_everything_else_is_there_as_well(filled):
    found = read_frames(filled, today=TODAY)
    assert list(found["students"]["name"]) == [NAME, "Casey Cupp"]
    consents = found["consents"]
    assert len(consents) == sum(len(load_consents(filled, number)) for number in (1, 2)) > 0
    lessons = found["lessons"]
    assert list(lessons["day"]) == [pd.Timestamp(DAY)] * 2
    assert lessons.loc[0, "misses"] == NOTES.misses
    assert list(lessons["weak_putts"]) == [NOTES.weak_putts] * 2
    practice = found["practice"]
    assert practice[["distance_cm", "tried", "holed"]].to_numpy().tolist() == [[91.44, 20, 19], [304.8, 20, 8]] * 2
    assert list(found["corrections"]["landmark"]) == ["left_hip"] * 2
    assert sorted(found["clips"]["view"].unique()) == sorted(VIEWS)
    clips = found["files"][found["files"]["name"].str.startswith("clips/")]
    assert sorted(clips["bytes"]) == sorted(2 * [len(each) for each in CLIPS.values()])
    assert found["fits"]["length_cm"].notna().all()


@pytest.mark.parametrize(("born", "age"), [(date(2008, 5, 17), 18), (date(2008, 5, 18), 17)])
def test_the_age_is_that_of_the_day(archive, folder, born, age):
    fill(archive, folder, born=born)
    fill(archive, folder, name="Casey Cupp", born=None)
    found = read_frames(archive, names=False, today=TODAY)
    for name in ("lessons", "practice"):
        ages = dict(zip(found[name]["student"], found[name]["age_years"], strict=True))
        assert ages[1] == age
        assert pd.isna(ages[2])


def test_landmarks_are_a_row_each_in_single_precision(filled):
    landmarks = read_frames(filled, landmarks=True, today=TODAY)["landmarks"]
    for view in VIEWS:
        seen = load_landmarks(filled, 1, view, today=TODAY)
        mine = landmarks[(landmarks["lesson"] == 1) & (landmarks["view"] == view)]
        points = mine[["u_px", "v_px", "visibility"]].to_numpy().reshape(-1, len(LANDMARK_NAMES), 3)
        np.testing.assert_array_equal(points, seen.automatic)
        assert list(mine["landmark"])[: len(LANDMARK_NAMES)] == list(LANDMARK_NAMES)


def test_without_names_nothing_that_was_typed_is_in_any_cell(frames, folder, tmp_path):
    with open_archive(tmp_path / "archive") as archive:
        fill(archive, folder, notes="Comes on Tuesdays.")
        nameless = read_frames(archive, names=False, landmarks=True, today=TODAY)

    def missing(frames):
        everything = "\n".join(repr(row) for frame in frames.values() for row in frame.to_numpy().tolist())
        return [each for each in TYPED if each not in everything]

    assert missing(frames) == []
    assert missing(nameless) == list(TYPED)
    for form in (*FORMS, STROKES, LANDMARKS):
        assert list(nameless[form.name]) == [each.name for each in form.columns if not each.tells_who]


def test_an_archive_with_nobody_in_it_gives_frames_with_the_same_columns(archive, frames):
    for name, frame in read_frames(archive, landmarks=True, today=TODAY).items():
        assert len(frame) == 0
        assert list(frame) == list(frames[name])
        for column in frame:
            if not isinstance(frame[column].dtype, pd.CategoricalDtype):
                assert frame[column].dtype == frames[name][column].dtype, (name, column)


@pytest.mark.parametrize("batch", [1, 7])
def test_how_many_rows_are_read_at_once_makes_no_odds(filled, frames, monkeypatch, batch):
    monkeypatch.setattr("putt_posture.archive.export.frames._BATCH", batch)
    for name, frame in read_frames(filled, today=TODAY).items():
        assert_frame_equal(frame, frames[name], check_exact=True, obj=name)


def test_tables_come_back_from_parquet_and_from_csv_bit_for_bit(filled, frames, tmp_path):
    exported = export_archive(filled, tmp_path / "tables", today=TODAY, names=True, landmarks=True)
    assert dict(exported.rows) == {name: len(frame) for name, frame in frames.items()}
    for name, frame in frames.items():
        read = pd.read_parquet(tmp_path / "tables" / "parquet" / name)
        if "year" in read:
            assert set(read.pop("year")) == ({DAY.year} if len(frame) else set())
        assert list(read) == list(frame)
        if len(frame):
            assert_frame_equal(read, frame, check_exact=True, check_categorical=False, obj=name)
        with (tmp_path / "tables" / "csv" / f"{name}.csv").open(encoding="utf-8", newline="") as stream:
            lines = list(csv.DictReader(stream))
        assert len(lines) == len(frame)
        for column in frame.select_dtypes("number"):
            read = [float(line[column] or "nan") for line in lines]
            np.testing.assert_array_equal(read, frame[column].to_numpy(dtype=float, na_value=np.nan), err_msg=name)


def test_what_the_columns_are_is_told_of_every_column(filled, tmp_path):
    export_archive(filled, tmp_path / "tables", today=TODAY)
    told = json.loads((tmp_path / "tables" / "columns.json").read_text(encoding="utf-8"))
    page = (tmp_path / "tables" / "README.md").read_text(encoding="utf-8")
    written = {path.stem: path for path in (tmp_path / "tables" / "csv").iterdir()}
    assert set(told["tables"]) == set(written)
    for name, path in written.items():
        columns = path.read_text(encoding="utf-8").split("\n", 1)[0].split(",")
        assert [each["name"] for each in told["tables"][name]["columns"]] == columns
        assert all(each["says"] and f"| `{each['name']}` |" in page for each in told["tables"][name]["columns"])
    assert set(told["measures"]) == set(RECORDS)
    assert "may be enough to recognise them" in page


def test_frames_without_names_tell_no_pain_or_limits(filled):
    lessons = read_frames(filled, names=False, today=TODAY)["lessons"]
    assert not {"misses", "putter_story", "limits", "notes"} & set(lessons.columns)
    assert list(lessons["weak_putts"]) == [NOTES.weak_putts] * 2
