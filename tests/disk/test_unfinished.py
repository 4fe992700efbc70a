"""A run that is stopped at any moment has changed nothing, and nothing of it is left after the next one."""

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))

from dying import die_at_each_write

from putt_posture.disk.folders import check_folder, fresh_file, fresh_folder
from putt_posture.disk.marks import write_mark
from putt_posture.disk.unfinished import begin_work, settle, settle_everywhere
from putt_posture.errors import OutputError, UnreadableClip

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are forked")

NAMED = ".putt-posture-0123456789abcdef.part"


@pytest.fixture(autouse=True)
def state(tmp_path_factory, monkeypatch):
    """A state folder of the test's own."""
    place = tmp_path_factory.mktemp("state")
    monkeypatch.setenv("XDG_STATE_HOME", str(place))
    return place / "putt_posture" / "unfinished"


def write_report(folder, text, *, replace=False):
    with fresh_folder(folder, replace=replace) as part:
        (part / "stills").mkdir()
        for name in ("report.html", "stills/face_on.png"):
            (part / name).write_text(text)


def texts_of(folder):
    return {path.read_text() for path in (folder / "report.html", folder / "stills" / "face_on.png")}


def hidden_in(place):
    return sorted(path.name for path in place.iterdir() if path.name.startswith(".putt-posture-"))


def test_a_run_killed_at_any_write_leaves_the_old_report_or_the_new_one(tmp_path, state):
    """The two renames are among the writes."""
    place = tmp_path / "report"
    seen = set()

    def prepare():
        shutil.rmtree(tmp_path)
        tmp_path.mkdir()
        write_report(place, "old")
        return lambda: write_report(place, "new", replace=True)

    lost = 0
    for at in die_at_each_write(prepare, writes=15):
        lost += not place.exists()
        found = (settle_everywhere, lambda: settle(tmp_path))[at % 2]()
        assert all(each.gone for each in found)
        assert os.listdir(tmp_path) == ["report"]
        settle_everywhere()
        assert list(state.iterdir()) == []
        (text,) = texts_of(place)
        seen.add(text)
    assert lost, "no run was killed between the two renames"
    assert seen == {"old", "new"}


@pytest.mark.parametrize("way", ["write", "check"])
def test_the_next_run_that_writes_there_puts_the_old_report_back_first(tmp_path, way):
    place = tmp_path / "report"
    write_report(place, "old")
    leave_half_swapped(place)
    assert not place.exists()
    with pytest.raises(OutputError, match="already holds something"):
        write_report(place, "newest") if way == "write" else check_folder(place)
    assert texts_of(place) == {"old"}
    write_report(place, "newest", replace=True)
    assert texts_of(place) == {"newest"}
    assert os.listdir(tmp_path) == ["report"]


def leave_half_swapped(place):
    """Do what a run does that is killed between its two renames."""
    child = os.fork()
    if child == 0:
        real = Path.rename

        def rename(self, target):
            if self.name == "new":
                os.kill(os.getpid(), signal.SIGKILL)
            return real(self, target)

        Path.rename = rename
        write_report(place, "new", replace=True)
        os._exit(0)
    assert os.WTERMSIG(os.waitpid(child, 0)[1]) == signal.SIGKILL


def test_what_came_into_the_place_meanwhile_stays_and_so_does_what_was_there(tmp_path):
    place = tmp_path / "report"
    write_report(place, "old")
    leave_half_swapped(place)
    place.mkdir()
    (place / "mine.txt").write_text("mine")
    for _ in range(2):
        (left,) = settle(tmp_path)
        assert not left.gone
        assert f"was replacing {place} and cannot be undone. The older one is {left.path / 'old'}" in left.says
    assert texts_of(left.path / "old") == {"old"}
    shutil.rmtree(place)
    (left,) = settle(tmp_path)
    assert left.says == f"A stopped run was replacing {place}; the older one is back."
    assert texts_of(place) == {"old"}
    assert os.listdir(tmp_path) == ["report"]


def test_what_comes_into_a_report_while_it_is_being_replaced_is_not_lost(tmp_path):
    place = tmp_path / "report"
    write_report(place, "old")

    def replace():
        with fresh_folder(place, replace=True) as part:
            (part / "report.html").write_text("new")
            (place / "mine.txt").write_text("mine")

    with pytest.raises(OutputError, match=r"holds mine\.txt"):
        replace()
    assert (place / "mine.txt").read_text() == "mine"
    assert texts_of(place) == {"old"}
    assert os.listdir(tmp_path) == ["report"]


def test_the_work_of_a_living_run_is_left_alone(tmp_path, state):
    with begin_work(tmp_path) as work:
        work.new.write_text("half")
        assert settle(tmp_path) == settle_everywhere() == ()
        other = "import sys; from pathlib import Path; import putt_posture.disk.unfinished as u"
        subprocess.run(
            [sys.executable, "-c", f"{other}; u.settle_everywhere(Path(sys.argv[1]))", str(tmp_path)], check=True
        )
        assert work.new.read_text() == "half"
        assert len(list(state.iterdir())) == 1
    assert os.listdir(tmp_path) == []
    assert list(state.iterdir()) == []


def test_a_work_folder_is_for_its_owner_alone(tmp_path, state):
    with begin_work(tmp_path) as work:
        assert work.folder.stat().st_mode & 0o777 == 0o700
        assert state.stat().st_mode & 0o777 == 0o700


