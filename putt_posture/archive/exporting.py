"""What is given away: one student as a zip, or the whole archive as tables."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from attrs import frozen

from putt_posture.archive.archive import Archive

__all__ = ["Exported", "export_archive", "export_student"]


@frozen(kw_only=True)
class Exported:
    """What an export holds.

    Attributes
    ----------
    path : Path
        The zip, or the folder.
    rows : mapping of str to int
        How many rows of each table.
    files : int
        How many kept files of lessons; 0 for the whole archive, which goes out as tables only.
    left_out : tuple of str
        One sentence for each thing that was left out.
    """

    path: Path
    rows: Mapping[str, int]
    files: int = 0
    left_out: tuple[str, ...] = ()


def export_student(
    archive: Archive,
    number: int,
    path: Path | str,
    *,
    today: date,
    hide_faces: bool = False,
    clips: bool = True,
    replace: bool = False,
) -> Exported:
    """Write all that is kept of a student into a zip."""
    raise NotImplementedError


def export_archive(
    archive: Archive,
    folder: Path | str,
    *,
    today: date,
    names: bool = False,
    landmarks: bool = False,
    replace: bool = False,
) -> Exported:
    """Write the tables of the whole archive into a folder, as CSV and Parquet."""
    raise NotImplementedError
