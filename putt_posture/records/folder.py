"""A result folder, as `store_lesson` leaves it, or the same in memory."""

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from putt_posture.errors import UsageError
from putt_posture.reading import is_there, read_inside
from putt_posture.records.document import read_record
from putt_posture.records.kept import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES, KeptLesson
from putt_posture.records.sizes import most_bytes_of

__all__ = ["read_result_files", "read_result_folder"]

_WRITTEN: Final = FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES


def read_result_folder(folder: Path | str) -> KeptLesson:
    """Read a result folder; files that `store_lesson` did not write are left alone.

    Only ordinary files of the folder itself are read, each when it is asked for; no link is followed out of it.

    Raises
    ------
    UsageError
        If there is no such folder, it holds no `measures.json`, or one that cannot be read.
    """
    folder = Path(folder)
    if not folder.is_dir():
        found = "is a file" if folder.exists() else "is not there"
        raise UsageError(f"The result folder {folder} {found}. Give the folder that measure wrote with --out.")
    document = folder / "measures.json"
    if not is_there(folder, "measures.json"):
        raise UsageError(
            f"The folder {folder} holds no measures.json, which measure writes. Give the folder of one lesson."
        )
    return KeptLesson(
        title=str(folder),
        record=read_record(_read(folder, "measures.json"), where=str(document)),
        names=frozenset(name for name in _WRITTEN if is_there(folder, name)),
        read=lambda name: _read(folder, name),
        files=(document,),
    )


def read_result_files(files: Mapping[str, bytes], *, title: str) -> KeptLesson:
    """Return a lesson whose files are in memory, as `lesson_as_files` returns them, as one that is stored."""
    return KeptLesson(
        title=title,
        record=read_record(files["measures.json"], where=f"measures.json of {title}"),
        names=frozenset(files),
        read=files.__getitem__,
    )


def _read(folder: Path, name: str) -> bytes:
    return read_inside(folder, name, most_bytes=most_bytes_of(name), what="file")
