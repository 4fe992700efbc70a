"""What became of each lesson of a batch, as a table for a spreadsheet."""

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from putt_posture.batch.running import BatchOutcome
from putt_posture.disk.folders import check_file, fresh_file
from putt_posture.documents.tables import disarm

__all__ = ["check_table", "write_table"]

_COLUMNS = ("where", "student", "state", "lesson", "tries", "says")


def check_table(path: Path) -> None:
    """Check, before any long work, that the table can be written to its place.

    Parameters
    ----------
    path : Path

    Raises
    ------
    OutputError
        If another file is there, or its folder cannot be written.
    """
    check_file(path, replace=True, what="table", is_own=_is_own)


def write_table(outcomes: Iterable[BatchOutcome], path: Path) -> None:
    """Write the table as CSV in UTF-8, whole or not at all; an older one is replaced.

    Parameters
    ----------
    outcomes : iterable of BatchOutcome
    path : Path

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(_COLUMNS)
    for each in outcomes:
        cells = (each.where, each.student or "", each.state, each.lesson or "", each.tries, each.says)
        writer.writerow(map(disarm, cells))
    with fresh_file(path, replace=True, what="table", private=True, is_own=_is_own) as stream:
        stream.write(text.getvalue().encode("utf-8-sig"))


def _is_own(path: Path) -> bool:
    with path.open("rb") as stream:
        return stream.readline(200).decode("utf-8-sig", "replace").strip() == ",".join(_COLUMNS)
