"""A coach's own file, read from disk: bands, order, words and drills, and the wanted setup."""

from pathlib import Path
from typing import Final

from putt_posture.disk.reading import read_limited
from putt_posture.errors import UsageError
from putt_posture.findings import CoachFile, read_coach_file

__all__ = ["MOST_BYTES", "open_coach_file"]

MOST_BYTES: Final = 64_000
"""Twice the shipped file."""


def open_coach_file(path: Path) -> CoachFile:
    """Read a coach's own file over the shipped values.

    Parameters
    ----------
    path : Path
        A TOML file; see ``findings/coach.toml`` for what may be in it.

    Raises
    ------
    UsageError
        If it is not a small ordinary file or not TOML, or if something in it is not known, of the wrong type or out of
        range; the sentence names the line.
    """
    data = read_limited(path, most_bytes=MOST_BYTES, what="coach's file")
    where = f"The coach's file {path}"
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise UsageError(f"{where} is not TOML: its byte {error.start} is no UTF-8. Save it as UTF-8.") from None
    return read_coach_file(text, where=where)
