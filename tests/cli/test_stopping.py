"""A command that somebody ends undoes its work first, and what it has no time to undo the next one does."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from putt_posture.cli import main
from putt_posture.disk.folders import fresh_folder

pytestmark = pytest.mark.skipif(os.name == "nt", reason="Windows has no such signals for one process")

TESTS = Path(__file__).parents[1]
NEEDED = ("--height", "178cm", "--handed", "right")
MEASURING = (
    "import os, signal, sys, time; import putt_posture.lesson as lesson; from putt_posture.cli import run; "
    "lesson.measure_lesson = lambda **_: ({act}); run()"
)
FILING = f"""
import hashlib, os, signal, sys, tempfile
sys.path[:0] = [{str(TESTS)!r}]
from attrs import evolve
from invented import make_lesson
import putt_posture.lesson, putt_posture.archive.files.pending, putt_posture.archive.files.file_store as file_store
from putt_posture.cli import run

def measure(*, student, progress, **more):
    made = make_lesson()
    views = {{
        view: evolve(each, clip=evolve(
            each.clip, path=more[view], sha256=hashlib.sha256(more[view].read_bytes()).hexdigest()))
        for view, each in made.views.items()
    }}
    return evolve(made, views=views, student=evolve(student, name=made.student.name))

putt_posture.lesson.measure_lesson = measure
"""
LISTENING = """
def hear(name, about):
    if name == "open" and (about[2] & (os.O_WRONLY | os.O_RDWR) or set(str(about[1] or "")) & set("wxa+")):
        print("wrote", os.path.realpath(about[0]) if isinstance(about[0], (str, bytes)) else about[0], file=sys.stderr)

sys.addaudithook(hear)
run()
"""
STOPPING = """
real = file_store.FolderStore._copy

def copy(self, source, part, digest, left=[4]):
    left[0] -= 1
    if not left[0]:
        os.kill(os.getpid(), signal.{name})
    return real(self, source, part, digest)

file_store.FolderStore._copy = copy
run()
"""


def run_script(script: str, *words: object, **more: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", script, *map(str, words)], capture_output=True, text=True, check=False, **more
    )


def filing(results: Path) -> list[object]:
    clips = ("--down-the-line", results / "down_the_line.mov", "--face-on", results / "face_on.mov")
    return ["archive", "file", 1, *clips, "--moment", "check"]


@pytest.mark.parametrize(
    ("name", "code", "times"),
    [
        ("SIGTERM", 143, 1),
        ("SIGHUP", 129, 2),
        *(pytest.param(*each, marks=pytest.mark.whole) for each in (("SIGTERM", 143, 2), ("SIGHUP", 129, 1))),
    ],
)
def test_a_signal_stops_the_process_with_one_sentence(tmp_path, name, code, times) -> None:
    act = ", ".join([f"os.kill(os.getpid(), signal.{name})"] * times + ["time.sleep(60)"])
    words = ("measure", "--face-on", "a.mov", *NEEDED, "--out", tmp_path / "out")
    done = run_script(MEASURING.format(act=act), *words)
    assert done.stderr.strip() == "putt-posture: Stopped. Nothing was written."
    assert done.returncode == code
    assert list(tmp_path.iterdir()) == []


def test_a_signal_that_is_not_to_count_does_not_stop_it(tmp_path) -> None:
    """As ``nohup`` starts a process."""
    script = "import signal; signal.signal(signal.SIGHUP, signal.SIG_IGN); " + MEASURING
    script = script.format(act="os.kill(os.getpid(), signal.SIGHUP), 1 / 0")
    done = run_script(script, "measure", "--face-on", "a.mov", *NEEDED, "--out", tmp_path / "out")
    assert "ZeroDivisionError" in done.stderr
    assert done.returncode == 1


def test_a_closed_terminal_gets_no_traceback(tmp_path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    script = MEASURING.format(act="os.kill(os.getpid(), signal.SIGHUP), time.sleep(60)")
    words = ["measure", "--face-on", "a.mov", *NEEDED, "--out", str(tmp_path / "out")]
    done = subprocess.run([sys.executable, "-c", script, *words], stdout=writing, stderr=writing, check=False)
    os.close(writing)
    assert done.returncode == 129
    assert list(tmp_path.iterdir()) == []


def test_filing_clips_writes_nothing_outside_of_the_archive(academy, archive, results, tmp_path) -> None:
    """But for the folder of the PDF's fonts."""
    scratch, state = tmp_path / "tmp", tmp_path / "state"
    scratch.mkdir()
    places = {"TMPDIR": str(scratch), "XDG_STATE_HOME": str(state)}
    archive("erase-lesson", 1, "--yes")
    done = run_script(FILING + LISTENING, *filing(results), env={**os.environ, **places})
    assert done.returncode == 0, done.stderr
    wrote = [Path(line.split(" ", 1)[1]) for line in done.stderr.splitlines() if line.startswith("wrote ")]
    assert any(path.is_relative_to(academy / "files") for path in wrote)
    outside = [path for path in wrote if path != Path(os.devnull) and not path.is_relative_to(academy)]
    fonts = [path for path in outside if path.parent.name.startswith("putt-posture-fonts-") and path.suffix == ".ttf"]
    nameless = [path for path in outside if path == scratch or path.parent == scratch]  # deleted while it is open
    assert set(outside) == {*fonts, *nameless}
    assert all("putt-posture" not in path.name for path in nameless)
    assert list(scratch.iterdir()) == []


