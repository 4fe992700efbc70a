"""How long an archive takes to answer when it holds 5,000 students, beside one that holds 50.

Run it on a quiet machine::

    python tests/benchmarks/archive_queries.py [--big FOLDER] [--small FOLDER] [--lesson RESULT_FOLDER] [--runs 40]
    python tests/benchmarks/archive_queries.py --big postgresql://… --big-files FOLDER --only-ask

Archives that are not given are made by `big_archive.py` and taken away again, which takes some minutes; so is a result
folder, from the sample clips. The two archives are asked in turn, so that a change of load meets both, about students
with as many lessons. Lessons are filed for students who are added for it and erased again; what was there before stays.
`--only-ask` leaves that out. Nothing is asserted.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import date
from functools import partial
from pathlib import Path
from statistics import median

import attrs
import numpy as np
from big_archive import LESSONS, SEED, STUDENTS, TODAY, make_rows
from sqlalchemy import func, select, text

from putt_posture.archive import (
    SCOPES,
    Archive,
    add_consent,
    add_student,
    file_lesson,
    find_coming_of_age,
    find_overdue,
    find_students,
    load_consents,
    load_history,
    load_lessons,
    load_overview,
    load_student,
    open_archive,
)
from putt_posture.archive.db.tables import LessonRow, NameWord, PracticeRow, StudentRow, SummaryRow
from putt_posture.archive.db.texts import name_words
from putt_posture.archive.db.vacuum import vacuum
from putt_posture.archive.lessons.practice import practice_of
from putt_posture.archive.people import erasing
from putt_posture.records import KeptLesson, read_result_folder

AIM_MS = 100
SMALL = (50, 435)
USUAL_LESSONS = 9
PAIR = Path(__file__).parents[2] / "sample_clips" / "before"
ADDED, LESSONS_EACH = 4, 4
"""Students added to file lessons for."""
OPEN_ALONE = """
import sys, time
from datetime import date
from pathlib import Path
from putt_posture.archive import load_overview, open_archive
start = time.perf_counter()
with open_archive(sys.argv[1], files=sys.argv[3] or None) as archive:
    opened = time.perf_counter() - start
    load_overview(archive, today=date.fromisoformat(sys.argv[2]))
