"""The command ``compare``: two lessons side by side."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from putt_posture.cli import main

SHARE_OF_HEADS = 0.15
"""Of a picture side by side; two heads of invented students, which are near the camera, cover up to 0.124."""
HEAVY = ("attrs", "cv2", "matplotlib", "numpy", "rich")


@pytest.fixture(scope="module")
def lessons(folder, after_folder, tmp_path_factory):
    place = tmp_path_factory.mktemp("lessons")
    shutil.copytree(folder, place / "before")
    shutil.copytree(after_folder, place / "after")
    return place


@pytest.fixture
def compare(lessons, tmp_path):
    def run(*more, before="before", after="after", out="out"):
        return main(["compare", str(lessons / before), str(lessons / after), "--out", str(tmp_path / out), *more])

    return run


def everything_in(place: Path) -> list[str]:
    return sorted(path.relative_to(place).as_posix() for path in place.rglob("*"))


def test_changes_table_and_files_are_printed(compare, tmp_path, capsys, monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    assert compare() == 0
    said = capsys.readouterr()
    assert said.err == ""
    assert "2 of the 21 measures taken in both lessons changed by more than the noise." in " ".join(said.out.split())
    assert "Spine tilt: " in said.out
    assert "Cannot be compared" in said.out
    assert "Only one setup was measured" in said.out
    lines = said.out.splitlines()
    assert all(len(line) <= 80 for line in lines if not line.startswith(("Before:", "After:", "Written", "Open")))
    (tilt,) = [line.split() for line in lines if line.strip().startswith("Spine tilt ")]
    assert tilt[-1] == "yes"
    files = lines[lines.index(f"Written to {tmp_path / 'out'}") + 1 :]
    assert files[0].strip().startswith("comparison.")
    assert (tmp_path / "out" / "comparison.html").exists()


def test_json_is_the_stored_document_and_all_else_goes_to_standard_error(compare, tmp_path, capsys) -> None:
    assert compare("--json") == 0
    said = capsys.readouterr()
    assert json.loads(said.out) == json.loads((tmp_path / "out" / "comparison.json").read_text())
    assert "changed by more than the noise" in " ".join(said.err.split())


def test_heads_are_hidden_where_asked_and_the_rest_stays(compare, tmp_path) -> None:
    assert compare() == 0
    assert compare("--hide-faces", out="hidden") == 0
    for view in ("down_the_line", "face_on"):
        name = f"stills/side_by_side_{view}.png"
        shown, hidden = (np.asarray(Image.open(tmp_path / out / name)).astype(int) for out in ("out", "hidden"))
        changed = np.abs(shown - hidden).max(axis=2) > 0
        half = changed.shape[1] // 2
        assert changed[:, :half].any()
        assert changed[:, half:].any()
        assert changed.mean() < SHARE_OF_HEADS


def test_same_lesson_twice_is_refused(compare, capsys) -> None:
    assert compare(after="before") == 2
    _one_sentence(capsys, "are the same lesson")


def test_same_folder_by_another_name_is_refused(compare, capsys) -> None:
    assert compare(after="after/../before") == 2
    _one_sentence(capsys, "are the same lesson")


def test_missing_folder_is_one_sentence(compare, tmp_path, capsys) -> None:
    assert compare(before="nowhere") == 2
    _one_sentence(capsys, "is not there. Give the folder that measure wrote")
    assert everything_in(tmp_path) == []


def test_folder_that_is_no_report_is_one_sentence(compare, lessons, capsys) -> None:
    assert compare(after="after/stills") == 2
    _one_sentence(capsys, "holds no measures.json")


def test_damaged_report_is_one_sentence_and_leaves_nothing(lessons, tmp_path, capsys) -> None:
    spoilt = shutil.copytree(lessons / "after", tmp_path / "spoilt")
    (spoilt / "landmarks.npz").write_bytes(b"nothing")
    assert main(["compare", str(lessons / "before"), str(spoilt), "--out", str(tmp_path / "out")]) == 2
    _one_sentence(capsys, "are damaged")
    assert not (tmp_path / "out").exists()


def test_folder_in_use_is_refused_before_any_work_and_replaced_where_asked(compare, tmp_path, capsys) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "notes.txt").write_text("mine")
    assert compare() == 2
    _one_sentence(capsys, "already holds something")
    assert everything_in(tmp_path / "out") == ["notes.txt"]
    assert compare("--replace") == 2
    _one_sentence(capsys, "holds notes.txt, which this program did not write")
    (tmp_path / "out" / "notes.txt").unlink()
    assert compare() == 0
    (tmp_path / "out" / "comparison.csv").write_text("changed")
    assert compare("--replace") == 0
    assert (tmp_path / "out" / "comparison.csv").read_text() != "changed"


def test_folder_of_a_lesson_is_never_replaced(lessons, capsys) -> None:
    held = everything_in(lessons)
    call = ["compare", str(lessons / "before"), str(lessons / "after"), "--replace", "--out"]
    for place in (lessons / "before", lessons / "after", lessons):
        assert main([*call, str(place)]) == 2
        _one_sentence(capsys, "would be replaced")
    assert everything_in(lessons) == held


@pytest.mark.skipif(os.name == "nt", reason="Windows has no interrupt signal for one process")
def test_interrupt_leaves_nothing(lessons, tmp_path) -> None:
    script = (
        "import os, signal, sys, time; import putt_posture.pages.comparison_files as store; "
        "from putt_posture.cli import run; "
        "store.comparison_as_pdf = lambda *_, **__: (os.kill(os.getpid(), signal.SIGINT), time.sleep(60)); run()"
    )
    call = ["compare", str(lessons / "before"), str(lessons / "after"), "--out", str(tmp_path / "out")]
    done = subprocess.run([sys.executable, "-c", script, *call], capture_output=True, text=True, check=False)
    assert done.returncode == 130
    assert done.stderr.strip() == "putt-posture: Stopped. Nothing was written."
    assert everything_in(tmp_path) == []


def test_help_imports_nothing_heavy() -> None:
    script = (
        "import sys; from putt_posture.cli import main; main(['compare', '--help']); "
        f"print([name for name in {HEAVY!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
    assert "BEFORE AFTER" in done.stdout


def _one_sentence(capsys, says: str) -> None:
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert says in said.err
    assert "Traceback" not in said.err