@pytest.mark.parametrize(
    "name", ["SIGTERM", "SIGKILL", *(pytest.param(each, marks=pytest.mark.whole) for each in ("SIGHUP", "SIGQUIT"))]
)
def test_filing_clips_that_is_stopped_leaves_nobodys_pictures(academy, archive, results, tmp_path, name) -> None:
    scratch = tmp_path / "tmp"
    scratch.mkdir()
    archive("erase-lesson", 1, "--yes")
    done = run_script(FILING + STOPPING.format(name=name), *filing(results), env={**os.environ, "TMPDIR": str(scratch)})
    number = getattr(signal, name)
    on_the_way = [path for path in (academy / "files" / "incoming").rglob("*") if path.is_file()]
    assert list(scratch.iterdir()) == []
    if name in ("SIGTERM", "SIGHUP"):
        assert done.returncode == 128 + number
        assert "Stopped. Nothing was written." in done.stderr
        assert on_the_way == []
    else:
        assert done.returncode == -number
        said = archive("check")
        assert "left over: Files that a stopped run was adding to" in " ".join(said.split())
    told = json.loads(archive("check", "--json"))
    assert (told["findings"], told["left_over"]) == ([], [])
    assert not [path for part in ("incoming", "live") for path in (academy / "files" / part).rglob("*")]


def leave(out: Path, *, swapping: bool) -> None:
    """Be killed while a report is written, or between the two renames of one that takes another's place."""
    child = os.fork()
    if child == 0:
        real = Path.rename

        def rename(self: Path, target: Path) -> Path:
            if self.name == "new":
                os.kill(os.getpid(), signal.SIGKILL)
            return real(self, target)

        Path.rename = rename
        with fresh_folder(out, replace=swapping) as part:
            (part / "report.html").write_text("new")
            if not swapping:
                os.kill(os.getpid(), signal.SIGKILL)
        os._exit(0)
    os.waitpid(child, 0)


@pytest.fixture
def doctor(monkeypatch, tmp_path, capsys):
    """Run the doctor for stopped work alone, in a folder and with a state of its own, and return what it says."""
    monkeypatch.setattr("putt_posture.doctor.read_installation", lambda: iter(()))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("TMPDIR", str(tmp_path / "tmp"))
    monkeypatch.setattr("tempfile.tempdir", None)
    monkeypatch.setenv("COLUMNS", "1000")
    (tmp_path / "tmp").mkdir()
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")

    def run(*words: object) -> str:
        assert main(["doctor", *map(str, words)]) == 0
        return " ".join(capsys.readouterr().out.split())

    return run


