"""What is said around an erasure."""

from typing import Final

from putt_posture.archive import Erased
from putt_posture.report.days import count_of

__all__ = ["IN_BACKUPS", "WHEN_STOPPED", "say_erased"]

IN_BACKUPS: Final = (
    "Backups that were made before, exports and result folders outside the archive still hold it: erase those by hand."
)
WHEN_STOPPED: Final = (
    "What was begun is finished when the archive is used next; look with archive show whether it was begun."
)


def say_erased(erased: Erased) -> str:
    """Say how much was erased."""
    counts = ((erased.students, "student"), (erased.lessons, "lesson"), (erased.files, "file"))
    parts = [count_of(count, what) for count, what in counts if count]
    return ", ".join(parts) or "nothing"
