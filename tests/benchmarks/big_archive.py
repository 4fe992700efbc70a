"""Make an archive of invented students as large as an academy's may become.

Run it with a folder that is not there yet, or an empty database::

    python tests/benchmarks/big_archive.py FOLDER
    python tests/benchmarks/big_archive.py postgresql://user@host/name --files FOLDER
    python tests/benchmarks/big_archive.py FOLDER --students 50 --lessons 435
    python tests/benchmarks/big_archive.py FOLDER --students 50000 --lessons 400000 --copies 20 --lean

The rows are those of lessons that were measured and filed: measures, clips, setups, landmarks, fits, names of files,
consents, practice tests, summaries. The files themselves are not made, so `check_archive` names each as missing and
nothing else; `--no-file-rows` leaves their rows out as well. `--copies 20` draws a twentieth of the students and copies
the rows of each within the database (`copied_students`), which takes a tenth of the time; `--lean` leaves out landmarks
and digests of rows, which no question of `archive_queries.py` reads. The same seed makes the same archive.
"""

import argparse
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
from copied_students import DRAWN, copy_students
from invented_names import Names
from invented_setups import METHOD_VERSION, Setups
from sqlalchemy import func, insert, select, text
from sqlalchemy.orm import Session

from putt_posture.archive import SCOPES, Archive, open_archive
from putt_posture.archive.db.row_digests import settle_all
from putt_posture.archive.db.tables import Base, StudentRow, SummaryRow
from putt_posture.archive.db.texts import name_key, name_words
from putt_posture.archive.lessons.histories import find_summary, update_summary
from putt_posture.club_spec import find_club_spec
from putt_posture.documents.lesson_json import spec_as_json
from putt_posture.records import shows_student
from putt_posture.units import CM_PER_INCH
from putt_posture.values import VIEWS, Estimate, Fit, Moment, Student

STUDENTS = 5_000
LESSONS = 43_500
"""With 23 measures each a little over a million."""
SEED = 5
TODAY = date(2026, 11, 25)

_DAYS = 6 * 365
"""How long the academy has kept its archive."""
_PICTURES_DAYS, _STUDENT_DAYS = 760, 1855
"""A month more than pictures and students are kept, so that a month of them is overdue."""
_AT_ONCE = 100
"""Students a transaction."""
_CHECKED = 100
"""Summaries that are calculated again at the end."""
_FRAMES = 5
_FILES = {
    "landmarks.npz": 1_000_000, "measures.csv": 10_400, "measures.json": 51_500, "report.html": 1_340_000,
    "report.pdf": 990_000, "spec_sheet.html": 8_500, "spec_sheet.json": 3_500, "spec_sheet.pdf": 37_000,
    "stills/arc.svg": 30_000, "stills/curves.svg": 60_000, "stills/down_the_line.png": 700_000,
    "stills/down_the_line_plain.jpg": 90_000, "stills/face_on.png": 650_000, "stills/face_on_plain.jpg": 90_000,
    "stills/ghost.png": 400_000,
}  # fmt: skip
_CLIPS = {"clips/down_the_line.mp4": 18_000_000, "clips/face_on.mp4": 18_000_000}
_SHOWN = {name: shows_student(name) for name in (*_FILES, *_CLIPS)}
_DISTANCES_CM = (90.0, 150.0, 210.0, 300.0, 450.0, 600.0)
_MISSES = ("", "short ones to the right", "from 2 m to the left, never short", "both ways, mostly under pressure")
_STORIES = ("", "came with the set", "a birthday present, never fitted", "chosen by its look in the shop")
_LIMITS = ("", "", "", "stiff lower back in the morning", "left knee does not like to bend")

Rows = dict[str, list[dict[str, Any]]]


def make_rows(
    archive: Archive,
    *,
    students: int = STUDENTS,
    lessons: int = LESSONS,
    seed: int = SEED,
    today: date = TODAY,
    file_rows: bool = True,
    copies: int = 1,
    lean: bool = False,
    progress: Callable[[str, float], None] = lambda what, share: None,
) -> dict[str, int]:
    """Fill an empty archive; return how many rows each table has then."""
    with archive.read() as session:
        if session.scalar(select(StudentRow.id).limit(1)) is not None:
            raise SystemExit(f"The archive {archive.place.title} has students already. Give an empty one.")
    academy = _Academy(np.random.default_rng(seed), today=today, file_rows=file_rows, landmarks=not lean)
    students, lessons = students // copies, lessons // copies
    counts = academy.share_out(lessons, students)
    for start in range(0, students, _AT_ONCE):
        numbers = range(start + 1, min(start + _AT_ONCE, students) + 1)
        rows: Rows = defaultdict(list)
        for number in numbers:
            academy.add_student(rows, number, lessons=int(counts[number - 1]))
        with archive.write() as session:
            _insert(session, rows)
            for number in numbers:
                update_summary(session, number)
        progress("students and lessons", numbers[-1] / students)
    copy_students(archive, times=copies, seed=seed, progress=progress)
    with archive.write() as session:
        _follow_numbers(session)
        if not lean:
            settle_all(session.connection())
        return {
            table.name: session.scalar(select(func.count()).select_from(table)) or 0
            for table in Base.metadata.sorted_tables
        }