def test_unfinished_work_is_found_wherever_it_is_by_its_note(tmp_path, state):
    for name in ("a", "b"):
        kill_while_writing(tmp_path / name / "report")
    shutil.rmtree(tmp_path / "b")
    assert len(list(state.iterdir())) == 2
    (left,) = settle_everywhere()
    assert left == (tmp_path / "a" / left.path.name, f"Unfinished work of a stopped run was removed from "
                    f"{tmp_path / 'a'}.", True)  # fmt: skip
    assert os.listdir(tmp_path / "a") == []
    assert len(list(state.iterdir())) == 1, "the disk of the other may come back"


def kill_while_writing(folder):
    child = os.fork()
    if child == 0:
        with fresh_folder(folder) as part:
            (part / "report.html").write_text("half")
            os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)
    assert hidden_in(folder.parent)


@pytest.mark.parametrize("text", ["", ".", "/", "{tmp_path}"])
def test_a_half_written_note_leads_nowhere(tmp_path, state, text, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "old").mkdir()
    state.mkdir(parents=True)
    (state / NAMED).write_text(text.format(tmp_path=tmp_path))
    assert settle_everywhere() == ()
    assert list(state.iterdir()) == []
    assert os.listdir(tmp_path) == ["old"]


def test_nothing_is_noted_where_there_can_be_no_notes_and_it_works_all_the_same(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    write_report(tmp_path / "report", "new")
    kill_while_writing(tmp_path / "other")
    assert settle_everywhere() == ()
    write_report(tmp_path / "other", "new")
    assert hidden_in(tmp_path) == []


def test_a_folder_of_that_name_without_a_lock_is_of_no_living_run(tmp_path):
    (tmp_path / NAMED / "new").mkdir(parents=True)
    (left,) = settle(tmp_path)
    assert left.gone
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", [".putt-posture-notes", ".putt-posture-0123.part", "putt-posture-01234567.part"])
def test_what_has_another_name_is_never_touched(tmp_path, name):
    (tmp_path / name).mkdir()
    os.utime(tmp_path / name, (0, 0))
    assert settle(tmp_path) == ()
    assert os.listdir(tmp_path) == [name]


def test_a_link_of_that_name_is_never_followed(tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "old").mkdir()
    (tmp_path / NAMED).symlink_to(tmp_path / "mine")
    assert settle(tmp_path) == ()
    assert os.listdir(tmp_path / "mine") == ["old"]


def test_a_place_that_lies_elsewhere_is_none(tmp_path):
    work = tmp_path / "here" / NAMED
    (work / "old").mkdir(parents=True)
    (work / "swap.json").write_text('{"target": "../there"}')
    (left,) = settle(tmp_path / "here")
    assert not left.gone
    assert os.listdir(tmp_path) == ["here"]
    assert (work / "old").is_dir()


def test_what_runs_of_the_first_version_left_is_removed_when_it_is_old(tmp_path):
    backup, zipped, report = (tmp_path / f".putt-posture-0000000{n}.part" for n in range(3))
    (backup / "files").mkdir(parents=True)
    (backup / "archive.sqlite").write_text("rows")
    zipped.write_text("half a zip")
    write_report(report, "old")
    write_mark(report / "stills", "pictures")
    (report / "stills" / ".putt-posture.json").unlink()
    assert settle(tmp_path) == ()
    for each in (backup, zipped, report):
        os.utime(each, (time.time() - 7200,) * 2)
    gone, also_gone, kept = settle(tmp_path)
    assert (gone.gone, also_gone.gone, kept.gone) == (True, True, False)
    assert f"{report} is a complete result of a stopped run." in kept.says
    assert os.listdir(tmp_path) == [report.name]


def test_a_killed_export_leaves_the_old_file(tmp_path):
    (tmp_path / "a.zip").write_text("old")
    child = os.fork()
    if child == 0:
        with fresh_file(tmp_path / "a.zip", replace=True, private=True) as stream:
            stream.write(b"half")
            stream.flush()
            os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)
    assert len(hidden_in(tmp_path)) == 1
    (left,) = settle_everywhere()
    assert left.gone
    assert os.listdir(tmp_path) == ["a.zip"]
    assert (tmp_path / "a.zip").read_text() == "old"


@pytest.mark.parametrize("private", [True, False])
def test_what_is_private_is_for_its_owner_alone(tmp_path, private):
    with fresh_folder(tmp_path / "backup", private=private) as part:
        (part / "files").mkdir()
        (part / "files" / "a").write_text("a")
    with fresh_file(tmp_path / "a.zip", private=private) as stream:
        stream.write(b"a")
    backup = tmp_path / "backup"
    open_to_others = [path for path in (tmp_path / "a.zip", backup, *backup.rglob("*")) if path.stat().st_mode & 0o077]
    assert bool(open_to_others) is not private


def test_a_living_run_whose_folder_is_taken_away_at_its_start_takes_another(tmp_path, monkeypatch):
    real, taken = Path.mkdir, []

    def mkdir(self, *arguments, **more):
        real(self, *arguments, **more)
        if self.name.endswith(".part") and len(taken) < 3:
            taken.append(self)
            shutil.rmtree(self)

    monkeypatch.setattr(Path, "mkdir", mkdir)
    with begin_work(tmp_path) as work:
        assert work.folder not in taken
    assert len(taken) == 3
    assert os.listdir(tmp_path) == []


def test_what_cannot_be_read_says_so_itself_while_a_file_is_written(tmp_path):
    """It is no fault of the file that is written, so that no other folder would help."""

    def write():
        with fresh_file(tmp_path / "made.mp4", what="overlay clip") as out:
            out.write(b"half")
            raise UnreadableClip("clip.mp4 is damaged.", path=tmp_path / "clip.mp4")

    with pytest.raises(UnreadableClip, match=r"clip\.mp4 is damaged"):
        write()
    assert list(tmp_path.iterdir()) == []
