"""Jobs: frozen values that travel, and results that come back in order."""

import html
import multiprocessing
import pickle
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from datetime import date
from pathlib import Path

import attrs
import pytest

from putt_posture.documents.lesson_json import lesson_as_json
from putt_posture.errors import OutputError, ProcessStopped, UnreadableClip, UsageError
from putt_posture.pages.report import report_as_html, write_report
from putt_posture.services import JobResult, LessonJob, run_job, run_jobs
from putt_posture.shown_units import show_lengths_in
from putt_posture.values import Student, WantedSetup

STUDENT = Student(stature_cm=178.0, handed="right", name="Sandy Slope")
SEGMENT = ((410.0, 1630.0), (880.0, 1634.0))
DAY = date(2026, 11, 20)
LIGHT_BYTES = 100_000
"""Most bytes of a result without its files; the outlines of one setup alone take 20 MB."""


def job_of(**more):
    return LessonJob(student=STUDENT, clips={"face_on": "front.mov"}, **more)


@attrs.frozen
class Told:
    """A job of another kind: it gives back its number, or fails with the error that it has."""

    number: int
    error: Exception | None = None

    def run(self, *, progress=None):
        if progress is not None:
            progress("Telling", 0.5)
        if self.error is not None:
            raise self.error
        return JobResult(job=self, files={"number": str(self.number).encode()})


def numbers_of(results):
    return [each.files.get("number", b"none").decode() for each in results]


def test_job_is_frozen_and_pickles_with_all_that_was_given() -> None:
    given = {"setup_at": {"face_on": (4.2,)}, "scale_object": {"face_on": (120.0, SEGMENT)}, "wanted": WantedSetup()}
    job = job_of(given=given, out=Path("report"), replace=True, hide_faces=True, made_on=DAY)
    assert pickle.loads(pickle.dumps(job)) == job
    with pytest.raises(attrs.exceptions.FrozenInstanceError):
        job.replace = False


def test_clips_of_a_job_are_its_own() -> None:
    """Whoever changes the mapping that the job was made of changes no job that waits."""
    clips = {"face_on": Path("front.mov")}
    job = LessonJob(student=STUDENT, clips=clips)
    clips.clear()
    assert job.clips == {"face_on": Path("front.mov")}


@pytest.mark.parametrize("name", ["Kim's putt.mov", "<b>{{ 7*7 }}</b>.mov", "..", "$(id).mov"])
def test_a_clip_is_called_as_people_know_it_and_stays_where_it_is(name, lesson, monkeypatch) -> None:
    inner = Path("/somewhere/face_on-30c2.mov")
    front = lesson.views["face_on"]
    front = attrs.evolve(front, clip=attrs.evolve(front.clip, path=inner), notes=(f"{inner.name} is mirrored.",))
    measured = attrs.evolve(lesson, views={"face_on": front}, warnings=(f"{inner.name} shows more than one setup.",))
    monkeypatch.setattr("putt_posture.lesson.measure_lesson", lambda **_: measured)
    stored = []
    monkeypatch.setattr("putt_posture.pages.lesson_as_files", lambda made, **_: stored.append(made) or {})
    LessonJob(student=STUDENT, clips={"face_on": inner}, names={"face_on": name}).run()
    (made,) = stored
    assert made.warnings == (f"{name} shows more than one setup.",)
    assert made.views["face_on"].notes == (f"{name} is mirrored.",)
    assert made.views["face_on"].clip.path == inner
    assert lesson_as_json(made, made_on=DAY)["views"]["face_on"]["file"] == name
    report = write_report(made, stills=(), made_on=DAY)
    page = html.unescape(report_as_html(report, pictures={}))
    assert page.count(name) > 1
    assert inner.name not in page
    assert "<b>{{" not in report_as_html(report, pictures={})


def test_why_a_clip_was_refused_calls_it_as_people_know_it(monkeypatch) -> None:
    def refuse(**_):
        raise UnreadableClip("face_on-30c2.mov is empty. Film again.", path=Path("face_on-30c2.mov"))

    monkeypatch.setattr("putt_posture.lesson.measure_lesson", refuse)
    job = LessonJob(student=STUDENT, clips={"face_on": "face_on-30c2.mov"}, names={"face_on": "Kim.mov"})
    with pytest.raises(UnreadableClip, match=r"^Kim\.mov is empty"):
        job.run()


def test_failed_job_is_told_by_a_value_that_pickles_and_stops_no_other() -> None:
    error = UnreadableClip("front.mov is empty. Record again.", path=Path("front.mov"), time_s=1.5)
    results = list(run_jobs([Told(1), Told(2, error), Told(3)]))
    assert numbers_of(results) == ["1", "none", "3"]
    assert [bool(each) for each in results] == [True, False, True]
    back = pickle.loads(pickle.dumps(results[1])).error
    assert (type(back), str(back), back.path, back.time_s) == (UnreadableClip, str(error), error.path, 1.5)
    with pytest.raises(UnreadableClip, match="is empty"):
        results[1].measured()


def test_what_nobody_expected_is_told_too() -> None:
    first, second = run_jobs([Told(1, ZeroDivisionError("oh")), Told(2)])
    assert isinstance(first.error, ZeroDivisionError)
    assert second


