"""The archive as Parquet: pandas, polars and Dask read it by year, it is streamed, and it holds what it may hold."""

import errno
import os
import sys
import tracemalloc
from datetime import date
from pathlib import Path

import pandas as pd
import polars as pl
import pyarrow.parquet as pq
import pytest
from sqlalchemy import select

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

from big_archive import TODAY, make_rows

from putt_posture.archive import erase_student, export_archive, open_archive, read_frames, withdraw_consent
from putt_posture.archive.db.tables import LessonRow, MeasureRow, StudentRow
from putt_posture.archive.export import frames as frames_module
from putt_posture.archive.export import parquet, whole_archive
from putt_posture.archive.export.frame_columns import FORMS
from putt_posture.archive.export.whole_archive import ONLY_PARQUET
from putt_posture.errors import InstallationError, OutputError

STUDENTS, LESSONS = 60, 300
STROKES = {"backswing_time": (0.61, [0.6, 0.62]), "hands_back": (14.0, [])}


def add_strokes(archive, lessons):
    """Add measures of strokes to some lessons: one of two strokes, one of a single stroke, one absent."""
    about = {"view": "face_on", "method": "path", "method_version": "1", "budget": {}, "floor": None, "raw_value": None}
    with archive.write() as session:
        for lesson in lessons:
            for name, (value, repeats) in STROKES.items():
                unit = "s" if name == "backswing_time" else "cm"
                session.add(
                    MeasureRow(
                        lesson_id=lesson, name=name, value=value, standard_uncertainty=0.1, unit=unit, frames=9,
                        absent=None, repeats=repeats, **about,
                    )
                )  # fmt: skip
            session.add(
                MeasureRow(
                    lesson_id=lesson, name="putter_back", value=None, standard_uncertainty=None, unit="cm", frames=0,
                    absent="No putter head was seen.", repeats=[], **about,
                )
            )  # fmt: skip


def lessons_of(archive, student):
    with archive.read() as session:
        return set(session.scalars(select(LessonRow.id).where(LessonRow.student_id == student)))


@pytest.fixture(scope="module")
def archive(tmp_path_factory):
    """An archive of six years, in which one student took consent back and one was erased."""
    with open_archive(tmp_path_factory.mktemp("parquet") / "archive") as opened:
        make_rows(opened, students=STUDENTS, lessons=LESSONS)
        add_strokes(opened, (3, 4))
        yield opened


@pytest.fixture(scope="module")
def gone(archive):
    """The student who took consent back, the one who was erased, and the lessons of both."""
    with archive.read() as session:
        seen = session.execute(select(LessonRow.student_id, LessonRow.id).where(LessonRow.id.not_in((3, 4)))).all()
    back, erased = sorted({student for student, _ in seen if not {3, 4} & lessons_of(archive, student)})[:2]
    lessons = lessons_of(archive, back) | lessons_of(archive, erased)
    withdraw_consent(archive, back, scopes=("measures",), on=TODAY)
    erase_student(archive, erased, today=TODAY, reason="asked for it")
    return back, erased, lessons


@pytest.fixture(scope="module")
def tables(archive, gone, tmp_path_factory):
    out = tmp_path_factory.mktemp("tables") / "out"
    with pytest.MonkeyPatch.context() as patch:  # several batches, groups and files, as of a large archive
        patch.setattr(frames_module, "_BATCH", 40)
        patch.setattr(parquet, "_ROWS_A_GROUP", 300)
        patch.setattr(parquet, "_ROWS_A_FILE", 1000)
        export_archive(archive, out, today=TODAY)
    return out / "parquet"


@pytest.fixture(scope="module")
def frames(archive, gone):
    return read_frames(archive, today=TODAY, names=False)


@pytest.fixture(scope="module")
def measures(frames):
    """The measures with the year of their lesson."""
    days = frames["lessons"].set_index("lesson")["day"]
    return frames["measures"].assign(year=lambda frame: frame["lesson"].map(days).dt.year)


