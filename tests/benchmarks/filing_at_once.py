"""What it costs that workers file for themselves: lessons a second of one writer and of eight, each lesson once.

    .ci/with_postgresql .venv/bin/python tests/benchmarks/filing_at_once.py [--each 20] [--writers 8]

Each writer is a process that files lessons as a worker of a batch does, in an archive in PostgreSQL: measured before,
with the files of a result folder as they are, of students of its own. Beside it is one writer in an archive in SQLite,
as the process that leads a batch files there. Printed are lessons a second, the time of one filing, the ratio, and how
many lessons were lost or are there twice.
"""

import argparse
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Final

from attrs import frozen

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))
sys.path.insert(0, str(Path(__file__).parents[1]))

from at_once import do_at_once
from changed_lesson import make_changed_lesson
from filed import add_player
from invented import MADE_ON
from places import VARIABLE, Databases, Somewhere, in_folder, on_server
from sqlalchemy.engine import make_url

from putt_posture.archive import load_lessons
from putt_posture.documents import DOCUMENT
from putt_posture.pages import lesson_as_files
from putt_posture.records import read_result_files
from putt_posture.services import Filing, JobResult, LessonJob, file_measured
from putt_posture.values import Student

TODAY: Final = date(2026, 11, 25)
STUDENT: Final = Student(stature_cm=178.0, handed="right")


@frozen
class Bench:
    """What is filed, and where.

    Attributes
    ----------
    place : Somewhere
    files : mapping of str to bytes
        Of one lesson.
    each : int
        Lessons of each writer.
    folder : Path
        For the times of the writers.
    """

    place: Somewhere
    files: Mapping[str, bytes]
    each: int
    folder: Path

    def begin(self, writers: int) -> list[int]:
        """Make the archive with a student for each writer."""
        with self.place.open() as archive:
            return [add_player(archive, name=f"Player Number{at}") for at in range(writers)]

    def file(self, student: int) -> None:
        """File the lessons of one writer, each with the archive opened anew as a worker does."""
        took = []
        for number in range(self.each):
            filing = Filing(student=student, day=TODAY, moment="check")
            job = LessonJob(student=STUDENT, clips={"face_on": "clip.mov"})
            files = {**self.files, DOCUMENT: self.files[DOCUMENT] + b" " * (1 + number + 1000 * student)}
            begun = time.perf_counter()
            with self.place.open() as archive:
                result = JobResult(job=job, lesson=object(), files=files)  # type: ignore[arg-type]
                file_measured(archive, filing, result, today=TODAY)
            took.append(time.perf_counter() - begun)
        (self.folder / str(student)).write_text(" ".join(map(str, took)))

    def run(self, writers: int) -> float:
        """File with so many writers at once and return lessons a second."""
        students = self.begin(writers)
        acts: Sequence[Callable[[], object]] = [lambda student=student: self.file(student) for student in students]
        begun = time.perf_counter()
        do_at_once(acts)
        took = time.perf_counter() - begun
        times_s = [float(text) for each in students for text in (self.folder / str(each)).read_text().split()]
        with self.place.open() as archive:
            there = [len(load_lessons(archive, each)) for each in students]
        wanted = writers * self.each
        a_second = wanted / took
        print(
            f"{self.place.kind}, {writers} at once: {a_second:.1f} lessons a second; one takes "
            f"{1e3 * statistics.median(times_s):.0f} ms (95 %: {1e3 * sorted(times_s)[int(0.95 * len(times_s))]:.0f}); "
            f"lost {sum(max(self.each - n, 0) for n in there)}, twice {sum(max(n - self.each, 0) for n in there)}",
            flush=True,
        )
        return a_second


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--each", type=int, default=20)
    parser.add_argument("--writers", type=int, default=8)
    given = parser.parse_args()
    url = os.environ.get(VARIABLE)
    if not url:
        parser.error("there is no PostgreSQL; run it with .ci/with_postgresql")
    files = lesson_as_files(make_changed_lesson(), made_on=MADE_ON)
    read_result_files(files, title="the lesson")
    print(
        f"{os.cpu_count()} processors, load average {os.getloadavg()[0]:.1f}; a lesson of {len(files)} files, "
        f"{sum(map(len, files.values())) / 1e6:.1f} MB"
    )
    databases = Databases(make_url(url))
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        rates = []
        for writers in (1, given.writers):
            databases.empty()
            place = on_server(databases, here / f"files of {writers}")
            rates.append(Bench(place, files, given.each, here).run(writers))
        lite = Bench(in_folder(here / "archive"), files, given.each, here).run(1)
    databases.drop()
    print(f"{given.writers} in PostgreSQL: {rates[1] / rates[0]:.1f} times one, {rates[1] / lite:.1f} times SQLite")


if __name__ == "__main__":
    main()
