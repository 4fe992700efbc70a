"""A lesson as a coach names it on the command line: the folder of a report, or ``lesson:12`` of the archive."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from putt_posture.records import KeptLesson

__all__ = ["open_lessons"]

_FILED: Final = re.compile(r"lesson:\s*(\d{1,9})", re.IGNORECASE)


@contextmanager
def open_lessons(texts: Sequence[str], *, archive: str | None, files: str | None) -> Iterator[list[KeptLesson]]:
    """Yield the lessons that the texts name; the archive is opened where one of them is filed.

    Parameters
    ----------
    texts : sequence of str
        Each a folder, or ``lesson:`` and a number.
    archive, files : str or None
        Where the archive is, as for `open_archive`.

    Raises
    ------
    UsageError, ArchiveError
        If there is no such lesson, or it cannot be read.
    """
    from putt_posture.archive import open_archive, open_lesson
    from putt_posture.records import read_result_folder

    numbers = [_FILED.fullmatch(text.strip()) for text in texts]
    with ExitStack() as stack:
        opened = stack.enter_context(open_archive(archive, files=files, make=False)) if any(numbers) else None
        yield [
            read_result_folder(text) if found is None or opened is None else open_lesson(opened, int(found[1]))
            for text, found in zip(texts, numbers, strict=True)
        ]