def test_ctrl_c_is_no_failure_of_a_job(monkeypatch) -> None:
    monkeypatch.setattr("putt_posture.lesson.measure_lesson", interrupt)
    with pytest.raises(KeyboardInterrupt):
        list(run_jobs([job_of(), job_of()]))


def interrupt(**_given):
    raise KeyboardInterrupt


def test_results_come_in_the_order_of_the_jobs_from_any_executor() -> None:
    jobs = [Told(number, UsageError("No.") if number == 3 else None) for number in range(6)]
    shares = []
    with ThreadPoolExecutor(max_workers=3) as pool:
        results = list(run_jobs(jobs, executor=pool, progress=lambda _, share: shares.append(share)))
    assert numbers_of(results) == ["0", "1", "2", "none", "4", "5"]
    assert shares == pytest.approx([1 / 6, 2 / 6, 3 / 6, 4 / 6, 5 / 6, 1.0])


class LosesTheSecond(Executor):
    """An executor whose second worker is lost with its job."""

    def __init__(self):
        self.asked = 0

    def submit(self, work, *arguments):
        self.asked += 1
        future = Future()
        if self.asked == 2:
            future.set_exception(BrokenProcessPool("a worker died"))
        else:
            future.set_result(work(*arguments))
        return future


def test_job_whose_worker_was_lost_is_told_by_a_value() -> None:
    results = list(run_jobs([Told(1), Told(2), Told(3)], executor=LosesTheSecond()))
    assert numbers_of(results) == ["1", "none", "3"]
    assert isinstance(results[1].error, ProcessStopped)
    assert "a worker died" in str(results[1].error)


def test_jobs_that_have_not_begun_are_taken_back_where_nobody_asks_any_more() -> None:
    futures = []

    class Never(Executor):
        def submit(self, work, *arguments):
            future = Future()
            if not futures:
                future.set_result(work(*arguments))
            futures.append(future)
            return future

    results = run_jobs([Told(1), Told(2), Told(3)], executor=Never())
    assert next(results)
    results.close()
    assert [each.cancelled() for each in futures] == [False, True, True]


def test_progress_tells_of_all_jobs_from_nothing_to_all() -> None:
    told = []
    list(run_jobs([Told(1), Told(2)], progress=lambda what, share: told.append((what, share))))
    assert told == [("1 of 2: Telling", 0.25), ("2 of 2: Telling", 0.75)]


def test_job_shows_lengths_in_the_unit_of_where_it_was_made(lesson, monkeypatch) -> None:
    """A thread of a pool knows nothing of the unit that is shown where the job comes from, and nor does a process."""
    monkeypatch.setattr("putt_posture.lesson.measure_lesson", lambda **_given: lesson)
    with show_lengths_in("inches"):
        jobs = [job_of(made_on=DAY), job_of(made_on=DAY, units="cm")]
    assert pickle.loads(pickle.dumps(jobs[0])).units == "inches"
    with ThreadPoolExecutor(max_workers=1) as pool:
        in_inches, in_cm = (each.files for each in run_jobs(jobs, executor=pool))
    hand_height = lesson.posture["hand_height"].value
    assert f"{hand_height:.1f} ±".encode() in in_cm["report.html"]
    assert f"{hand_height:.1f} ±".encode() not in in_inches["report.html"]
    assert f"{hand_height / 2.54:.1f} ±".encode() in in_inches["report.html"]
    for name in ("measures.json", "measures.csv", "landmarks.npz"):
        assert in_inches[name] == in_cm[name]


def test_folder_in_use_is_refused_before_anything_is_measured(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr("putt_posture.lesson.measure_lesson", interrupt)
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("mine")
    assert isinstance(run_job(job_of(out=tmp_path / "mine")).error, OutputError)


def test_lessons_are_measured_in_another_process_and_come_back_whole(golfer_stills, tmp_path) -> None:
    """One lesson comes back in memory and one clip is not there; the process shares nothing with this one."""
    jobs = [
        LessonJob(student=STUDENT, clips=golfer_stills, made_on=DAY, hide_faces=True, units="inches"),
        LessonJob(student=STUDENT, clips={"face_on": tmp_path / "none.mov"}, out=tmp_path / "report", made_on=DAY),
    ]
    with ProcessPoolExecutor(max_workers=1, mp_context=multiprocessing.get_context("spawn")) as pool:
        first, second = run_jobs(jobs, executor=pool)
    assert first.job == jobs[0]
    lesson = first.measured()
    assert lesson.faces_hidden
    assert lesson.posture["spine_tilt"]
    assert len(pickle.dumps(attrs.evolve(first, files={}))) < LIGHT_BYTES
    assert {"report.html", "report.pdf", "measures.json", "stills/face_on.png"} <= first.files.keys()
    assert b'"made_on": "2026-11-20"' in first.files["measures.json"].replace(b'":"', b'": "')
    assert "pixels an inch" in first.files["report.html"].decode()
    assert isinstance(second.error, UnreadableClip)
    assert not (tmp_path / "report").exists()
