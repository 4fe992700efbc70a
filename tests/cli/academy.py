"""An archive that is quick to make: two students, the lessons of one, her practice test; and what a test asks of it."""

import io
import json
import shutil
import sqlite3
import sys
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))

from export_lessons import enrol, store_invented

from putt_posture.archive import (
    LessonNotes,
    add_practice_test,
    add_student,
    correct_landmark,
    file_lesson,
    find_students,
    open_archive,
)
from putt_posture.records import read_result_folder
from putt_posture.values import PuttCount, Student

TODAY = date.today()
PLAYER = "Robin [red]Example[/red]"
"""Grown up, with every consent; her number is 1 and her lessons are 1, 2 and 3."""
MINOR = "Charlie Young"
"""Number 2; nobody consented to anything."""
DAYS = (date(2026, 1, 10), date(2026, 1, 10), date(2026, 6, 20))


def make_result_folders(place: Path) -> None:
    """Store one invented lesson with its clips, ``result``, ``down_the_line.mov`` and ``face_on.mov``, and two more."""
    result = store_invented(place)
    for name, shift in (("rebuilt", 20.0), ("later", 3.0)):
        _shift(shutil.copytree(result, place / name), shift)


def make_academy(place: Path, results: Path) -> None:
    """Make the archive."""
    with open_archive(place) as archive:
        player = enrol(archive, name=PLAYER, born=date(1990, 5, 17))
        add_student(archive, Student(name=MINOR, stature_cm=150.0, handed="left"), today=TODAY, born=date(2016, 2, 29))
        assert [each.number for each in find_students(archive, "e")] == [player]
        lessons = zip(("result", "rebuilt", "later"), ("before", "after", "check"), DAYS, strict=True)
        for name, moment, day in lessons:
            clips = {view: results / f"{view}.mov" for view in ("down_the_line", "face_on")} if name == "result" else {}
            notes = LessonNotes(place="Studio", coach="Kim [bold]Coach", limits="a stiff back") if clips else None
            file_lesson(
                archive, player, read_result_folder(results / name), day=day, moment=moment, today=TODAY, clips=clips,
                notes=notes,
            )  # fmt: skip
        counts = [PuttCount(distance_cm=91.44, tried=20, holed=19), PuttCount(distance_cm=304.8, tried=20, holed=8)]
        add_practice_test(archive, player, day=DAYS[0], counts=counts, today=TODAY, note="[i]slow")
        correct_landmark(
            archive, 1, view="face_on", frame=1, landmark="left_hip", point_px=(500.0, 900.0), made_by="Kim",
            today=TODAY,
        )  # fmt: skip


def find_academy(made_once) -> Path:
    """Return the archive of `make_academy`, made once in a run; it is copied for each test."""
    results = made_once("results", make_result_folders)
    return made_once("academy", lambda place: make_academy(place / "archive", results)) / "archive"


def contents_of(place: Path) -> str:
    """Return all rows of an archive and the names of its files, to see that nothing changed."""
    database = place / "archive.sqlite"
    if not database.exists():
        return ""
    connection = sqlite3.connect(database)
    try:
        rows = "\n".join(connection.iterdump())
    finally:
        connection.close()
    return rows + "\n".join(sorted(path.as_posix() for path in (place / "files").rglob("*")))


class Terminal(io.StringIO):
    """A terminal at which somebody types this."""

    def isatty(self) -> bool:
        return True


def _shift(folder: Path, by: float) -> None:
    path = folder / "measures.json"
    document = json.loads(path.read_text(encoding="utf-8"))
    entry = document["measures"]["spine_tilt"]
    entry.update({name: entry[name] + by for name in ("value", "low", "high")})
    path.write_text(json.dumps(document), encoding="utf-8")
