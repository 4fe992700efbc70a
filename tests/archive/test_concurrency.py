"""Several programs at once lose nothing and leave nothing behind."""

import os
import pickle
import subprocess
import sys
from pathlib import Path

import pytest

from putt_posture.archive import check_archive, find_students, load_erasures, load_history, load_lessons
from putt_posture.archive.tables import FileRow, LessonFile

WORKERS = Path(__file__).with_name("workers.py")


@pytest.fixture
def folder(stored, tmp_path):
    (tmp_path / "stored.pickle").write_bytes(pickle.dumps(dict(stored)))
    (tmp_path / "shared.mov").write_bytes(b"a clip that everybody files")
    return tmp_path


def start(place, what, number, folder):
    files = "-" if place.kind == "sqlite" else str(place.files)
    command = [sys.executable, str(WORKERS), what, place.archive, files, str(number), str(folder)]
    return subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=os.environ)


def run_all(place, folder, *acts):
    started = [start(place, what, number, folder) for number, what in enumerate(acts)]
    failed = [(worker.communicate()[1], worker.returncode) for worker in started]
    assert [error for error, code in failed if code] == []


def test_coaches_who_file_erase_and_open_at_once_lose_nothing(place, folder):
    run_all(place, folder, "file", "erase", "file", "open", "erase", "file")
    with place.open() as archive:
        assert check_archive(archive) == ()
        assert [each.name for each in find_students(archive, "player")] == ["Player 0", "Player 2", "Player 5"]
        for each in find_students(archive, "player"):
            assert len(load_lessons(archive, each.number)) == each.lessons == 3
            assert len(load_history(archive, each.number).practice) == 3
        assert [lessons for _, lessons, _, _ in load_erasures(archive)] == [3, 3]
        with archive.read() as session:
            shared = session.query(LessonFile.digest).filter(LessonFile.name == "clips/face_on.mov").distinct().all()
            assert len(shared) == 1
            assert session.query(FileRow).filter(FileRow.digest == shared[0][0]).count() == 1


def test_two_programs_that_make_the_same_archive_make_one(nowhere, folder):
    run_all(nowhere, folder, "open", "open", "file")
    with nowhere.open() as archive:
        assert check_archive(archive) == ()
        assert [each.name for each in find_students(archive, "player")] == ["Player 2"]
