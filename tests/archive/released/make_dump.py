"""Write the rows of an archive of today's schema as SQL: `python tests/archive/released/make_dump.py`.

Run it once when a schema is released, before the next step is written; the file is then left alone. The archive holds
a student with two invented lessons and a practice test; the files of the lessons are not in it.
"""

import sqlite3
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[2] / "report"))

from filed import TODAY, add_player, file_one, make_lesson_of
from invented import MADE_ON, make_lesson

from putt_posture.archive import add_practice_test, open_archive
from putt_posture.archive.place import DATABASE_FILE
from putt_posture.archive.schema import HEAD
from putt_posture.report import store_lesson
from putt_posture.values import PuttCount


def set_tilt(value: float):
    def change(document):
        document["measures"]["spine_tilt"].update(value=value, low=value - 4.0, high=value + 4.0)

    return change


def main() -> None:
    with tempfile.TemporaryDirectory() as scratch:
        folder = store_lesson(make_lesson(), Path(scratch) / "report", made_on=MADE_ON)
        stored = {
            path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
        }
        place = Path(scratch) / "archive"
        with open_archive(place) as archive:
            number = add_player(archive)
            for moment, tilt in (("before", 33.0), ("after", 41.0)):
                lesson = make_lesson_of(stored, tag=moment, change=set_tilt(tilt))
                file_one(archive, number, lesson, moment=moment)
            counts = [PuttCount(distance_cm=200.0, tried=20, holed=9)]
            add_practice_test(archive, number, day=TODAY, counts=counts, today=TODAY)
        with sqlite3.connect(place / DATABASE_FILE) as database:
            Path(__file__).with_name(f"{HEAD}.sql").write_text("\n".join(database.iterdump()) + "\n", encoding="utf-8")
        database.close()


if __name__ == "__main__":
    main()
