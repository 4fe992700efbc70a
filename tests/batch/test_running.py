"""What a run does with many lessons: each is filed once, or lies aside with one reason."""

import os
from concurrent.futures import ThreadPoolExecutor, wait
from datetime import date

import pytest
from attrs import evolve
from filed import TODAY, add_player

from putt_posture.archive import change_student, erase_lesson, load_lessons, open_archive, withdraw_consent
from putt_posture.batch import Ledger, Pool, running, tasks
from putt_posture.errors import ArchiveAway, ArchiveError, OutputError

STATES = {"a": "filed", "b": "filed", "c": "filed"}


def states(outcomes):
    return {where: outcome.state for where, outcome in outcomes.items()}


def add_three(batch):
    for tag in STATES:
        batch.add(tag)


def filed(batch, student=1):
    return [each.number for each in load_lessons(batch.archive, student)]


def refuse(*_given, **_more):
    raise ArchiveAway("The archive refused.")


def test_every_lesson_is_filed_and_nothing_is_left_in_the_work_folder(batch):
    add_three(batch)
    outcomes = batch.run()
    assert states(outcomes) == STATES
    assert sorted(each.lesson for each in outcomes.values()) == filed(batch) == [1, 2, 3]
    assert batch.measured() == []


def test_a_second_run_begins_nothing(batch):
    add_three(batch)
    first = batch.run()
    again = batch.run()
    assert set(states(again).values()) == {"already filed"}
    assert {where: each.lesson for where, each in again.items()} == {w: each.lesson for w, each in first.items()}
    assert all(each.before for each in again.values())
    assert batch.begun() == dict.fromkeys(STATES, 1)


def test_lessons_that_the_archive_holds_are_known_without_the_ledger(batch, tmp_path):
    add_three(batch)
    batch.run()
    with Ledger(tmp_path / "another") as ledger:
        again = batch.run(ledger=ledger)
    assert set(states(again).values()) == {"already filed"}
    assert batch.begun() == dict.fromkeys(STATES, 1)


def test_a_lesson_of_another_version_of_the_method_is_not_filed_twice(batch, monkeypatch):
    add_three(batch)
    batch.run()
    for module in ("running", "tasks"):
        monkeypatch.setattr(f"putt_posture.batch.{module}.present_method", lambda: "a later one")
    assert set(states(batch.run()).values()) == {"already filed"}
    assert filed(batch) == [1, 2, 3]


def test_a_run_that_stopped_before_filing_files_what_it_measured(batch, monkeypatch):
    batch.add("a")

    def stop(*_given, **_more):
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr("putt_posture.batch.tasks.file_measured", stop)
        with pytest.raises(KeyboardInterrupt):
            batch.run()
    assert len(batch.measured()) == 1
    assert filed(batch) == []
    assert states(batch.run()) == {"a": "filed"}
    assert batch.begun() == {"a": 1}
    assert batch.measured() == []


