"""Write the dump of an archive as the newest schema makes it; run it once, when a schema is released.

    python tests/archive/db/released/make_released.py

It writes ``NNNN.sql`` beside itself, which is never changed again: later programs must bring it forward. Its students
and lessons are invented. The files of the lessons are not in it.
"""

import sqlite3
import sys
import tempfile
from contextlib import closing
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[3]))

from filed import TODAY, add_player, file_one, make_clips, make_lesson_of
from invented import MADE_ON, make_lesson

from putt_posture.archive import (
    LessonNotes,
    add_practice_test,
    change_settings,
    change_student,
    correct_landmark,
    erase_student,
    open_archive,
    withdraw_consent,
)
from putt_posture.archive.db.schema import HEAD
from putt_posture.archive.place import DATABASE_FILE
from putt_posture.pages import store_lesson
from putt_posture.values import PuttCount

HERE = Path(__file__).parent


def main():
    goal = HERE / f"{HEAD}.sql"
    if goal.exists():
        raise SystemExit(f"{goal} is there already. What was released is not changed.")
    with tempfile.TemporaryDirectory() as spare:
        folder = Path(spare)
        with open_archive(folder / "archive") as archive:
            fill(archive, folder)
        with closing(sqlite3.connect(folder / "archive" / DATABASE_FILE)) as connection:
            goal.write_text("\n".join(connection.iterdump()) + "\n", encoding="utf-8")
    print(f"{goal}: {goal.stat().st_size / 1e3:.0f} kB")


def fill(archive, folder):
    """Put something into every table that is not of the moment."""
    result = store_lesson(make_lesson(), folder / "result", made_on=MADE_ON)
    stored = {path.relative_to(result).as_posix(): path.read_bytes() for path in result.rglob("*") if path.is_file()}
    first = add_player(archive, notes="Comes on Tuesdays.")
    second = add_player(archive, name="Zoë O'Putt", born=date(2012, 2, 29), guardian="A. Guardian")
    gone = add_player(archive, name="Somebody Gone")
    clips = make_clips(folder / "clips", "released")
    notes = LessonNotes(
        place="green",
        coach="Coach One",
        notes="long",
        misses="left",
        weak_putts="short",
        putter_story="a gift",
        limits="stiff back",
    )
    for at, (moment, shift) in enumerate((("before", 0.0), ("after", 12.0), ("check", 3.0))):
        lesson = make_lesson_of(stored, tag=moment, shift=shift, clips=clips)
        day = date(2026, 3 + at, 1)
        number = file_one(archive, first, lesson, day=day, moment=moment, notes=notes, clips=clips)
    file_one(archive, second, make_lesson_of(stored, tag="second"), pictures=False)
    correct_landmark(
        archive, number, view="face_on", frame=1, landmark="left_hip", point_px=(500.25, 900.75), made_by="Coach One",
        today=TODAY,
    )  # fmt: skip
    counts = [PuttCount(distance_cm=91.44, tried=20, holed=19), PuttCount(distance_cm=304.8, tried=20, holed=8)]
    add_practice_test(archive, first, day=date(2026, 5, 2), counts=counts, today=TODAY, note="windy")
    withdraw_consent(archive, second, scopes=["faces"], on=TODAY)
    change_student(archive, second, today=TODAY, keep_until=date(2030, 1, 1))
    change_settings(archive, revisit_weeks=6)
    erase_student(archive, gone, today=TODAY, reason="asked")


if __name__ == "__main__":
    main()
