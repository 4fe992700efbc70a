"""Without pyarrow, which is an extra, the tables are given out as CSV and it is said how to get Parquet."""

import json
import subprocess
import sys
import tomllib
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from putt_posture.archive import add_student, export_archive, open_archive
from putt_posture.archive.export.whole_archive import NO_PARQUET
from putt_posture.values import Student

TODAY = date(2026, 6, 1)
SCRIPT = """
import sys
sys.modules["pyarrow"] = None  # an import of it fails from here on
import json
from datetime import date
from pathlib import Path
from putt_posture.archive import add_student, export_archive, open_archive, read_frames
from putt_posture.values import Student

place, today = Path(sys.argv[1]), date(2026, 6, 1)
student = Student(name="Robin Example", stature_cm=178, handed="right")
with open_archive(str(place / "archive")) as archive:
    add_student(archive, student, today=today, adult=True)
    done = [export_archive(archive, place / "tables", today=today, replace=replace) for replace in (False, True)]
    frames = read_frames(archive, today=today)
told = {"says": [each.says for each in done], "students": frames["students"][["name"]].values.tolist()}
print(json.dumps(told))
"""
PROJECT = Path(__file__).parents[3] / "pyproject.toml"


@pytest.fixture
def archive(tmp_path):
    with open_archive(str(tmp_path / "archive")) as opened:
        add_student(opened, Student(name="Robin Example", stature_cm=178, handed="right"), today=TODAY, adult=True)
        yield opened


def test_with_pyarrow_the_tables_are_there_in_both_forms_and_nothing_is_said(archive, tmp_path):
    done = export_archive(archive, tmp_path / "tables", today=TODAY)
    assert (tmp_path / "tables" / "parquet" / "students" / "part-00000.parquet").is_file()
    assert done.says == ()
    assert "read_parquet" in (tmp_path / "tables" / "README.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def without_pyarrow(tmp_path_factory):
    """What a program without pyarrow says and writes: in a process of its own, as pandas remembers what it found."""
    place = tmp_path_factory.mktemp("bare")
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(place)], capture_output=True, text=True, check=False, encoding="utf-8"
    )
    assert done.returncode == 0, done.stderr
    return place / "tables", json.loads(done.stdout)


def test_without_pyarrow_the_tables_are_csv_and_one_sentence_says_what_to_install(without_pyarrow):
    tables, said = without_pyarrow
    assert said["says"] == [[NO_PARQUET], [NO_PARQUET]]  # written, and written again in its place
    assert "pip install 'putt_posture[parquet]'" in NO_PARQUET
    assert len(pd.read_csv(tables / "csv" / "students.csv")) == 1
    assert not (tables / "parquet").exists()
    page = (tables / "README.md").read_text(encoding="utf-8")
    assert "arquet" not in page
    assert 'pd.read_csv("csv/measures.csv")' in page


def test_without_pyarrow_the_archive_is_read_as_frames(without_pyarrow):
    assert without_pyarrow[1]["students"] == [["Robin Example"]]


def test_pyarrow_is_an_extra_and_each_dependency_says_what_it_is_for():
    project = tomllib.loads(PROJECT.read_text(encoding="utf-8"))["project"]
    assert not any(each.startswith("pyarrow") for each in project["dependencies"])
    assert [each.split(">")[0] for each in project["optional-dependencies"]["parquet"]] == ["pyarrow"]
    lines = PROJECT.read_text(encoding="utf-8").splitlines()
    for dependency in project["dependencies"]:
        (line,) = [each for each in lines if each.startswith(f'  "{dependency}", #')]
        assert ": " in line.partition("#")[2]
