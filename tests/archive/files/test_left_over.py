"""Nothing of people is left outside of an archive, or half in it, by work that somebody stops."""

import os
import shutil
import signal
import sqlite3

import pytest
from dying import die_at_each_write
from filed import NAME, TODAY, add_player, file_one, make_clips, make_lesson_of
from places import copy_folder, in_folder
from wholeness import assert_whole

from putt_posture.archive import back_up, check_archive, erase_student, export_student, load_lessons
from putt_posture.archive.db.tables import PendingAdd
from putt_posture.archive.place import DATABASE_FILE

pytestmark = pytest.mark.usefixtures("quick_forks")

TOLD_TO_END = (signal.SIGTERM, signal.SIGHUP)
KILLED = (signal.SIGQUIT, signal.SIGKILL)
EACH = [
    *(pytest.param(by, False, id=f"{by.name}-some_writes") for by in (signal.SIGTERM, signal.SIGKILL)),
    *(
        pytest.param(by, every, id=f"{by.name}-{'every_write' if every else 'some_writes'}", marks=pytest.mark.whole)
        for by, every in (
            (signal.SIGTERM, True), (signal.SIGKILL, True), (signal.SIGHUP, False), (signal.SIGQUIT, False),
        )
    ),
]  # fmt: skip
"""At every write one of those that tell a process to end and one that kills; the other two take the same two ways."""
MORE = {
    ((by, False), what): [pytest.mark.whole] for by, what in ((signal.SIGTERM, "backup"), (signal.SIGKILL, "export"))
}
"""Of the four quick ones two are enough for the first step: each signal once, and each thing that is written."""


@pytest.fixture
def lessons(stored, tmp_path):
    made = {}
    for tag in ("first", "second"):
        clips = {"face_on": make_clips(tmp_path / "clips", tag)["face_on"]}
        made[tag] = make_lesson_of(stored, tag=tag, clips=clips), clips
    return made


@pytest.fixture
def begun(made, lessons, tmp_path):
    """The folder of an archive with a student and a lesson."""
    with copy_folder(made, tmp_path / "begun").open() as archive:
        lesson, clips = lessons["first"]
        file_one(archive, add_player(archive), lesson, clips=clips)
    return tmp_path / "begun"


@pytest.fixture
def outside(tmp_path):
    """Where backups and exports go."""
    (tmp_path / "outside").mkdir()
    return tmp_path / "outside"


def unfinished_in(place):
    """Files in the archive that were on their way, and the rows that say so."""
    files = [path for part in ("incoming", "live") for path in (place.files / part).rglob("*") if path.is_file()]
    connection = sqlite3.connect(f"file:{place.archive}/{DATABASE_FILE}?mode=ro", uri=True)
    try:
        return files + connection.execute(f"SELECT * FROM {PendingAdd.__tablename__}").fetchall()
    finally:
        connection.close()


@pytest.mark.parametrize(("by", "every_write"), EACH)
def test_filing_that_is_stopped_leaves_nothing_behind(begun, lessons, tmp_path, by, every_write):
    place = in_folder(tmp_path / "archive")
    lesson, clips = lessons["second"]

    def act():
        with place.open() as archive:
            file_one(archive, 1, lesson, clips=clips)

    def prepare():
        copy_folder(begun, tmp_path / "archive")
        return act

    once_in = (tmp_path / "archive",) if every_write and by == signal.SIGKILL else ()
    swept = 0
    for _ in die_at_each_write(prepare, writes=50, every=1 if every_write else 17, by=by, once_in=once_in):
        if by in TOLD_TO_END:
            assert unfinished_in(place) == []
        with place.open() as archive:
            swept += len(archive.left_over)
            assert_whole(archive)
            assert len(load_lessons(archive, 1)) in (1, 2)
        assert unfinished_in(place) == []
    assert bool(swept) == (by in KILLED)


@pytest.mark.parametrize(
    ("by", "every_write", "what"),
    [
        pytest.param(*each.values, what, id=f"{each.id}-{what}", marks=each.marks or MORE.get((each.values, what), ()))
        for each in EACH
        for what in ("export", "backup")
    ],
)
def test_a_backup_or_an_export_that_is_stopped_leaves_nothing_behind(begun, outside, tmp_path, by, what, every_write):
    place = copy_folder(begun, tmp_path / "archive")

    def act():
        with place.open() as archive:
            if what == "backup":
                back_up(archive, outside / "backup", today=TODAY)
            else:
                export_student(archive, 1, outside / "student.zip", today=TODAY)

    def prepare():
        shutil.rmtree(outside)
        outside.mkdir()
        return act

    once_in = (tmp_path / "archive", outside) if every_write and by == signal.SIGKILL else ()
    named, every = 0, {"export": 1 if every_write else 7, "backup": 5 if every_write else 40}[what]
    for _ in die_at_each_write(prepare, writes=20, every=every, by=by, once_in=once_in):
        hidden = [path for path in outside.iterdir() if path.name.startswith(".")]
        if by in TOLD_TO_END:
            assert hidden == []
        with place.open() as archive:
            named += sum(str(outside) in each.says and each.gone for each in archive.left_over)
            assert_whole(archive)
        assert {path.name for path in outside.iterdir()} <= {"backup", "student.zip"}
    assert bool(named) == (by in KILLED)


def test_erasing_reaches_what_a_killed_backup_has_left(begun, outside, tmp_path):
    place = copy_folder(begun, tmp_path / "archive")
    with place.open() as archive:
        child = os.fork()
        if child == 0:
            die_before_the_manifest(archive, outside / "backup")
        assert os.WTERMSIG(os.waitpid(child, 0)[1]) == signal.SIGKILL
        assert holds_name(outside)
        erase_student(archive, 1, today=TODAY, reason="asked")
        assert list(outside.iterdir()) == []
        assert check_archive(archive) == ()


def die_before_the_manifest(archive, folder):
    """Be killed when the backup's database is written."""
    try:
        archive.engine.dispose(close=False)  # a child keeps its hands off its parent's connections
        from putt_posture.archive.backup import back_up as backing_up

        backing_up.document_as_text = lambda *_, **__: os.kill(os.getpid(), signal.SIGKILL)
        back_up(archive, folder, today=TODAY)
    finally:
        os._exit(1)


def holds_name(place):
    return any(NAME.encode() in path.read_bytes() for path in place.rglob("*") if path.is_file())


@pytest.mark.skipif(os.name == "nt", reason="modes are POSIX")
def test_a_backup_and_an_export_are_for_their_owner_alone(begun, outside, tmp_path):
    with copy_folder(begun, tmp_path / "archive").open() as archive:
        back_up(archive, outside / "backup", today=TODAY)
        export_student(archive, 1, outside / "student.zip", today=TODAY)
    for path in outside.rglob("*"):
        assert path.stat().st_mode & 0o777 == (0o700 if path.is_dir() else 0o600), path