def check_summaries(archive: Archive, *, most: int = _CHECKED, seed: int = SEED) -> tuple[int, int]:
    """Calculate some summaries again, drawn at random; return how many were looked at and how many agree."""
    with archive.read() as session:
        numbers = list(session.scalars(select(StudentRow.id).order_by(StudentRow.id)))
        drawn = np.random.default_rng(seed).permutation(numbers)[:most]
        agree = 0
        for number in drawn.tolist():
            kept, now = session.get(SummaryRow, number), find_summary(session, number)
            agree += (kept and (kept.lessons, kept.last_day, kept.drifts)) == (
                now and (now.lessons, now.last_day, now.drifts)
            )
        return len(drawn), agree


class _Academy:
    """Draws one student after the other with all their rows."""

    def __init__(self, rng: np.random.Generator, *, today: date, file_rows: bool, landmarks: bool) -> None:
        self._rng, self._today, self._file_rows, self._landmarks = rng, today, file_rows, landmarks
        self._names, self._setups = Names(rng), Setups(rng)
        self._points = [each.astype("<f4").tobytes() for each in rng.uniform(0, 1900, (64, 33, 3))]
        self._lesson = self._clip = self._test = 0

    def share_out(self, lessons: int, students: int) -> np.ndarray:
        """Return how many lessons each student has: few have many, some none yet."""
        weights = self._rng.lognormal(0, 0.8, students) * (self._rng.random(students) > 0.03)
        return self._rng.multinomial(lessons, weights / weights.sum())

    def add_student(self, rows: Rows, number: int, *, lessons: int) -> None:
        rng, name = self._rng, self._names.draw()
        since_days = int(rng.integers(30, _DAYS))
        quiet = rng.exponential(150) if rng.random() < 0.6 else rng.uniform(0, since_days)
        last_days = min(int(quiet), since_days, _STUDENT_DAYS)
        since, keep_until = self._today - timedelta(days=since_days), None
        if rng.random() < 0.01:
            keep_until = self._today + timedelta(days=int(rng.integers(-20, 900)))
        minor = rng.random() < 0.15
        born = since - timedelta(days=int(rng.uniform(9, 16.5) * 365.25 if minor else rng.uniform(19, 75) * 365.25))
        adult = not minor and rng.random() < 0.4
        sex = str(rng.choice(["male", "female"]))
        student = Student(
            name=name,
            stature_cm=round(float(rng.normal(176 if sex == "male" else 164, 7)), 1),
            handed="right" if rng.random() < 0.92 else "left",
            sex="male" if sex == "male" else "female",
            wrist_floor_cm=round(float(rng.normal(82, 3)), 1) if rng.random() < 0.3 else None,
        )
        rows["students"].append(
            {
                "id": number, "name": name, "name_key": name_key(name), "born": None if adult else born,
                "adult": adult, "handed": student.handed, "stature_cm": student.stature_cm, "sex": student.sex,
                "wrist_floor_cm": student.wrist_floor_cm, "notes": "", "since": since,
                "keep_until": keep_until,
            }
        )  # fmt: skip
        rows["name_words"] += [{"word": word, "student_id": number} for word in sorted(name_words(name))]
        pictures = self._add_consents(rows, number, name, since=since, minor=minor)
        days = sorted(rng.integers(last_days, since_days + 1, lessons).tolist(), reverse=True)
        if days:
            days[-1] = last_days
        self._add_lessons(rows, number, student, days=days, pictures=pictures)
        if rng.random() < 0.3:
            self._add_practice(rows, number, first=since_days, last=last_days)

    def _add_consents(self, rows: Rows, number: int, name: str, *, since: date, minor: bool) -> bool:
        """Add the consents; return whether pictures may be kept."""
        missing = {2: {"pictures", "faces"}, 1: {"faces"}}.get(int(self._rng.choice(3, p=[0.84, 0.11, 0.05])), set())
        withdrawn = self._today - timedelta(days=int(self._rng.integers(1, 20)))
        gone = {"pictures", "faces"} if self._rng.random() < 0.005 and withdrawn > since else set()
        giver = f"{self._names.draw()}" if minor else name
        for scope in SCOPES:
            if scope not in missing:
                rows["consents"].append(
                    {
                        "student_id": number, "scope": scope, "given_on": since, "given_by": giver,
                        "relation": "guardian" if minor else "self",
                        "withdrawn_on": withdrawn if scope in gone else None, "note": "signed form",
                    }
                )  # fmt: skip
        return "pictures" not in missing

    def _add_lessons(self, rows: Rows, number: int, student: Student, *, days: list[int], pictures: bool) -> None:
        moments = list(self._moments(len(days)))
        setups = self._rng.choice([1, 2, 3], len(days), p=[0.5, 0.2, 0.3]).tolist()
        current = float(self._rng.choice([33, 34, 35])) * CM_PER_INCH
        wanted = float(self._rng.normal(85, 2.5))
        for at, measures in enumerate(self._setups.draw(moments, setups)):
            if moments[at] == "after":
                days[at], current = days[at - 1], round(wanted * 2 / CM_PER_INCH) / 2 * CM_PER_INCH
            self._lesson += 1
            document = self._digest()
            rows["lessons"].append(self._lesson_row(number, student, days[at], moments[at], current, document))
            rows["measures"] += [{"lesson_id": self._lesson, **each} for each in measures]
            rows["fits"].append(self._fit_row(student, current, wanted))
            self._add_views(rows, setups[at])
            if self._file_rows:
                self._add_files(rows, document, pictures=pictures and days[at] <= _PICTURES_DAYS)

    def _moments(self, count: int) -> Iterator[Moment]:
        """Yield rounds of before, after and some checks."""
        left = count
        while left > 0:
            checks = int(self._rng.integers(1, 5))
            turn: list[Moment] = ["before", "after", *(["check"] * checks)]
            yield from turn[:left]
            left -= len(turn)

    def _lesson_row(
        self, number: int, student: Student, days: int, moment: Moment, current: float, document: str
    ) -> dict[str, Any]:
        rng = self._rng
        return {
            "id": self._lesson, "student_id": number, "day": self._today - timedelta(days=days), "moment": moment,
            "place": str(rng.choice(["practice green", "indoor studio"])), "coach": f"Coach {rng.integers(1, 9)}",
            "notes": "Ball nearer, hands under the shoulders; to be tried for two weeks." * (moment != "check"),
            "misses": str(rng.choice(_MISSES)), "putter_story": str(rng.choice(_STORIES)),
            "limits": str(rng.choice(_LIMITS)), "stature_cm": student.stature_cm, "handed": student.handed,
            "sex": student.sex, "wrist_floor_cm": student.wrist_floor_cm, "putter_length_cm": current,
            "putter_lie_deg": None, "document": document,
            "versions": {"putt_posture": "0.1.0", "python": "3.11.7", "av": "18.1.0", "mediapipe": "1.2.3",
                         "numpy": "2.4.6", "scipy": "1.17.1", "weights": METHOD_VERSION.partition("; ")[2]},
            "warnings": [],
        }  # fmt: skip

    def _fit_row(self, student: Student, current: float, wanted: float) -> dict[str, Any]:
        length = Estimate(value=wanted + float(self._rng.normal(0, 0.8)), standard_uncertainty=2.4, unit="cm",
                          method="jointed body model in the wanted setup")  # fmt: skip
        lie = Estimate(value=float(self._rng.normal(71, 1.5)), standard_uncertainty=2.1, unit="deg",
                       method="lie of the jointed body model in the wanted setup")  # fmt: skip
        stock = round(length.value * 2 / CM_PER_INCH) / 2
        spec = find_club_spec(
            Fit(putter_length=length, stock_length_in=stock, lie=lie),
            Student(stature_cm=student.stature_cm, handed=student.handed, putter_length_cm=current),
        )
        return {
            "lesson_id": self._lesson, "length_cm": length.value, "length_sd_cm": length.standard_uncertainty,
            "length_absent": None, "stock_length_in": stock, "lie_deg": lie.value,
            "lie_sd_deg": lie.standard_uncertainty, "lie_absent": None, "spec": spec_as_json(spec),
        }  # fmt: skip

    def _add_views(self, rows: Rows, setups: int) -> None:
        rng = self._rng
        for view in VIEWS:
            self._clip += 1
            scale, roll, yaw, away = rng.normal((4.2, 0, 0, 400), (0.2, 0.5, 2, 50)).tolist()
            rows["clips"].append(
                {
                    "id": self._clip, "lesson_id": self._lesson, "view": view, "file": f"{view}.mp4",
                    "sha256": self._digest(), "kind": "video", "width": 1080, "height": 1920,
                    "scale_source": str(rng.choice(["stature", "putter"])), "px_per_cm": scale, "px_per_cm_sd": 0.08,
                    "roll_deg": roll, "yaw_deg": yaw, "distance_cm": away,
                }
            )  # fmt: skip
            for setup in range(setups):
                begin = 0.3 + 6 * setup
                rows["setups"].append(
                    {
                        "clip_id": self._clip, "number": setup, "moment_s": begin + 0.4, "starts_s": begin,
                        "ends_s": begin + 1.5, "chosen_by": "finder",
                        "reason": f"Still for 1.9 s before the stroke that starts at {begin + 1.7:.1f} s.",
                    }
                )  # fmt: skip
                rows["landmarks"] += [
                    {
                        "clip_id": self._clip, "frame": _FRAMES * setup + frame, "setup": setup,
                        "time_s": begin + 0.2 * frame, "points": self._points[(self._clip + frame) % len(self._points)],
                    }
                    for frame in range(_FRAMES * self._landmarks)
                ]  # fmt: skip

    def _add_files(self, rows: Rows, document: str, *, pictures: bool) -> None:
        sizes = _FILES | (_CLIPS if pictures and self._rng.random() < 0.6 else {})
        for name, usual in sizes.items():
            shown = _SHOWN[name]
            if shown and not pictures:
                continue
            digest = document if name == "measures.json" else self._digest()
            rows["files"].append({"digest": digest, "size": int(usual * self._rng.uniform(0.8, 1.3))})
            rows["lesson_files"].append(
                {"lesson_id": self._lesson, "name": name, "digest": digest, "shows_student": shown}
            )

    def _add_practice(self, rows: Rows, number: int, *, first: int, last: int) -> None:
        rng = self._rng
        skill = rng.uniform(120, 260)
        for days in rng.integers(last, first + 1, int(rng.integers(1, 7))).tolist():
            self._test += 1
            rows["practice_tests"].append(
                {"id": self._test, "student_id": number, "day": self._today - timedelta(days=days), "note": ""}
            )
            for distance in _DISTANCES_CM[: int(rng.integers(3, 7))]:
                holed = int(rng.binomial(10, min(0.98, skill / (skill + distance))))
                rows["putts"].append({"test_id": self._test, "distance_cm": distance, "tried": 10, "holed": holed})

    def _digest(self) -> str:
        return DRAWN + self._rng.bytes(31).hex()


