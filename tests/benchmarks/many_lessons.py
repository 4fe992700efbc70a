"""What a batch costs besides its lessons, how it grows with workers, and what it survives. Nothing here is a test.

    python tests/benchmarks/many_lessons.py killed --lessons 1000 --poisoned 5 --kill-every 20
    python tests/benchmarks/many_lessons.py workers --lessons 20
    python tests/benchmarks/many_lessons.py memory --lessons 200
    python tests/benchmarks/many_lessons.py again --lessons 1000 --from-clips 4

``killed`` runs small lessons, whose jobs give files that were made before; they are prepared, run in processes and
filed like any other. The rest measures stills of a rendered golfer, or the sample clips with ``--clips``. A clip gets a
few more bytes at its end for each lesson, so that no two are the same. Times of one run are compared with each other,
as other programs may be running.
"""

import argparse
import json
import shutil
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))
sys.path.insert(0, str(Path(__file__).parents[1] / "batch"))

from filed import TODAY, add_player
from invented import MADE_ON, make_lesson
from killed_run import KilledRun
from timed_lessons import read_log, timing

from putt_posture.archive import file_lesson, open_archive
from putt_posture.batch import BatchLesson, Ledger, find_work_folder, open_executor, read_archive, run_batch
from putt_posture.pages import store_lesson
from putt_posture.records import read_result_files
from putt_posture.services import LessonJob
from putt_posture.values import Student

ROOT = Path(__file__).resolve().parents[2]
STILLS = {
    view: ROOT / "tests" / "landmarks" / "pictures" / f"golfer_{view}.jpg" for view in ("down_the_line", "face_on")
}
CLIPS = {view: ROOT / "sample_clips" / "before" / f"{view}.mp4" for view in ("down_the_line", "face_on")}
PUTTER_CM = 88.9
EARLIER = "0.0.9"
"""A version that no program has, so that every lesson is filed once more."""


