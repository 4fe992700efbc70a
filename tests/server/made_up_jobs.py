"""Jobs that do what a test needs; a worker finds them by their names, so they stand in a file of their own."""

import os
import time
from pathlib import Path

from attrs import frozen

from putt_posture.disk.folders import check_folder, fresh_folder
from putt_posture.errors import SetupNotFound
from putt_posture.services import JobResult


@frozen(kw_only=True)
class WritingJob:
    """Writes a result as a `LessonJob` does: whole or not at all."""

    out: Path
    text: str = "done"
    slow_s: float = 0.0

    def check(self):
        check_folder(self.out, replace=True)

    def run(self, *, progress=None):
        with fresh_folder(self.out, replace=True) as new:
            (new / "begun.txt").write_text("begun")
            for step in range(10):
                if progress is not None:
                    progress(f"step {step}", step / 10)
                time.sleep(self.slow_s / 10)
            (new / "result.txt").write_text(self.text)
        return JobResult(job=self)


@frozen
class CrashingJob:
    """Ends its process, as a library that crashes or a system without memory would."""

    def run(self, *, progress=None):
        os._exit(11)


@frozen
class FailingJob:
    """Finds no setup, or fails by a fault of the program."""

    error: type[Exception] = SetupNotFound

    def run(self, *, progress=None):
        raise self.error("No quiet moment at address was found.")


@frozen
class UnsendableJob:
    """Its result cannot be sent back."""

    def run(self, *, progress=None):
        return JobResult(job=lambda: None)


@frozen
class ProcessJob:
    """Returns the number of its process as its share done, to see which one works."""

    def run(self, *, progress=None):
        progress(str(os.getpid()), 1.0)
        return JobResult(job=self)
