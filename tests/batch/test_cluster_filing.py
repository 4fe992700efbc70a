"""Workers of a Dask cluster file what they measured in PostgreSQL; one of them is killed meanwhile."""

import pytest
from attrs import define, evolve
from cluster_jobs import Made
from dask_processes import cluster_of, kill, wait_until
from filed import TODAY, add_player, make_clips, make_lesson_of
from places import on_server, server_of

from putt_posture.archive import check_archive, load_lessons
from putt_posture.batch import BatchLesson, Ledger, open_executor, run_batch
from putt_posture.batch.tasks import LessonTask

LESSONS = 8


class Bench:
    """Lessons of as many students, made before.

    Attributes
    ----------
    lessons : list of BatchLesson
    """

    def __init__(self, archive, stored, folder):
        self.stored, self.folder = stored, folder
        self.players = [add_player(archive) for _ in range(LESSONS)]
        self.lessons = [
            BatchLesson(where=f"row {each}", student=each, clips=make_clips(folder / "filmed", f"{each}"), day=TODAY)
            for each in self.players
        ]

    def begin(self, lesson, ledger):
        clips = {view: ledger.digest_of(path) for view, path in lesson.clips.items()}
        made = make_lesson_of(self.stored, tag=lesson.where, clips=lesson.clips)
        files = {name: made.read(name) for name in made.names}
        return MadeTask(lesson=lesson, clips=clips, files=files, folder=self.folder)

    def begun(self):
        """The workers that began with each lesson, in turn."""
        begun = self.folder / "begun"
        return [int(line) for line in begun.read_text().split()] if begun.exists() else []


@define(kw_only=True, eq=False)
class MadeTask(LessonTask):
    """A lesson's task; only the measuring is left out."""

    files: dict
    folder: object

    def let_file(self, archive, *, today):
        job = super().let_file(archive, today=today)
        return evolve(job, job=Made(job.job, self.files, self.folder, takes_s=1.0))


@pytest.mark.postgresql
def test_workers_file_for_themselves_and_a_killed_one_costs_no_lesson(request, stored, tmp_path):
    databases = server_of(request)
    databases.empty()
    with (
        on_server(databases, tmp_path / "files").open() as archive,
        cluster_of(2, tmp_path / "cluster") as cluster,
        Ledger(tmp_path / "work") as ledger,
        open_executor(cluster=cluster.address) as pool,
    ):
        wait_until(lambda: pool.workers == 2, what="two workers")
        bench = Bench(archive, stored, tmp_path)
        states = []
        for outcome in run_batch(archive, bench.lessons, ledger=ledger, pool=pool, today=TODAY, begin=bench.begin):
            states.append(outcome.state)
            assert list((ledger.folder / "measured").iterdir()) == []  # it stays with the workers
            if len(states) == 2:
                kill(bench.begun()[-1])
        assert len(states) == LESSONS
        assert set(states) <= {"filed", "already filed"}
        assert [len(load_lessons(archive, each)) for each in bench.players] == [1] * LESSONS
        assert len(set(bench.begun())) == 3  # the nanny started another worker
        assert check_archive(archive) == ()