def _insert(session: Session, rows: Rows) -> None:
    connection = session.connection()
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("PRAGMA cache_size = -500000")  # digests come in no order; this connection only
    for table in Base.metadata.sorted_tables:
        if rows[table.name]:
            connection.execute(insert(table), rows[table.name])


def _follow_numbers(session: Session) -> None:
    """Let PostgreSQL count on from the numbers that were given here; SQLite does by itself."""
    if session.get_bind().dialect.name == "postgresql":
        for name in ("students", "lessons", "clips", "practice_tests"):
            session.execute(text(f"SELECT setval(pg_get_serial_sequence('{name}', 'id'), max(id)) FROM {name}"))
        session.execute(text("ANALYZE"))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("archive", help="a folder that is not there yet, or a postgresql:// URL")
    parser.add_argument("--files", help="folder of the files, for a URL")
    parser.add_argument("--students", type=int, default=STUDENTS)
    parser.add_argument("--lessons", type=int, default=LESSONS)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--no-file-rows", action="store_true", help="leave out the rows of files")
    parser.add_argument("--copies", type=int, default=1, help="draw one in so many students, and copy the others")
    parser.add_argument("--lean", action="store_true", help="leave out landmarks and digests of rows")
    options = parser.parse_args()
    start = time.perf_counter()

    def show(what: str, share: float) -> None:
        print(f"\r{what} {share:4.0%}, {time.perf_counter() - start:.0f} s", end="", file=sys.stderr, flush=True)

    with open_archive(options.archive, files=options.files) as archive:
        rows = make_rows(
            archive, students=options.students, lessons=options.lessons, seed=options.seed,
            file_rows=not options.no_file_rows, copies=options.copies, lean=options.lean, progress=show,
        )  # fmt: skip
        seconds = time.perf_counter() - start
        print(file=sys.stderr)
        for name, count in rows.items():
            print(f"{name:16s} {count:9,d}")
        looked, agree = check_summaries(archive)
        print(f"made in {seconds:.0f} s; summaries calculated again: {agree} of {looked} agree")
        if archive.place.folder is not None:
            size = sum(path.stat().st_size for path in Path(archive.place.folder).glob("archive.sqlite*"))
            print(f"database {size / 1e6:,.0f} MB")


if __name__ == "__main__":
    main()