def killed(folder: Path, given: argparse.Namespace) -> None:
    """Run small lessons with poisoned ones among them, and kill a worker again and again."""
    result = store_lesson(make_lesson(), folder / "report", made_on=MADE_ON)
    stored = {path.relative_to(result).as_posix(): path.read_bytes() for path in result.rglob("*") if path.is_file()}
    kinds = ("crash", "hang", "eat", "crash", "eat")
    places = range(given.lessons // (given.poisoned + 1), given.lessons, given.lessons // (given.poisoned + 1))
    poisoned = {at: kinds[number % len(kinds)] for number, at in enumerate(list(places)[: given.poisoned])}
    limits = {"seconds": given.limit, "memory_mb": 900.0}
    run = KilledRun(folder, stored, count=given.lessons, poisoned=poisoned, limits=limits, takes_s=given.takes)
    began = time.monotonic()
    told, ended = run.run(worker_every_s=given.kill_every)
    print(f"{given.lessons} lessons, {len(poisoned)} poisoned: {time.monotonic() - began:.0f} s, ended well: {ended}")
    print(f"workers killed: {run.killed}; states: {dict(Counter(state for state, *_ in told.values()))}")
    print(f"in the archive: {len(run.filed())}; results left in the work folder: {len(run.left())}")
    for where in sorted(run.poisoned, key=int):
        print(f"  lesson {where}: {told[where]}")


def workers(folder: Path, given: argparse.Namespace) -> None:
    """Measure the same number of lessons on one worker and on two, turn about."""
    rates: dict[int, list[float]] = {1: [], 2: []}
    for turn in range(given.turns):
        for count in (1, 2) if turn % 2 == 0 else (2, 1):
            place = folder / f"{turn} {count}"
            rates[count].append(_measure(place, given.lessons, workers=count, sources=_sources(given)))
    best = {count: max(found) for count, found in rates.items()}
    print(f"two workers do {best[2] / best[1]:.2f} times what one does (best of {given.turns} turns each)")


def memory(folder: Path, given: argparse.Namespace) -> None:
    """Measure many lessons in one worker, and print the memory of its processes."""
    _measure(folder / "memory", given.lessons, workers=1, sources=_sources(given))
    lines = read_log(folder / "memory" / "log")
    marks = sorted({1, 2, 5, 10, 20, 50, 100, 150, 200, len(lines)} & set(range(1, len(lines) + 1)))
    print("memory of a worker after so many lessons, MB:", {mark: round(lines[mark - 1]["mb"]) for mark in marks})
    print(f"the most after any lesson: {max(line['mb'] for line in lines):.0f} MB")


def again(folder: Path, given: argparse.Namespace) -> None:
    """Measure kept lessons without clips again, and a few from clips; both in one worker, one after the other."""
    with open_archive(folder / "archive") as archive:
        student = Student(stature_cm=178.0, handed="right", sex="female", putter_length_cm=PUTTER_CM)
        files = dict(LessonJob(student=student, clips=_sources(given), made_on=TODAY).run().files)
        document = json.loads(files["measures.json"])
        document["versions"]["putt_posture"] = EARLIER
        for number in range(given.lessons):
            document["warnings"] = [f"This is lesson {number}."]
            files["measures.json"] = json.dumps(document, ensure_ascii=False).encode()
            kept = read_result_files(files, title="kept")
            file_lesson(archive, add_player(archive), kept, day=TODAY, moment="before", today=TODAY)
        print(f"{given.lessons} lessons are kept, without clips", flush=True)
    cost = {"clips": _measure(folder / "clips", given.from_clips, workers=1, sources=_sources(given))}
    with open_archive(folder / "archive") as archive:
        lessons = read_archive(archive, older_than="0.0.10")
        cost["kept"] = _time(archive, lessons, folder / "archive", workers=1)
        after = len(read_archive(archive))
    print(f"again is {cost['kept'] / cost['clips']:.1f} times cheaper than from clips by the clock; {after} lessons")
    cpu = {name: [line["cpu_s"] for line in read_log(folder / place / "log")] for name, place in
           (("clips", "clips"), ("kept", "archive"))}  # fmt: skip
    mean = {name: sum(found) / len(found) for name, found in cpu.items()}
    print(f"processor time of a job: {mean['clips']:.1f} s from clips, {mean['kept']:.2f} s again, "
          f"{mean['clips'] / mean['kept']:.1f} times less")  # fmt: skip


def _sources(given: argparse.Namespace) -> dict[str, Path]:
    return CLIPS if given.clips else STILLS


def _measure(folder: Path, count: int, *, workers: int, sources: dict[str, Path]) -> float:
    """Measure and file lessons, each of a student of its own; return how many a second."""
    folder.mkdir(parents=True)
    with open_archive(folder / "archive") as archive:
        lessons = []
        for at in range(count):
            clips = {view: folder / f"{at}_{view}{path.suffix}" for view, path in sources.items()}
            for view, path in clips.items():
                shutil.copyfile(sources[view], path)
                with path.open("ab") as stream:
                    stream.write(b"%d" % at)
            lessons.append(
                BatchLesson(
                    where=str(at), student=add_player(archive), moment="before", clips=clips, day=TODAY,
                    putter_length_cm=PUTTER_CM,
                )
            )  # fmt: skip
        return _time(archive, lessons, folder, workers=workers)


def _time(archive, lessons, folder: Path, *, workers: int) -> float:
    log = folder / "log"
    with Ledger(find_work_folder(archive.place)) as ledger, open_executor(workers=workers) as pool:
        began, used = time.monotonic(), time.process_time()
        run = run_batch(archive, lessons, ledger=ledger, pool=pool, today=TODAY, begin=timing(log))
        first = next(run)  # the workers have started and loaded their models
        ready, ready_used = time.monotonic(), time.process_time()
        outcomes = [first, *run]
        took, used = time.monotonic() - ready, time.process_time() - ready_used
    lines = read_log(log)
    states = dict(Counter(each.state for each in outcomes))
    jobs = sum(line["cpu_s"] for line in lines[1:])
    busy = sum(line["s"] for line in lines[1:]) / (took * workers)
    print(
        f"{len(outcomes)} lessons, {workers} at once: {states}; {ready - began:.1f} s to the first, then "
        f"{took / max(1, len(outcomes) - 1):.2f} s a lesson; workers were busy {100 * busy:.1f} % of it; the leading "
        f"process took {100 * used / jobs:.1f} % of the processor time of the jobs",
        flush=True,
    )
    return (len(outcomes) - 1) / took


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=("killed", "workers", "memory", "again"))
    parser.add_argument("--lessons", type=int, default=20)
    parser.add_argument("--poisoned", type=int, default=5)
    parser.add_argument("--kill-every", type=float, default=20.0, metavar="S")
    parser.add_argument("--takes", type=float, default=0.2, metavar="S", help="how long a small lesson takes")
    parser.add_argument("--limit", type=float, default=60.0, metavar="S")
    parser.add_argument("--turns", type=int, default=2)
    parser.add_argument("--from-clips", type=int, default=4)
    parser.add_argument("--clips", action="store_true", help="the sample clips instead of stills")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        globals()[given.what](Path(folder), given)


if __name__ == "__main__":
    main()