def test_pandas_reads_one_year_and_one_measure_without_the_others(tables, measures):
    asked = [("year", "=", 2025), ("measure", "=", "spine_tilt")]
    read = pd.read_parquet(tables / "measures", filters=asked, columns=["lesson", "value", "method_version"])
    wanted = measures.query("year == 2025 and measure == 'spine_tilt'")
    assert 0 < len(read) < len(measures)
    both = [each.sort_values("lesson", ignore_index=True) for each in (read, wanted[list(read)])]
    pd.testing.assert_frame_equal(*both, check_exact=True, check_categorical=False)
    assert read["lesson"].is_unique


def test_polars_reads_the_table_when_it_is_collected(tables, measures):
    lazy = pl.scan_parquet(tables / "measures").filter(pl.col("year") >= 2024)
    found = lazy.group_by("measure").agg(pl.col("value").mean(), pl.col("absent").count()).collect()
    wanted = measures[measures["year"] >= 2024].groupby("measure", observed=True)
    assert dict(zip(found["measure"], found["value"], strict=True)) == pytest.approx(wanted["value"].mean().to_dict())
    assert dict(zip(found["measure"], found["absent"], strict=True)) == wanted["absent"].count().to_dict()


@pytest.mark.filterwarnings("ignore:The inplace keyword")  # Dask calls pandas so
def test_dask_reads_the_table_file_by_file(tables, measures):
    import dask.dataframe as dd

    lazy = dd.read_parquet(tables / "measures", columns=["measure", "value", "year"])
    assert lazy.npartitions == len(list((tables / "measures").rglob("*.parquet"))) > 6
    found = lazy[lazy["measure"] == "knee_flex"]["value"].mean().compute(scheduler="synchronous")
    assert found == pytest.approx(measures[measures["measure"] == "knee_flex"]["value"].mean())


def test_every_row_is_in_the_folder_of_its_year_once(tables, frames, measures):
    for name, frame in frames.items():
        read = pd.read_parquet(tables / name)
        assert len(read) == len(frame) > 0 or name == "corrections", name
        assert read.drop(columns="year", errors="ignore").columns.to_list() == list(frame), name
    for folder in (tables / "measures").iterdir():
        part = pd.concat(pd.read_parquet(each) for each in folder.iterdir())
        wanted = measures[measures["year"] == int(folder.name.removeprefix("year="))]
        assert sorted(part["lesson"]) == sorted(wanted["lesson"])
    assert {path.parent.name for path in (tables / "students").rglob("*.parquet")} == {"students"}


def test_large_tables_are_divided_into_files_and_these_into_groups(tables):
    files = sorted((tables / "measures" / "year=2025").iterdir())
    assert [each.name for each in files] == [f"part-{at:05d}.parquet" for at in range(len(files))]
    assert len(files) > 1
    assert pq.ParquetFile(files[0]).num_row_groups > 1


def test_long_texts_are_written_sooner(archive, tmp_path, monkeypatch):
    monkeypatch.setattr(frames_module, "_BATCH", 40)
    monkeypatch.setattr(parquet, "_BYTES_A_GROUP", 1)
    export_archive(archive, tmp_path / "tables", today=TODAY, csv=False)
    files = (tmp_path / "tables" / "parquet" / "fits").rglob("*.parquet")
    assert max(pq.ParquetFile(each).num_row_groups for each in files) > 1


def test_columns_say_their_unit_and_meaning(tables):
    schema = pq.read_schema(next((tables / "fits").rglob("*.parquet")))
    for column in next(form for form in FORMS if form.name == "fits").columns:
        told = schema.field(column.name).metadata
        assert (told[b"unit"].decode(), told[b"says"].decode()) == (column.unit, column.says)


def test_strokes_are_a_table_of_their_own_with_a_row_for_each(tables, frames):
    strokes = pd.read_parquet(tables / "strokes")
    assert sorted(strokes[["lesson", "measure", "stroke", "value", "unit"]].itertuples(index=False, name=None)) == [
        row
        for lesson in (3, 4)
        for row in (
            (lesson, "backswing_time", 0, 0.6, "s"), (lesson, "backswing_time", 1, 0.62, "s"),
            (lesson, "hands_back", 0, 14.0, "cm"),
        )
    ]  # fmt: skip
    of_strokes = frames["measures"].query("family == 'stroke'")
    assert sorted(of_strokes["measure"].unique()) == ["backswing_time", "hands_back", "putter_back"]
    assert of_strokes["absent"].notna().sum() == 2