def test_what_a_killed_run_filed_and_left_in_the_work_folder_is_removed(batch, monkeypatch):
    batch.add("a")
    with monkeypatch.context() as patch:
        patch.setattr(batch.ledger, "write", lambda *_given: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            batch.run()
    assert len(batch.measured()) == len(filed(batch)) == 1
    assert states(batch.run()) == {"a": "already filed"}
    assert batch.measured() == []


def test_what_was_measured_with_other_facts_of_the_student_is_measured_again(batch, monkeypatch):
    batch.add("a")
    with monkeypatch.context() as patch:
        patch.setattr("putt_posture.batch.tasks.file_measured", lambda *_a, **_b: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            batch.run()
    change_student(batch.archive, 1, stature_cm=181.0, today=TODAY)
    assert states(batch.run()) == {"a": "filed"}
    assert batch.begun() == {"a": 2}


def test_a_run_that_is_left_goes_on_where_it_stood(batch):
    for number in range(8):
        batch.add(f"lesson {number}")
    runs = batch.start()
    first = [next(runs).where for _ in range(3)]
    runs.close()
    outcomes = batch.run()
    assert {where for where, each in outcomes.items() if each.state == "already filed"} >= set(first)
    assert len(filed(batch)) == 8


def test_a_clip_that_cannot_be_used_lies_aside_at_once_with_its_reason(batch):
    batch.add("a")
    batch.add("b", does="no student")
    outcomes = batch.run()
    assert outcomes["b"].state == "laid aside"
    assert outcomes["b"].says == "Nobody is in the picture. Film the whole student."
    assert outcomes["a"].state == "filed"
    again = batch.run()["b"]
    assert (again.says, again.before) == (outcomes["b"].says, True)
    assert batch.begun() == {"a": 1, "b": 1}


def test_what_lies_aside_is_tried_again_where_that_is_asked_for(batch):
    batch.add("a", does="no student")
    batch.run()
    batch.jobs["a"] = evolve(batch.jobs["a"], does="measure")
    assert states(batch.run()) == {"a": "laid aside"}
    assert states(batch.run(try_again=True)) == {"a": "filed"}


def test_what_another_version_laid_aside_is_tried_again(batch, monkeypatch):
    batch.add("a", does="no student")
    batch.run()
    batch.jobs["a"] = evolve(batch.jobs["a"], does="measure")
    monkeypatch.setattr("putt_posture.batch.running.present_method", lambda: "a later one")
    assert states(batch.run()) == {"a": "filed"}


def test_a_lesson_that_ends_its_process_is_tried_three_times_after_the_others(batch):
    batch.add("a", does="stop")
    batch.add("b")
    outcomes = list(batch.start())
    assert [each.where for each in outcomes] == ["b", "a"]
    assert outcomes[1].says == "It ended. It was tried 3 times."
    assert outcomes[1].tries == batch.begun()["a"] == 3


def test_ends_from_outside_do_not_count_as_tries(batch, monkeypatch):
    batch.add("a", does="be killed")
    runs = batch.start()
    job = batch.jobs["a"]
    calls = []

    def run(given, _limits):
        calls.append(given)
        return job.run() if len(calls) > 5 else running.JobResult(job=given, error=running.ProcessKilled("Killed."))

    monkeypatch.setattr("putt_posture.batch.running.run_limited", run)
    job = evolve(job, does="measure")
    assert [each.state for each in runs] == ["filed"]
    assert len(calls) == 6


def test_a_lesson_whose_process_is_always_killed_lies_aside_in_the_end(batch):
    batch.add("a", does="be killed")
    assert states(batch.run()) == {"a": "laid aside"}
    assert batch.begun() == {"a": 10}


def test_an_unexpected_error_is_said_in_one_line_and_stops_no_other(batch):
    batch.add("a", does="break")
    batch.add("b")
    outcomes = batch.run()
    assert outcomes["a"].says == "It failed (ZeroDivisionError: division by zero)."
    assert outcomes["b"].state == "filed"


def test_a_clip_that_is_not_there_lies_aside_and_is_looked_for_in_the_next_run(batch):
    lesson = batch.add("a")
    path = lesson.clips["face_on"]
    content = path.read_bytes()
    path.unlink()
    assert f"{path} cannot be read (no such file or directory)" in batch.run()["a"].says
    path.write_bytes(content)
    assert states(batch.run()) == {"a": "filed"}


def test_a_folder_or_a_pipe_in_place_of_a_clip_is_not_opened(batch):
    lesson = batch.add("a")
    lesson.clips["face_on"].unlink()
    if hasattr(os, "mkfifo"):
        os.mkfifo(lesson.clips["face_on"])
    else:
        lesson.clips["face_on"].mkdir()
    assert "is no file" in batch.run()["a"].says


def test_the_same_lesson_given_twice_is_measured_once(batch):
    first = batch.add("a")
    outcomes = batch.run([first, evolve(first, where="b"), None, evolve(first, where="c")])
    assert states(outcomes) == {"a": "filed", "b": "already filed", "c": "already filed"}
    assert outcomes["b"].says == "It is the same lesson as a."
    assert batch.begun() == {"a": 1}


def test_a_lesson_that_was_erased_is_not_filed_again_by_itself(batch):
    batch.add("a")
    batch.run()
    erase_lesson(batch.archive, 1)
    outcome = batch.run()["a"]
    assert outcome.state == "laid aside"
    assert "filed as lesson 1, which is not in the archive any more" in outcome.says
    assert states(batch.run(try_again=True)) == {"a": "filed"}


def test_an_archive_that_was_made_anew_is_filled_although_the_ledger_is_full(batch, tmp_path):
    add_three(batch)
    batch.run()
    with open_archive(tmp_path / "new") as archive:
        add_player(archive)
        batch.archive = archive
        assert states(batch.run(try_again=True)) == STATES


def test_a_withdrawn_consent_lays_the_lesson_aside_and_removes_what_was_measured(batch, monkeypatch):
    batch.add("a")
    real = running.JobResult

    def run(job, _limits):
        withdraw_consent(batch.archive, 1, scopes=("measures",), on=TODAY)
        return real(job=job, files=job.files)

    monkeypatch.setattr("putt_posture.batch.running.run_limited", run)
    outcome = batch.run()["a"]
    assert outcome.state == "laid aside"
    assert "There is no consent for" in outcome.says
    assert filed(batch) == []
    assert batch.measured() == []
    assert batch.ledger.find(running.begin_task(batch.lessons[0], batch.ledger).key) is None


def test_without_consent_nothing_is_measured(batch):
    withdraw_consent(batch.archive, 1, scopes=("filming",), on=TODAY)
    batch.add("a")
    assert "There is no consent for being filmed" in batch.run()["a"].says
    assert batch.begun() == {"a": 0}


def test_an_unknown_student_lies_aside_in_one_sentence(batch):
    batch.add("a", student=77)
    batch.add("b")
    outcomes = batch.run()
    assert "77" in outcomes["a"].says
    assert outcomes["b"].state == "filed"


def test_an_archive_that_is_away_for_a_while_is_waited_for(batch, monkeypatch):
    add_three(batch)
    monkeypatch.setattr(running, "_WAITS_S", (0.0,) * 5)
    calls, said = [], []
    filing = tasks.file_measured

    def away(*given, **more):
        calls.append(1)
        if len(calls) <= 4:
            raise ArchiveAway("The archive refused.")
        return filing(*given, **more)

    monkeypatch.setattr(tasks, "file_measured", away)
    assert states(batch.run(tell=said.append)) == STATES
    assert said == ["The archive refused. Waiting 0 s."] * 4
    assert batch.begun() == dict.fromkeys(STATES, 1)


def test_an_archive_that_stays_away_stops_the_run_and_the_next_one_goes_on(batch, monkeypatch):
    add_three(batch)
    monkeypatch.setattr(running, "_WAITS_S", (0.0,))
    with monkeypatch.context() as patch:
        patch.setattr(tasks, "file_measured", refuse)
        with pytest.raises(ArchiveAway):
            batch.run()
    assert filed(batch) == []
    kept, begun = len(batch.measured()), sum(batch.begun().values())
    assert kept >= 1
    assert states(batch.run()) == STATES
    assert sum(batch.begun().values()) == begun + len(STATES) - kept


def test_what_was_measured_when_a_run_stopped_is_kept_for_the_next_one(batch, monkeypatch):
    add_three(batch)

    def stop_when_all_are_done(running_jobs, **_given):
        done, _ = wait(running_jobs)
        return sorted(done, key=lambda future: str(running_jobs[future].where)), set()

    with monkeypatch.context() as patch:
        patch.setattr(running, "_WAITS_S", ())
        patch.setattr(running, "wait", stop_when_all_are_done)
        patch.setattr(tasks, "file_measured", refuse)
        with pytest.raises(ArchiveAway):
            batch.run()
    assert len(batch.measured()) == len(STATES)
    assert states(batch.run()) == STATES
    assert batch.begun() == dict.fromkeys(STATES, 1)


def test_an_archive_that_refuses_one_lesson_does_not_stop_the_others(batch, monkeypatch):
    add_three(batch)
    filing = tasks.file_measured

    def refuse(archive, given, result, **more):
        if "a_face" in given.clips["face_on"].name:
            raise ArchiveError("A file changed while it was being filed.")
        return filing(archive, given, result, **more)

    with monkeypatch.context() as patch:
        patch.setattr(tasks, "file_measured", refuse)
        assert states(batch.run()) == {**STATES, "a": "laid aside"}
    assert states(batch.run())["a"] == "filed"
    assert batch.begun() == dict.fromkeys(STATES, 1)


def test_a_work_folder_without_room_stops_the_run_in_one_sentence(batch, monkeypatch):
    batch.add("a")

    def full(*_given):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("putt_posture.batch.ledger.os.fsync", full)
    with pytest.raises(OutputError, match=r"No space left.* Make room there"):
        batch.run()


def test_pictures_are_kept_only_as_the_row_says(batch):
    batch.add("a", keep_pictures=False)
    batch.add("b", keep_clips=False)
    batch.add("c")
    outcomes = batch.run()
    lessons = {each.number: each for each in load_lessons(batch.archive, 1, today=TODAY)}
    kept = {tag: lessons[outcome.lesson] for tag, outcome in outcomes.items()}
    assert [kept[tag].has_pictures for tag in "abc"] == [False, True, True]
    assert [kept[tag].clips for tag in "abc"] == [0, 0, 2]


def test_clips_are_not_kept_without_consent_for_faces(batch):
    withdraw_consent(batch.archive, 1, scopes=("faces",), on=TODAY)
    lesson = batch.add("a")
    task = running.begin_task(lesson, batch.ledger)
    assert task.prepare(batch.archive, today=TODAY).hide_faces
    assert (
        not running.begin_task(evolve(lesson, student=2), batch.ledger).prepare(batch.archive, today=TODAY).hide_faces
    )


def test_a_minor_needs_the_guardian(batch):
    child = add_player(batch.archive, name="Kim Young", born=date(2014, 1, 1), guardian="A. Guardian")
    batch.add("a", student=child)
    assert states(batch.run()) == {"a": "filed"}
    withdraw_consent(batch.archive, child, scopes=("measures",), on=TODAY)
    batch.add("b", student=child)
    outcome = batch.run()["b"]
    assert outcome.state == "laid aside"
    assert "consent" in outcome.says


def test_names_of_results_change_with_all_that_numbers_depend_on(batch, monkeypatch):
    lesson = batch.add("a")

    def name(lesson):
        task = running.begin_task(lesson, batch.ledger)
        task.prepare(batch.archive, today=TODAY)
        return task.name_result()

    first = name(lesson)
    assert name(evolve(lesson, where="elsewhere")) == first
    others = {
        name(evolve(lesson, putter_length_cm=86.0)),
        name(evolve(lesson, given={"without_putter": True})),
        name(evolve(lesson, student=2)),
        name(evolve(lesson, clips={"face_on": lesson.clips["face_on"]})),
    }
    monkeypatch.setattr("putt_posture.batch.tasks.present_method", lambda: "a later one")
    others.add(name(lesson))
    assert len(others | {first}) == 6


def test_a_read_only_archive_is_refused_before_anything_is_measured(batch):
    batch.add("a")
    batch.archive.read_only = True
    with pytest.raises(ArchiveError, match="can only be read"):
        batch.run()
    assert batch.begun() == {"a": 0}


def test_a_pool_without_workers_is_waited_for(batch, monkeypatch):
    batch.add("a")
    monkeypatch.setattr(running, "_LOOK_S", 0.01)
    counts = iter([0, 0, 0])
    with ThreadPoolExecutor(1) as threads:
        pool = Pool(executor=threads, workers=lambda: next(counts, 1))
        outcomes = list(batch.start(pool=pool))
    assert [each.state for each in outcomes] == ["filed"]
