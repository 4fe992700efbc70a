"""The commands of the archive as a family: their help, and what they say where there is no archive."""

import os
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest

from putt_posture.cli import main
from putt_posture.cli.archive import archive as family
from putt_posture.values import MOMENTS

PAGE = Path(__file__).parents[2] / "putt_posture" / "guide" / "archive.md"
HEAVY = ("alembic", "attrs", "cv2", "matplotlib", "numpy", "pandas", "rich", "sqlalchemy")
WITHOUT_ARCHIVE = {
    "find": ["robin"],
    "show": ["1"],
    "describe": ["1", "--notes", "x"],
    "consent": ["1", "--for", "all", "--given-by", "Robin"],
    "correct": ["1"],
    "measure-again": ["--all"],
    "practice": ["1"],
    "history": ["1", "--out", "never"],
    "overview": [],
    "export": ["1", "--out", "never.zip"],
    "export-all": ["--out", "never"],
    "settings": [],
    "retention": [],
    "hide-faces": [],
    "erase": ["1", "--reason", "x", "--yes"],
    "erase-lesson": ["1", "--yes"],
    "erasures": [],
    "backup": ["never"],
    "check": [],
    "upgrade": [],
}


@pytest.mark.parametrize("name", ["", *family.commands])
def test_help_of_every_command_fits_into_80_columns(name, capsys, monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    assert main(["archive", *([name] if name else []), "--help"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith(f"Usage: putt-posture archive {name}".rstrip())
    assert max(map(len, lines)) <= 80


def test_help_of_every_command_imports_nothing_heavy() -> None:
    script = (
        "import sys; from putt_posture.cli import main; from putt_posture.cli.archive import archive; "
        "[main(['archive', name, '--help']) for name in archive.commands]; main(['archive', '--help']); "
        f"print([name for name in {HEAVY!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def test_every_command_is_listed_in_the_help_of_the_family(capsys) -> None:
    assert main(["archive", "--help"]) == 0
    said = capsys.readouterr().out
    assert all(f"\n  {name}  " in said for name in family.commands)


def test_moments_are_those_of_the_values() -> None:
    (moment,) = [each for each in family.commands["file"].params if each.name == "moment"]
    assert tuple(moment.type.choices) == MOMENTS  # type: ignore[attr-defined]


def test_call_without_a_command_shows_the_help_and_exits_with_two(capsys) -> None:
    assert main(["archive"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "enrol" in said.err


@pytest.mark.parametrize(("name", "words"), WITHOUT_ARCHIVE.items())
def test_command_without_an_archive_is_one_sentence_and_makes_none(
    name, words, refused, archive_place, tmp_path, monkeypatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert "There is no archive in" in refused("archive", name, *words, code=1)
    assert os.listdir(tmp_path) == []


def test_lesson_cannot_be_filed_without_an_archive(refused, results, tmp_path) -> None:
    said = refused("archive", "file", 1, results / "result", "--moment", "before", code=1)
    assert "There is no archive in" in said
    assert os.listdir(tmp_path) == []


def test_every_command_but_those_that_begin_one_is_tried_without_an_archive() -> None:
    assert {*WITHOUT_ARCHIVE, "enrol", "restore", "file"} == set(family.commands)


@pytest.mark.parametrize("name", [name for name in family.commands if name != "restore"])
def test_folder_of_something_else_is_no_archive(name, tmp_path, capsys) -> None:
    other = tmp_path / "photos"
    other.mkdir()
    (other / "holiday.jpg").write_bytes(b"sea")
    words = WITHOUT_ARCHIVE.get(name, ["1", str(tmp_path), "--moment", "before"])
    if name == "enrol":
        words = ["Robin", "--height", "178cm", "--handed", "right", "--adult"]
    assert main(["archive", name, *words, "--archive", str(other)]) in (1, 2)
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "archive" in said
    assert os.listdir(other) == ["holiday.jpg"]


def test_url_of_another_database_is_one_sentence(refused) -> None:
    assert "only postgresql:// is known" in refused("archive", "find", "x", "--archive", "mysql://a@b/c", code=2)
    assert "needs a place for its files" in refused("archive", "find", "x", "--archive", "postgresql://a@b/c", code=2)


@pytest.mark.parametrize("name", family.commands)
def test_every_command_is_on_the_page_of_the_archive_and_all_its_options_have_help(name) -> None:
    assert re.search(rf"^\| .*`{name}\b", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    options = [each for each in family.commands[name].params if isinstance(each, click.Option)]
    assert all(each.help for each in options)
    assert {"--archive", "--files"} <= {name for each in options for name in each.opts}
