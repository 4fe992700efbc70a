"""The database or the bucket is gone for a while: a batch waits and goes on, or stops and later goes on there."""

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from attrs import evolve, frozen
from filed import TODAY, add_player, make_clips, make_lesson_of
from postgresql_server import own_server

from putt_posture.archive import check_archive, load_lessons, open_archive
from putt_posture.batch import BatchLesson, Ledger, Pool, run_batch
from putt_posture.errors import ArchiveError
from putt_posture.services import FilingJob, JobResult, run_job

LESSONS = 4
AWAY_S = 3.0


@frozen
class Measured:
    """A job that has its result already."""

    result: JobResult

    def run(self, *, progress=None):
        return self.result


class Bench:
    """A batch in an archive that can be taken away; lessons are measured at once, and it is counted how often.

    Attributes
    ----------
    measured : list of int
        The students whose lessons were measured, in turn.
    """

    def __init__(self, where, folder, *, go, come):
        self.where, self.folder, self.go, self.come = where, folder, go, come
        self.measured, self.said = [], []
        self._stored = None
        with open_archive(**where) as archive:
            self.players = [add_player(archive) for _ in range(LESSONS)]
        self.clips = {each: make_clips(folder / "filmed", f"{each}") for each in self.players}

    def lessons(self):
        return [
            BatchLesson(where=f"row {each}", student=each, moment="before", clips=self.clips[each], day=TODAY)
            for each in self.players
        ]

    def measure(self, job, limits):
        """Stand for `run_limited`, in the thread of a worker; a worker's filing is as it is."""
        inner = job.job if isinstance(job, FilingJob) else job
        (student,) = (each for each, clips in self.clips.items() if clips == inner.clips)
        self.measured.append(student)
        made = make_lesson_of(self.stored, tag=f"of {student}", clips=inner.clips)
        measured = Measured(JobResult(job=inner, lesson=object(), files={name: made.read(name) for name in made.names}))
        return run_job(evolve(job, job=measured) if isinstance(job, FilingJob) else measured)

    def run(self, *, away_at=None, back=True):
        """Run the batch; take the archive away when so many lessons are done."""
        states = []
        with (
            open_archive(**self.where) as archive,
            Ledger(self.folder / "work") as ledger,
            ThreadPoolExecutor(max_workers=2) as executor,
        ):
            pool = Pool(executor=executor, workers=2)
            for outcome in run_batch(
                archive, self.lessons(), ledger=ledger, pool=pool, today=TODAY, tell=self.said.append
            ):
                states.append(outcome.state)
                if len(states) == away_at:
                    self.go()
                    if back:
                        threading.Thread(target=lambda: (time.sleep(AWAY_S), self.come())).start()
        return states

    def assert_each_once(self):
        with open_archive(**self.where) as archive:
            assert check_archive(archive) == ()
            assert [len(load_lessons(archive, each)) for each in self.players] == [1] * LESSONS


@pytest.fixture(params=[pytest.param("database", marks=pytest.mark.postgresql), "bucket"])
def bench(request, stored, tmp_path, monkeypatch):
    if request.param == "database":
        with own_server() as server:
            where = {"archive": server.url, "files": tmp_path / "files"}
            yield ready(Bench(where, tmp_path, go=server.stop, come=server.start), stored, monkeypatch)
        return
    bucket, hidden = tmp_path / "bucket", tmp_path / "hidden"
    bucket.mkdir()

    def go():
        bucket.rename(hidden)
        bucket.touch()

    def come():
        bucket.unlink()
        hidden.rename(bucket)

    where = {"archive": str(tmp_path / "archive"), "files": f"file://{bucket}"}
    yield ready(Bench(where, tmp_path, go=go, come=come), stored, monkeypatch)


def ready(bench, stored, monkeypatch):
    bench.stored = stored
    monkeypatch.setattr("putt_posture.batch.running.run_limited", bench.measure)
    return bench


def test_a_batch_waits_for_an_archive_that_is_away_and_goes_on(bench):
    assert bench.run(away_at=1) == ["filed"] * LESSONS
    assert any("Waiting" in each for each in bench.said)
    bench.assert_each_once()


def test_a_batch_stops_where_the_archive_stays_away_and_goes_on_when_it_is_started_again(bench, monkeypatch):
    monkeypatch.setattr("putt_posture.batch.running._WAITS_S", (0.1, 0.2))
    with pytest.raises(ArchiveError, match="refused"):
        bench.run(away_at=1, back=False)
    bench.come()
    states = bench.run()
    assert len(states) == LESSONS
    assert set(states) == {"filed", "already filed"}
    bench.assert_each_once()
