"""What stopped runs have left of an archive, inside and outside of it, taken away."""

from pathlib import Path

from putt_posture.archive.archive import Archive
from putt_posture.archive.arrivals import sweep
from putt_posture.unfinished import LeftOver, settle_everywhere

__all__ = ["clear_left_over"]


def clear_left_over(archive: Archive) -> tuple[LeftOver, ...]:
    """Finish or undo what stopped runs have left, and return it; those who are still at it are left alone.

    In the archive these are files that were on their way in or out; outside of it backups, exports and reports that
    were being written, wherever this user's runs noted them, and beside the archive.
    """
    where = archive.files.title
    inside = [
        LeftOver(Path(where), f"Files that a stopped run was bringing into {where} were removed.", gone=True)
        for _ in sweep(archive)
    ]
    beside = [archive.place.folder.parent] if archive.place.folder else []
    return (*inside, *settle_everywhere(*beside))
