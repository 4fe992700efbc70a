"""Lessons as a coach names them on the command line: the folder of a report, or ``lesson:12`` of the archive."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from putt_posture.cli.archive.numbers import NUMBER
from putt_posture.errors import UsageError

if TYPE_CHECKING:
    from putt_posture.records import KeptLesson

__all__ = ["open_lessons"]

_PREFIX: Final = "lesson:"


@contextmanager
def open_lessons(
    texts: Sequence[str], *, out: Path, today: date, archive: str | None = None, files: str | None = None
) -> Iterator[list[KeptLesson]]:
    """Yield the lessons that texts name, in their order; the archive is opened only where one of them is in it.

    Parameters
    ----------
    texts : sequence of str
        Each the folder of a report, or ``lesson:12``.
    out : Path
        What will be written about them; it may not lie in the archive.
    today : date
        What is allowed on this day is opened of a lesson of the archive.
    archive, files : str, optional
        Where the archive is, as typed.

    Raises
    ------
    UsageError
        If there is no such folder, it cannot be read, the lessons are of two students of the archive, or `out` lies in
        the archive.
    NotInArchive
    NotAllowed
        If a lesson of the archive may not be shown today.
    ArchiveError
        If the archive cannot be used.
    """
    from putt_posture.records import read_result_folder

    numbers = [_read_number(text) for text in texts]
    if not any(numbers):
        yield [read_result_folder(text) for text in texts]
        return

    from putt_posture.archive import check_outside, load_lesson, open_archive, open_lesson

    with open_archive(archive, files=files, make=False) as opened:
        check_outside(opened, out)
        students = {load_lesson(opened, number).student: number for number in numbers if number is not None}
        if len(students) > 1:
            says = " and ".join(f"lesson {number} is of student {student}" for student, number in students.items())
            raise UsageError(f"The lessons are of different students: {says}. Give lessons of one.")
        yield [
            read_result_folder(text) if number is None else open_lesson(opened, number, today=today)
            for text, number in zip(texts, numbers, strict=True)
        ]


def _read_number(text: str) -> int | None:
    """Return the number of a lesson of the archive, None for a folder. Raises UsageError."""
    if not text.startswith(_PREFIX):
        return None
    number = text.removeprefix(_PREFIX)
    if re.fullmatch(r"\d{1,10}", number, re.ASCII) and 1 <= int(number) <= (NUMBER.max or 0):
        return int(number)
    raise UsageError(
        f"{text!r} names no lesson of the archive. Write its number, as archive show has it: {_PREFIX}12; "
        f"or ./{text} for a folder of that name."
    )