@pytest.mark.parametrize("found", ["by its note", "in this folder", "in a folder that is named"])
def test_the_doctor_puts_back_what_was_being_replaced_and_removes_the_rest(doctor, tmp_path, found) -> None:
    place = tmp_path / "here" if found == "in this folder" else tmp_path / "reports"
    with fresh_folder(place / "report") as part:
        (part / "report.html").write_text("old")
    leave(tmp_path / "more" / "another", swapping=False)
    leave(place / "report", swapping=True)
    assert not (place / "report").exists()
    if found != "by its note":
        shutil.rmtree(tmp_path / "state")
    said = doctor(*([place] if found == "in a folder that is named" else []))
    assert f"A stopped run was replacing {place / 'report'}; the older one is back." in said
    by_note = f"Unfinished work of a stopped run was removed from {tmp_path / 'more'}." in said
    assert by_note == (found == "by its note")
    assert [path.name for path in place.iterdir()] == ["report"]
    assert (place / "report" / "report.html").read_text() == "old"
    assert "nothing is left behind" in doctor()


def test_the_doctor_looks_into_the_archive_and_beside_it(academy, doctor) -> None:
    stray = academy / "files" / "incoming" / "0123456789abcdef" / "still"
    stray.parent.mkdir(parents=True)
    stray.write_text("a face")
    (academy.parent / ".putt-posture-0123456789abcdef.part" / "new").mkdir(parents=True)
    said = doctor()
    assert f"Files that a stopped run was adding to {academy / 'files'} were removed." in said
    assert f"Unfinished work of a stopped run was removed from {academy.parent}." in said
    assert not stray.exists()
    assert "nothing is left behind" in doctor()


def test_the_doctor_removes_the_scratch_of_the_first_version(doctor, tmp_path) -> None:
    left, fresh, others = (tmp_path / "tmp" / name for name in ("putt-posture-a1b2c3d4", "putt-posture-x", "mine"))
    for place in (left, fresh, others):
        (place / "lesson").mkdir(parents=True)
        os.utime(place, (time.time() - 7200,) * 2)
    assert f"Unfinished work of a stopped run was removed from {tmp_path / 'tmp'}." in doctor()
    assert sorted(path.name for path in (tmp_path / "tmp").iterdir()) == ["mine", "putt-posture-x"]


def test_the_doctor_names_what_it_leaves(doctor, tmp_path) -> None:
    place = tmp_path / "reports"
    with fresh_folder(place / "report") as part:
        (part / "report.html").write_text("old")
    leave(place / "report", swapping=True)
    (place / "report").write_text("mine")
    said = doctor()
    assert f"A stopped run was replacing {place / 'report'} and cannot be undone." in said
    assert "Stopped work left " in said
    assert (place / "report").read_text() == "mine"


def test_the_doctor_is_not_stopped_by_an_archive_that_does_not_open(doctor, archive_place, tmp_path) -> None:
    archive_place.mkdir()
    (archive_place / "archive.sqlite").write_bytes(b"no database" * 100)
    leave(tmp_path / "reports" / "report", swapping=False)
    said = doctor()
    assert f"removed from {tmp_path / 'reports'}." in said
    assert "Stopped work unknown The archive" in said
    assert "is not a database" in said


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="children are read from /proc")
def test_the_process_of_the_pose_model_ends_with_the_command(tmp_path) -> None:
    picture = TESTS / "landmarks" / "pictures" / "golfer_face_on.jpg"
    words = ["measure", "--face-on", str(picture), *NEEDED, "--out", str(tmp_path / "out")]
    with subprocess.Popen([sys.executable, "-m", "putt_posture", *words], stderr=subprocess.PIPE, text=True) as command:
        children = Path(f"/proc/{command.pid}/task/{command.pid}/children")
        while not (alive := children.read_text().split()):
            assert command.poll() is None
            time.sleep(0.05)
        command.send_signal(signal.SIGTERM)
        assert command.communicate()[1].strip() == "putt-posture: Stopped. Nothing was written."
    assert command.returncode == 143
    waited = time.monotonic() + 30
    while any(Path(f"/proc/{each}").exists() for each in alive):
        assert time.monotonic() < waited, "a child outlived the command"
        time.sleep(0.05)
    assert list(tmp_path.iterdir()) == []
