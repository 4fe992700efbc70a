"""A lesson as a coach names it on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from putt_posture.records import KeptLesson

__all__ = ["read_lesson"]


def read_lesson(text: str) -> KeptLesson:
    """Read the lesson that a text names: the folder of a report.

    Raises
    ------
    UsageError
        If there is no such lesson, or it cannot be read.
    """
    from putt_posture.records import read_result_folder

    return read_result_folder(text)
