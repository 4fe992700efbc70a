"""Lessons whose jobs write down how long they took and how much memory their process has; all else is real."""

import json
import os
import time
from pathlib import Path
from typing import Any

import psutil
from attrs import frozen

from putt_posture.batch.tasks import AgainTask, LessonTask
from putt_posture.services import JobResult


@frozen
class TimedJob:
    """Runs a job, and adds a line to a file."""

    job: Any
    log: Path

    def run(self, *, progress: Any = None) -> JobResult:
        began, used = time.monotonic(), _processor_s()
        result = self.job.run(progress=progress)
        process = psutil.Process()
        memory = sum(each.memory_info().rss for each in (process, *process.children(recursive=True)))
        line = {"s": time.monotonic() - began, "cpu_s": _processor_s() - used, "mb": memory / 1e6, "pid": os.getpid()}
        with open(self.log, "a") as stream:
            stream.write(json.dumps(line) + "\n")
        return result


class TimedLesson(LessonTask):
    """A lesson's task with a timed job."""

    log: Path

    def prepare(self, archive, *, today):
        return TimedJob(super().prepare(archive, today=today), self.log)


class TimedAgain(AgainTask):
    """The task of a lesson that is measured again, with a timed job."""

    log: Path

    def prepare(self, archive, *, today):
        return TimedJob(super().prepare(archive, today=today), self.log)


def timing(log: Path) -> Any:
    """Return what makes the tasks, for `run_batch`."""

    def begin(lesson: Any, ledger: Any) -> Any:
        if hasattr(lesson, "document"):
            task: Any = TimedAgain(lesson=lesson)
        else:
            clips = {view: ledger.digest_of(path) for view, path in lesson.clips.items()}
            task = TimedLesson(lesson=lesson, clips=clips)
        task.log = log
        return task

    return begin


def read_log(log: Path) -> list[dict[str, float]]:
    """Return the lines of a file that the jobs wrote."""
    return [json.loads(line) for line in log.read_text().splitlines()]


def _processor_s() -> float:
    """Processor time of this process and those that it started and that still run."""
    process = psutil.Process()
    times = [each.cpu_times() for each in (process, *process.children(recursive=True))]
    return sum(each.user + each.system for each in times)
