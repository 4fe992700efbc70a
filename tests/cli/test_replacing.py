"""No ``--replace`` takes away what this program did not write, and none an archive."""

import os
import shutil
from pathlib import Path

import pytest

from putt_posture.cli import main


def everything_in(place: Path) -> dict[str, bytes | None]:
    return {
        path.relative_to(place).as_posix(): path.read_bytes() if path.is_file() else None for path in place.rglob("*")
    }


@pytest.fixture
def commands(results, calls):
    """The commands that write a folder anywhere, up to the name of the folder."""
    measure = ["measure", "--face-on", "fo.mov", "--height", "178cm", "--handed", "right", "--replace", "--out"]
    return {
        "measure": measure,
        "compare": ["compare", str(results / "result"), str(results / "later"), "--replace", "--out"],
        "demo": ["demo", "--replace", "--out"],
    }


@pytest.fixture
def attack(commands, capsys):
    """Run a command on a place, see that it refuses in one sentence and leaves everything as it is; return that."""

    def run(command: str, place: Path, *, around: Path) -> str:
        held = everything_in(around)
        assert main([*commands[command], str(place)]) == 2
        said = capsys.readouterr().err
        assert said.count("\n") == 1, said
        assert everything_in(around) == held
        return said

    return run


@pytest.mark.parametrize("command", ["measure", "compare"])
@pytest.mark.parametrize("known", [True, False], ids=["the user's own", "another"])
def test_an_archive_is_never_replaced_nor_what_is_in_or_above_it(
    academy, attack, monkeypatch, tmp_path, command, known
) -> None:
    if not known:
        monkeypatch.setenv("PUTT_POSTURE_ARCHIVE", str(tmp_path / "nowhere"))
    files = next(path for path in (academy / "files").iterdir() if len(path.name) == 2)
    for place in (academy, academy / "files", files, academy / "files" / "new", academy / "new"):
        said = attack(command, place, around=tmp_path)
        assert "an archive or a backup" in said or f"is in the archive {academy}" in said
    above = attack(command, academy.parent, around=tmp_path)
    assert ("contains the archive" if known else "this program did not write") in above


@pytest.mark.parametrize("command", ["measure", "compare"])
def test_a_backup_is_never_replaced(academy, archive, attack, tmp_path, command) -> None:
    archive("backup", tmp_path / "backups" / "monday")
    for place in ("monday", "monday/files", "monday/new"):
        assert "an archive or a backup" in attack(command, tmp_path / "backups" / place, around=tmp_path)
    assert "holds monday, which this program did not write" in attack(command, tmp_path / "backups", around=tmp_path)


@pytest.mark.parametrize("command", ["measure", "compare"])
def test_a_link_to_an_archive_is_seen_through(academy, attack, tmp_path, command) -> None:
    (tmp_path / "link").symlink_to(academy, target_is_directory=True)
    assert "an archive or a backup" in attack(command, tmp_path / "link", around=tmp_path)
    assert "an archive or a backup" in attack(command, tmp_path / "link" / "new", around=tmp_path)


def test_an_archive_inside_of_a_report_keeps_it(academy, attack, commands, tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("PUTT_POSTURE_ARCHIVE", str(tmp_path / "nowhere"))
    assert main([*commands["compare"], str(tmp_path / "report")]) == 0
    shutil.move(academy, tmp_path / "report" / "stills" / "archive")
    said = attack("compare", tmp_path / "report", around=tmp_path)
    assert "holds stills/archive, which this program did not write" in said


@pytest.mark.parametrize("command", ["measure", "compare", "demo"])
def test_any_other_folder_is_never_replaced(attack, tmp_path, command) -> None:
    place = tmp_path / "thesis"
    inner = place / "before" if command == "demo" else place
    inner.mkdir(parents=True)
    (inner / "chapter_1.txt").write_text("mine")
    said = attack(command, place, around=tmp_path)
    assert "holds chapter_1.txt, which this program did not write, so it will not be replaced." in said


def test_a_report_with_something_else_in_it_is_never_replaced(attack, commands, tmp_path) -> None:
    place = tmp_path / "report"
    assert main([*commands["compare"], str(place)]) == 0
    (place / "stills" / "letter.txt").write_text("mine")
    assert "holds stills/letter.txt" in attack("compare", place, around=tmp_path)
    (place / "stills" / "letter.txt").unlink()
    (place / "comparison.html").write_text("changed")
    assert main([*commands["compare"], str(place)]) == 0
    assert (place / "comparison.html").read_text() != "changed"


def test_a_report_of_another_kind_may_be_replaced(commands, tmp_path) -> None:
    assert main([*commands["measure"], str(tmp_path / "out")]) == 0
    assert main([*commands["compare"], str(tmp_path / "out")]) == 0
    assert "comparison.html" in os.listdir(tmp_path / "out")
    assert "measures.json" not in os.listdir(tmp_path / "out")
