"""An archive with two students, its work folder, and an executor without processes."""

import shutil
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))
sys.path.insert(0, str(Path(__file__).parents[1] / "clips"))

from filed import TODAY, add_player
from small_lessons import beginning, make_small

from putt_posture.archive import open_archive
from putt_posture.batch import Ledger, Pool, find_work_folder, run_batch
from putt_posture.services import run_job


@pytest.fixture(scope="session")
def stored(folder):
    """The files of the invented lesson."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def add_two_students(place):
    with open_archive(place / "archive") as opened:
        add_player(opened)
        add_player(opened, name="Robin Example")


@pytest.fixture
def archive(made_once, tmp_path):
    shutil.copytree(made_once("two students", add_two_students) / "archive", tmp_path / "archive")
    with open_archive(tmp_path / "archive") as opened:
        yield opened


@pytest.fixture
def ledger(archive):
    with Ledger(find_work_folder(archive.place)) as opened:
        yield opened


class Batch:
    """Small lessons, and runs of them in threads of this process."""

    def __init__(self, archive, ledger, stored, folder):
        self.archive, self.ledger, self.stored, self.folder = archive, ledger, stored, folder
        self.lessons, self.jobs = [], {}

    def add(self, tag, **about):
        lesson, self.jobs[tag] = make_small(self.folder, self.stored, tag, **about)
        self.lessons.append(lesson)
        return lesson

    def start(self, lessons=None, **about):
        with ThreadPoolExecutor(2) as threads:
            pool = Pool(executor=threads, workers=2)
            yield from run_batch(
                self.archive,
                self.lessons if lessons is None else lessons,
                **{"ledger": self.ledger, "pool": pool, "today": TODAY, "begin": beginning(self.jobs), **about},
            )

    def run(self, lessons=None, **about):
        """Run all of it; return the outcomes by name."""
        return {each.where: each for each in self.start(lessons, **about)}

    def begun(self):
        return {tag: job.begun() for tag, job in self.jobs.items()}

    def measured(self):
        return list((self.ledger.folder / "measured").iterdir())


@pytest.fixture
def batch(archive, ledger, stored, tmp_path, monkeypatch):
    """Jobs are run in this process: what a process of their own is for is tried in `test_limits`."""
    monkeypatch.setattr("putt_posture.batch.running.run_limited", lambda job, limits: run_job(job))
    return Batch(archive, ledger, stored, tmp_path / "clips")