def test_no_row_of_an_erased_student_and_no_lesson_without_consent_is_in_it(tables, gone):
    back, erased, lessons = gone
    assert lessons
    for folder in tables.iterdir():
        read = pd.read_parquet(folder)
        if folder.name in ("students", "consents"):
            assert back in set(read["student"])
            assert erased not in set(read["student"])
        else:
            assert not {back, erased} & set(read["student"])
            assert not lessons & set(read.get("lesson", []))


def test_there_are_no_names_and_no_day_of_birth_in_any_file(archive, tables):
    with archive.read() as session:
        names = [name.encode() for name in session.scalars(select(StudentRow.name))]
    for path in tables.rglob("*.parquet"):
        assert not {"name", "born", "notes", "misses", "limits", "given_by"} & set(pq.read_schema(path).names)
        assert not any(name in path.read_bytes() for name in names)


def test_any_number_of_students_may_lack_consent(archive):
    """SQLite takes some 32,000 numbers in one query."""
    with archive.read() as session:
        form = next(form for form in FORMS if form.name == "measures")
        withheld = frozenset(range(2, 50_000))
        found = [part for part, *_ in frames_module.batches_of(session, form, withheld, names=False)]
    assert set(pd.concat(found)["student"]) <= {1}


@pytest.mark.whole
def test_memory_does_not_grow_with_the_archive(tmp_path, monkeypatch):
    monkeypatch.setattr(frames_module, "_BATCH", 20)
    monkeypatch.setattr(parquet, "_ROWS_A_GROUP", 100)
    most = []
    for students, lessons in ((8, 60), (48, 360)):
        with open_archive(tmp_path / str(students)) as archive:
            make_rows(archive, students=students, lessons=lessons, file_rows=False)
            export_archive(archive, tmp_path / f"warm {students}", today=TODAY)
            tracemalloc.start()
            export_archive(archive, tmp_path / f"out {students}", today=TODAY)
            most.append(tracemalloc.get_traced_memory()[1])
            tracemalloc.stop()
    assert most[1] < 1.5 * most[0]  # with whole tables in memory it is four to five times as much


@pytest.mark.parametrize("at", [1, 12])
def test_full_disk_in_the_middle_leaves_nothing(archive, tmp_path, monkeypatch, at):
    calls = []

    def add(self, part, years, _add=parquet.ParquetTable.add):
        calls.append(len(part))
        if len(calls) == at:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        _add(self, part, years)

    monkeypatch.setattr(frames_module, "_BATCH", 40)
    monkeypatch.setattr(parquet.ParquetTable, "add", add)
    with pytest.raises(OutputError, match="disk is full"):
        export_archive(archive, tmp_path / "tables", today=TODAY)
    assert len(calls) == at
    assert list(tmp_path.iterdir()) == []


def test_only_parquet_is_written_where_no_csv_is_wanted(archive, tmp_path, monkeypatch):
    told = []
    export_archive(
        archive, tmp_path / "tables", today=TODAY, csv=False, progress=lambda doing, share: told.append((doing, share))
    )
    assert {path.name for path in (tmp_path / "tables").iterdir()} >= {"parquet", "columns.json", "README.md"}
    assert not (tmp_path / "tables" / "csv").exists()
    page = (tmp_path / "tables" / "README.md").read_text(encoding="utf-8")
    assert "pl.scan_parquet" in page
    assert "csv" not in page.lower()
    assert [share for _, share in told] == sorted(share for _, share in told)
    monkeypatch.setattr(whole_archive, "_has_parquet", lambda: False)
    with pytest.raises(InstallationError) as said:
        export_archive(archive, tmp_path / "none", today=TODAY, csv=False)
    assert str(said.value) == ONLY_PARQUET
    assert not (tmp_path / "none").exists()


def test_an_archive_without_lessons_gives_tables_that_can_be_read(tmp_path):
    with open_archive(tmp_path / "archive") as empty:
        export_archive(empty, tmp_path / "tables", today=date(2026, 6, 1))
    read = pd.read_parquet(tmp_path / "tables" / "parquet" / "measures")
    assert len(read) == 0
    assert {"lesson", "value", "year"} <= set(read)