peak = [line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")]
print(opened * 1000, int(peak[0].split()[1]) / 1024)
"""

Ask = Callable[[], object]


class Asked:
    """What is asked of one archive: the same questions of each, about students drawn by chance."""

    def __init__(self, archive: Archive) -> None:
        self.archive = archive
        rng = np.random.default_rng(SEED)
        with archive.read() as session:
            lessons = dict(session.execute(select(SummaryRow.student_id, SummaryRow.lessons)).all())
            names = dict(session.execute(select(StudentRow.id, StudentRow.name)).all())
            tested = sorted(set(session.scalars(select(PracticeRow.student_id))))
            words = Counter(word[0] for word in session.scalars(select(NameWord.word)))
        usual = [number for number, count in lessons.items() if abs(count - USUAL_LESSONS) <= 1]
        self._usual = rng.permutation(usual).tolist()
        self._tested = rng.permutation(tested).tolist()
        self._names = [name for _, name in sorted(names.items())]
        self._rng = rng
        self.busiest = max(lessons, key=lambda number: lessons[number])
        self.most_lessons = lessons[self.busiest]
        self.commonest = words.most_common(1)[0][0]

    def questions(self, run: int) -> dict[str, Ask]:
        """Return the questions of one run."""
        archive, student = self.archive, self._usual[run % len(self._usual)]
        parts = sorted(name_words(self._names[int(self._rng.integers(len(self._names)))]), key=len)
        return {
            "history": partial(load_history, archive, student, today=TODAY),
            "search, rare beginning": partial(find_students, archive, parts[-1][:5]),
            "search, commonest letter": partial(find_students, archive, self.commonest),
            "search, two words": partial(find_students, archive, f"{parts[0][:2]} {parts[-1][:2]}"),
            "overview": self._overview,
            "list of a student": partial(self._list, student),
            "practice tests": partial(self._practice, self._tested[run % len(self._tested)]),
            "history, most lessons": partial(load_history, archive, self.busiest, today=TODAY),
            "opening": self._open,
        }

    def _overview(self) -> None:
        load_overview(self.archive, today=TODAY)
        find_coming_of_age(self.archive, today=TODAY, most=25)

    def _list(self, number: int) -> None:
        load_student(self.archive, number)
        load_consents(self.archive, number)
        load_lessons(self.archive, number, today=TODAY)

    def _practice(self, number: int) -> None:
        with self.archive.read() as session:
            practice_of(session, number)

    def _open(self) -> None:
        at, files = where(self.archive)
        open_archive(at, files=files or None).close()


def ask_in_turn(big: Asked, small: Asked, *, runs: int) -> None:
    times: dict[str, tuple[list[float], list[float]]] = {}
    for run in range(runs):
        for which, asked in enumerate((big, small)):
            for name, ask in asked.questions(run).items():
                times.setdefault(name, ([], []))[which].append(milliseconds(ask))
    aimed = ("history", "search", "overview")
    for name, (of_big, of_small) in times.items():
        show(name, of_big, of_small, aim=AIM_MS if name.startswith(aimed) else None)


def file_and_erase(big: Archive, small: Archive, lesson: KeptLesson) -> None:
    """File lessons for students added for it, erase these, and write the database anew."""
    filed: tuple[list[float], list[float]] = ([], [])
    erased: tuple[list[float], list[float]] = ([], [])
    anew: tuple[list[float], list[float]] = ([], [])
    own_vacuum, erasing.vacuum = erasing.vacuum, lambda archive: None
    try:
        for turn in range(ADDED):
            for which, archive in enumerate((big, small)):
                number = add_student(
                    archive, attrs.evolve(lesson.record.student, name="Bench Mark"), today=TODAY, adult=True
                )
                add_consent(
                    archive, number, scopes=SCOPES, given_on=TODAY, given_by="Bench Mark", relation="self", today=TODAY
                )
                for each in variants(lesson, start=LESSONS_EACH * turn):
                    filed[which].append(
                        milliseconds(
                            partial(file_lesson, archive, number, each, day=TODAY, moment="check", today=TODAY)
                        )
                    )
                erase = partial(erasing.erase_student, archive, number, today=TODAY, reason="benchmark")
                erased[which].append(milliseconds(erase))
    finally:
        erasing.vacuum = own_vacuum
    for which, archive in enumerate((big, small)):
        anew[which].append(milliseconds(partial(vacuum, archive)))
    show("filing a lesson", *filed)
    show(f"erasing {LESSONS_EACH} lessons' student", *erased)
    show("… database written anew", *anew)


def variants(lesson: KeptLesson, *, start: int) -> Iterator[KeptLesson]:
    """Yield the lesson with spaces after its document, so that each is filed as another."""

    def read(name: str, spaces: int) -> bytes:
        return lesson.read(name) + b" " * spaces * (name == "measures.json")

    for spaces in range(start + 1, start + LESSONS_EACH + 1):
        yield attrs.evolve(lesson, read=partial(read, spaces=spaces))


def open_alone(big: Archive, small: Archive, *, today: date = TODAY) -> None:
    """Open each archive in a process of its own, load the overview, and show what that took."""
    for name, archive in (("big", big), ("small", small)):
        at, files = where(archive)
        command = [sys.executable, "-c", OPEN_ALONE, at, today.isoformat(), files]
        said = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
        print(
            f"{name} archive opened in a fresh process: {float(said[0]):.0f} ms; "
            f"memory at most {float(said[1]):.0f} MiB"
        )


def where(archive: Archive) -> tuple[str, str]:
    """Return what opens an archive again: its folder and nothing, or its URL and the folder of its files."""
    if archive.place.folder is not None:
        return str(archive.place.folder), ""
    return archive.place.database.render_as_string(hide_password=False), archive.place.files


def size_of(archive: Archive) -> int:
    """Return the size of the database in bytes."""
    if archive.place.folder is not None:
        return sum(path.stat().st_size for path in archive.place.folder.glob("archive.sqlite*"))
    with archive.read() as session:
        return session.scalar(text("SELECT pg_database_size(current_database())"))


def milliseconds(ask: Ask) -> float:
    start = time.perf_counter()
    ask()
    return (time.perf_counter() - start) * 1000


def show(name: str, big: list[float], small: list[float], *, aim: int | None = None) -> None:
    ratio = median(big) / median(small)
    print(
        f"{name:28s} {min(big):9.1f} {median(big):9.1f} {max(big):9.1f} {min(small):9.1f} {median(small):9.1f} "
        f"{max(small):9.1f} {ratio:7.2f}  "
        f"{'' if aim is None else aim:>5} {len(big):5d}",
        flush=True,
    )


def give_archive(at: str | None, *, made_in: Path, students: int, lessons: int, files: str | None = None) -> Archive:
    if at is not None:
        return open_archive(at, files=files, make=False)
    archive = open_archive(made_in)
    seconds = milliseconds(partial(make_rows, archive, students=students, lessons=lessons)) / 1000
    print(f"{students} students made in {seconds:.0f} s")
    return archive


def give_lesson(folder: Path | None, *, made_in: Path) -> KeptLesson:
    if folder is None:
        clips = [f"--{view.replace('_', '-')}={PAIR / view}.mp4" for view in ("down_the_line", "face_on")]
        told = ["--height", "173cm", "--handed", "right", "--out", str(made_in)]
        subprocess.run(
            [sys.executable, "-m", "putt_posture", "measure", *clips, *told], check=True, capture_output=True
        )
    return read_result_folder(folder or made_in)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--big", help="an archive that big_archive.py made: its folder or URL")
    parser.add_argument("--big-files", help="the folder of its files, for a URL")
    parser.add_argument("--small", help="the folder of a small one that big_archive.py made")
    parser.add_argument("--only-ask", action="store_true", help="file and erase nothing")
    parser.add_argument("--lesson", type=Path, help="a result folder to file")
    parser.add_argument("--runs", type=int, default=40)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as made, ExitStack() as stack:
        home = Path(made)
        big = stack.enter_context(
            give_archive(options.big, files=options.big_files, made_in=home / "big", students=STUDENTS, lessons=LESSONS)
        )
        small = stack.enter_context(
            give_archive(options.small, made_in=home / "small", students=SMALL[0], lessons=SMALL[1])
        )
        asked = Asked(big), Asked(small)
        for name, each in zip(("big", "small"), asked, strict=True):
            with each.archive.read() as session:
                students, lessons = (
                    session.scalar(select(func.count()).select_from(row)) for row in (StudentRow, LessonRow)
                )
            print(
                f"{name} archive: {each.archive.engine.dialect.name}, {students:,} students, {lessons:,} lessons, "
                f"database {size_of(each.archive) / 1e6:,.0f} MB, most lessons of one student {each.most_lessons}"
            )
        print(
            f"{'milliseconds':28s} {'big, best':>9s} {'median':>9s} {'worst':>9s} "
            f"{'small':>9s} {'median':>9s} {'worst':>9s} "
            f"{'ratio':>7s}  {'aim':>5s} {'runs':>5s}"
        )
        ask_in_turn(*asked, runs=options.runs)
        if not options.only_ask:
            file_and_erase(big, small, give_lesson(options.lesson, made_in=home / "lesson"))
        open_alone(big, small)
        overdue = []
        for each in (big, small):
            start = time.perf_counter()
            overdue.append(find_overdue(each, today=TODAY))
            print(f"what is overdue, asked once: {time.perf_counter() - start:.1f} s")
        print(
            "overdue in big and small:",
            *(f"{len(each.students)} students, {len(each.pictures)} lessons' pictures" for each in overdue),
        )


if __name__ == "__main__":
    main()
