"""Lessons that take next to no time: their jobs give files that were made before, or misbehave; all else is real."""

import ctypes
import os
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from attrs import frozen
from filed import TODAY, make_lesson_of

from putt_posture.batch import BatchLesson
from putt_posture.batch.tasks import LessonTask
from putt_posture.errors import ProcessKilled, ProcessStopped, StudentNotFound
from putt_posture.services import JobResult
from putt_posture.threads import threads_for

MIB = 1 << 20


@frozen
class SmallJob:
    """Gives files, or does what a poisoned clip can do."""

    does: str
    files: Mapping[str, bytes]
    began: Path | None = None
    takes_s: float = 0.0

    def run(self, *, progress: Any = None) -> JobResult:
        if self.began is not None:
            with open(self.began, "a") as said:
                said.write(f"{os.getpid()}\n")
        time.sleep(self.takes_s)
        if self.does == "hang":
            time.sleep(3600.0)
        elif self.does == "crash":
            ctypes.string_at(0)
        elif self.does == "eat":
            eaten = []
            while True:
                eaten.append(bytearray(os.urandom(MIB) * 64))
                time.sleep(0.02)
        elif self.does == "no student":
            raise StudentNotFound("Nobody is in the picture. Film the whole student.")
        elif self.does == "stop":
            raise ProcessStopped("It ended.")
        elif self.does == "be killed":
            raise ProcessKilled("It was killed.")
        elif self.does == "count threads":
            return JobResult(job=self, files={"threads": str(threads_for(2)).encode()})
        elif self.does == "break":
            raise ZeroDivisionError("division\n  by zero")
        return JobResult(job=self, files=self.files)

    def begun(self) -> int:
        """How often it was begun."""
        return len(self.began.read_text().split()) if self.began is not None and self.began.exists() else 0


class SmallTask(LessonTask):
    """A lesson's task whose job is small."""

    small: SmallJob

    def prepare(self, archive, *, today):
        super().prepare(archive, today=today)
        return self.small

    def let_file(self, archive, *, today):
        return self.small


def make_small(
    folder: Path, stored: Mapping[str, bytes], tag: str, *, does: str = "measure", student: int = 1, **about: Any
) -> tuple[BatchLesson, SmallJob]:
    """Make one lesson and its job, with clips of a few bytes."""
    takes_s = about.pop("takes_s", 0.0)
    folder.mkdir(parents=True, exist_ok=True)
    clips = {view: folder / f"{tag}_{view}.mov" for view in ("down_the_line", "face_on")}
    for view, path in clips.items():
        path.write_bytes(f"{view} of {tag}".encode() * 50)
    kept = make_lesson_of(stored, tag=tag, clips=clips)
    files = {name: kept.read(name) for name in kept.names}
    lesson = BatchLesson(where=tag, student=student, moment="check", clips=clips, day=TODAY, **about)
    return lesson, SmallJob(does, files, folder / f"{tag}.began", takes_s)


def beginning(small: Mapping[str, SmallJob]):
    """Return what makes the tasks of small lessons, for `run_batch`."""

    def begin(lesson, ledger):
        task = SmallTask(lesson=lesson, clips={view: ledger.digest_of(path) for view, path in lesson.clips.items()})
        task.small = small[next(iter(lesson.clips.values())).name.split("_")[0]]
        return task

    return begin
