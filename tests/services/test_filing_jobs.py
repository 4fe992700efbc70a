"""Workers file what they measured, each for itself: by the same rules, nothing lost, nothing twice."""

import pickle
from pathlib import Path

import attrs
import pytest
from at_once import do_at_once
from filed import TODAY, add_player, make_clips, make_lesson_of
from places import on_server, server_of
from wholeness import assert_whole

from putt_posture.archive import load_lessons, withdraw_consent
from putt_posture.archive.files.file_store import new_token
from putt_posture.archive.place import find_place
from putt_posture.errors import AlreadyFiled, NotAllowed
from putt_posture.services import Filing, FilingJob, JobResult, LessonJob, SharedArchive, run_job, share_archive
from putt_posture.services.filing import prepare_job

WRITERS, EACH = 8, 4


@pytest.fixture(scope="session")
def stored():
    """The files of one invented result folder, by name."""
    from invented import MADE_ON, make_lesson

    from putt_posture.pages import lesson_as_files

    return lesson_as_files(make_lesson(), made_on=MADE_ON)


@attrs.frozen
class Measured:
    """A job that has its lesson already, as if it had measured it."""

    job: LessonJob
    files: dict[str, bytes]

    @property
    def clips(self):
        return self.job.clips

    def run(self, *, progress=None):
        return JobResult(job=self.job, lesson=object(), files=self.files)


@attrs.frozen
class Bench:
    """What makes filing jobs for one archive that is open."""

    archive: object
    shared: SharedArchive
    stored: dict[str, bytes]
    clips: dict[str, Path]

    def job(self, student, tag):
        filing = Filing(student=student, day=TODAY, moment="before", clips=self.clips)
        lesson = make_lesson_of(self.stored, tag=tag, clips=self.clips)
        files = {name: lesson.read(name) for name in lesson.names}
        inner = Measured(prepare_job(self.archive, filing, today=TODAY), files)
        return FilingJob(job=inner, filing=filing, archive=self.shared, today=TODAY)


@pytest.fixture
def bench(archive, stored, tmp_path):
    """An archive in a folder that is lent as one by URL would be."""
    with archive.files.claim(token := new_token()):
        shared = SharedArchive(place=archive.place, token=token)
        yield Bench(archive, shared, stored, make_clips(tmp_path / "filmed", "one"))


@pytest.fixture
def player(archive):
    return add_player(archive)


def test_a_lesson_is_filed_where_it_was_measured_and_does_not_travel(bench, archive, player):
    result = run_job(bench.job(player, "one"))
    assert result
    assert result.files == {}
    (lesson,) = load_lessons(archive, player)
    assert result.filed.lesson == lesson
    assert lesson.clips == 2


def test_consent_is_judged_when_a_worker_files(bench, archive, player):
    job = bench.job(player, "one")
    withdraw_consent(archive, player, scopes=["measures"], on=TODAY)
    result = run_job(job)
    assert isinstance(result.error, NotAllowed)
    assert load_lessons(archive, player) == ()


def test_what_was_filed_before_its_worker_was_lost_is_not_filed_again(bench, archive, player):
    run_job(bench.job(player, "one"))
    again = run_job(bench.job(player, "one"))
    assert isinstance(again.error, AlreadyFiled)
    assert len(load_lessons(archive, player)) == 1


def test_a_worker_that_sees_other_files_gives_back_what_it_measured(bench, archive, player):
    """A folder on another machine that has the same path is another folder."""
    job = attrs.evolve(bench.job(player, "one"), archive=attrs.evolve(bench.shared, token=new_token()))
    result = run_job(job)
    assert result
    assert result.filed is None
    assert result.files == job.job.files
    assert load_lessons(archive, player) == ()
    assert not list(archive.files.digests())


def test_a_worker_that_cannot_reach_the_archive_gives_back_what_it_measured(bench, player, tmp_path):
    away = find_place("postgresql://coach@127.0.0.1:9/lessons", files=tmp_path / "files")
    result = run_job(attrs.evolve(bench.job(player, "one"), archive=attrs.evolve(bench.shared, place=away)))
    assert result
    assert result.filed is None
    assert "measures.json" in result.files


def test_a_filing_job_travels_and_does_not_show_the_password(bench, player, tmp_path):
    place = find_place("postgresql://coach:s3cret-word@db/lessons", files=tmp_path)
    job = attrs.evolve(bench.job(player, "one"), archive=attrs.evolve(bench.shared, place=place))
    assert pickle.loads(pickle.dumps(job)) == job
    assert "s3cret-word" not in repr(job)


def test_an_archive_with_one_writer_is_not_shared(archive):
    with share_archive(archive) as shared:
        assert shared is None


@pytest.fixture
def on_a_server(request, tmp_path):
    """A place in PostgreSQL, where no archive is yet."""
    databases = server_of(request)
    databases.empty()
    return on_server(databases, tmp_path / "files")


@pytest.mark.postgresql
def test_eight_writers_at_once_file_each_lesson_once(on_a_server, stored, tmp_path):
    """Each lesson is given to two of them, as where a worker seemed to be lost."""

    def job(shared, player, each):
        tag = f"{player}_{each}"
        return Bench(archive, shared, stored, make_clips(tmp_path / "filmed", tag)).job(player, tag)

    with on_a_server.open() as archive:
        players = [add_player(archive, name=f"Player Number{each}") for each in range(WRITERS)]
        with share_archive(archive) as shared:
            jobs = [[job(shared, player, each) for each in range(EACH)] for player in players]
    told = tmp_path / "told"
    told.mkdir()

    def file(at):
        for each, job in enumerate([*jobs[at], *jobs[(at + 1) % WRITERS]]):
            result = run_job(job)
            assert result or isinstance(result.error, AlreadyFiled), result.error
            assert not result or result.filed is not None
            (told / f"{at} {each}").write_text(f"filed {result.filed.lesson.number}" if result else "already")

    mark = Path(on_a_server.files) / "live" / shared.token
    mark.touch()  # as long as it leads; its archive may not be open where processes are forked
    do_at_once([lambda at=at: file(at) for at in range(WRITERS)])
    mark.unlink()
    said = [path.read_text() for path in told.iterdir()]
    with on_a_server.open() as archive:
        assert_whole(archive)
        filed = [lesson.number for player in players for lesson in load_lessons(archive, player)]
        assert len(filed) == WRITERS * EACH
        assert sorted(each for each in said if each != "already") == sorted(f"filed {number}" for number in filed)
        assert said.count("already") == WRITERS * EACH


@pytest.mark.postgresql
def test_the_mark_of_a_shared_archive_lasts_as_long_as_the_block(on_a_server):
    with on_a_server.open() as archive:
        with share_archive(archive) as shared:
            assert shared.token in set(archive.files.tokens())
        assert not list(archive.files.tokens())
