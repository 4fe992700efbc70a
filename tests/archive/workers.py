"""What other processes do to an archive: `python workers.py WHAT ARCHIVE FILES NUMBER FOLDER` (FILES may be -)."""

import pickle
import sys
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from filed import TODAY, add_player, file_one, make_lesson_of

from putt_posture.archive import add_practice_test, erase_student, load_overview, open_archive
from putt_posture.values import PuttCount


def main() -> None:
    what, archive, files, number, folder = sys.argv[1:]
    with open_archive(archive, files=None if files == "-" else files) as opened:
        ACTS[what](opened, int(number), Path(folder))


def file_many(archive, number, folder) -> None:
    """Add a student and file three lessons, each with a clip of their own and one that everybody has."""
    stored = pickle.loads((folder / "stored.pickle").read_bytes())
    player = add_player(archive, name=f"Player {number}")
    for at in range(3):
        own = folder / f"own_{number}_{at}.mov"
        own.write_bytes(f"clip {number} {at}".encode())
        clips = {"down_the_line": own, "face_on": folder / "shared.mov"}
        lesson = make_lesson_of(stored, tag=f"{number} {at}", clips=clips)
        file_one(archive, player, lesson, clips=clips, day=date(2026, 1, 1 + at))
        counts = [PuttCount(distance_cm=200.0, tried=10, holed=5)]
        add_practice_test(archive, player, day=TODAY, counts=counts, today=TODAY)


def file_and_erase(archive, number, folder) -> None:
    """File as others do, and erase the student again."""
    file_many(archive, number, folder)
    line = next(line for line in load_overview(archive, today=TODAY, most=100).seen if line.name == f"Player {number}")
    erase_student(archive, line.number, today=TODAY, reason="asked")


def only_open(archive, number, folder) -> None:
    """Open, which sweeps, and close."""


ACTS = {"file": file_many, "erase": file_and_erase, "open": only_open}

if __name__ == "__main__":
    main()
