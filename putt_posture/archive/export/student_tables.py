"""Tables of a student for a spreadsheet, and a zip with the same bytes for the same content.

No text in them is a formula, unless it is asked for as it was typed; ``student.json`` has it untouched.
"""

import hashlib
import zipfile
from collections.abc import Sequence
from datetime import date
from pathlib import PurePosixPath
from typing import IO, Any, Final

from attrs import frozen

from putt_posture.archive.db.copying import Rows
from putt_posture.archive.db.rows import as_estimate
from putt_posture.archive.db.tables import MeasureRow
from putt_posture.documents.tables import rows_as_csv
from putt_posture.measures import RECORDS

__all__ = ["Entry", "ZipWriter", "measures_as_csv", "practice_as_csv"]

_MARK: Final = "\ufeff"
"""The mark by which spreadsheets recognise UTF-8."""
_MEASURES: Final = (
    "day", "lesson", "moment", "measure", "title", "value", "standard_uncertainty", "low", "high", "unit", "view",
    "frames", "method", "absent",
)  # fmt: skip
_PRACTICE: Final = ("day", "test", "distance_cm", "tried", "holed", "note")
_CHUNK: Final = 1 << 20
_PACKED: Final = frozenset({".csv", ".html", ".json", ".svg", ".txt"})
"""Files that are worth compressing; pictures and clips are not."""
_FIRST_YEAR: Final = 1980
"""The earliest day that a zip can hold."""
_MADE_ON_UNIX: Final = 3


@frozen(kw_only=True)
class Entry:
    """A file in the zip: where it is, how many bytes it has, and their SHA-256, hexadecimal."""

    place: str
    size: int
    digest: str


@frozen
class ZipWriter:
    """A zip that is being written into a file."""

    out: zipfile.ZipFile

    def write(self, path: str, source: IO[bytes], *, day: date, size: int) -> Entry:
        """Write the rest of a stream.

        Parameters
        ----------
        path : str
            Its path in the zip, with forward slashes.
        source : binary stream
            Open for reading.
        day : date
            What the entry is dated.
        size : int
            How many bytes to expect.
        """
        info = zipfile.ZipInfo(path, (max(day.year, _FIRST_YEAR), day.month, day.day, 0, 0, 0))
        info.compress_type = zipfile.ZIP_DEFLATED if PurePosixPath(path).suffix in _PACKED else zipfile.ZIP_STORED
        info.create_system = _MADE_ON_UNIX
        info.file_size = size  # so that a clip beyond 2 GB gets the room that it needs
        found, written = hashlib.sha256(), 0
        with self.out.open(info, "w") as target:
            while chunk := source.read(_CHUNK):
                found.update(chunk)
                written += target.write(chunk)
        return Entry(place=path, size=written, digest=found.hexdigest())


def measures_as_csv(rows: Rows, *, raw_text: bool = False) -> str:
    """Return one line for each measure of each lesson, in the order of time and then of the report.

    Parameters
    ----------
    rows : Rows
        Of one student, by table.
    raw_text : bool
        Whether each text stays as typed, though a spreadsheet may take it for a formula.
    """
    lessons = {row["id"]: row for row in rows["lessons"]}
    places = {name: place for place, name in enumerate(RECORDS)}

    def when(row: dict[str, Any]) -> tuple[Any, ...]:
        name = row["name"]
        return lessons[row["lesson_id"]]["day"], row["lesson_id"], places.get(name, len(places)), name

    lines = (_as_line(row, lessons[row["lesson_id"]]) for row in sorted(rows["measures"], key=when))
    return _MARK + rows_as_csv(_MEASURES, lines, raw_text=raw_text)


def practice_as_csv(rows: Rows, *, raw_text: bool = False) -> str:
    """Return one line for each length of each practice test, in the order of time.

    Parameters
    ----------
    rows : Rows
        Of one student, by table.
    raw_text : bool
        Whether each text stays as typed, though a spreadsheet may take it for a formula.
    """
    tests = {row["id"]: row for row in rows["practice_tests"]}
    putts = sorted(rows["putts"], key=lambda row: (tests[row["test_id"]]["day"], row["test_id"], row["distance_cm"]))
    return _MARK + rows_as_csv(
        _PRACTICE,
        (
            [tests[row["test_id"]]["day"], row["test_id"], row["distance_cm"], row["tried"], row["holed"],
             tests[row["test_id"]]["note"]]
            for row in putts
        ),
        raw_text=raw_text,
    )  # fmt: skip


def _as_line(row: dict[str, Any], lesson: dict[str, Any]) -> Sequence[Any]:
    estimate = as_estimate(MeasureRow(**row))
    numbers = [estimate.value, estimate.standard_uncertainty, estimate.low, estimate.high] if estimate else [None] * 4
    name = row["name"]
    title = RECORDS[name].title if name in RECORDS else name
    about = [row["unit"], row["view"], row["frames"], row["method"], row["absent"]]
    return [lesson["day"], lesson["id"], lesson["moment"], name, title, *numbers, *about]
