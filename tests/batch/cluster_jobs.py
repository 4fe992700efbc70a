"""Jobs that show what becomes of a cluster; workers import them by this module's name."""

import os
import time
from pathlib import Path

import attrs

from putt_posture.services import JobResult, LessonJob


@attrs.frozen
class Tells:
    """Gives its number back, and the processes in which it was run: its own and the worker's."""

    number: int
    size: int = 0

    def run(self, *, progress=None):
        about = {"number": self.number, "pid": os.getpid(), "worker": os.getppid()}
        return JobResult(job=self, files={**{n: str(v).encode() for n, v in about.items()}, "big": bytes(self.size)})


@attrs.frozen
class Waits:
    """Writes down in which processes it runs, and waits until it is let go."""

    number: int
    folder: Path

    def run(self, *, progress=None):
        begun = self.folder / f"{self.number}.begun"
        with open(begun, "a") as said:
            said.write(f"{os.getpid()} {os.getppid()}\n")
        while not (self.folder / "go").exists():
            time.sleep(0.05)
        return JobResult(job=self, files={"number": str(self.number).encode()})

    def runs(self):
        """The processes in which it was begun so far: (its own, the worker's)."""
        begun = self.folder / f"{self.number}.begun"
        return [tuple(map(int, line.split())) for line in begun.read_text().splitlines()] if begun.exists() else []


@attrs.frozen
class Takes:
    """Takes so many seconds, and gives back so many bytes."""

    number: int
    seconds: float
    size: int

    def run(self, *, progress=None):
        time.sleep(self.seconds)
        return JobResult(job=self, files={"number": b"%d" % self.number, "big": os.urandom(self.size)})


@attrs.frozen
class Films:
    """Has a clip."""

    clip: Path

    @property
    def clips(self):
        return {"face_on": self.clip}

    def run(self, *, progress=None):
        return JobResult(job=self, files={"number": b"%d" % self.clip.stat().st_size})


@attrs.frozen
class Made:
    """Stands for a lesson's job: its files were made before, and it waits as if it measured."""

    job: LessonJob
    files: dict[str, bytes]
    folder: Path
    takes_s: float = 0.0

    @property
    def clips(self):
        return self.job.clips

    def run(self, *, progress=None):
        with open(self.folder / "begun", "a") as said:
            said.write(f"{os.getppid()}\n")
        time.sleep(self.takes_s)
        return JobResult(job=self.job, files=self.files)


def numbers_of(results):
    return [int(each.files["number"]) for each in results]
