"""A result folder, as `store_lesson` leaves it, or the same in memory."""

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from putt_posture.errors import UsageError
from putt_posture.records.document import read_record
from putt_posture.records.kept import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES, KeptLesson

__all__ = ["read_result_files", "read_result_folder"]

_WRITTEN: Final = FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES


def read_result_folder(folder: Path | str) -> KeptLesson:
    """Read a result folder; files that `store_lesson` did not write are left alone.

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
    if not document.is_file():
        raise UsageError(
            f"The folder {folder} holds no measures.json, which measure writes. Give the folder of one lesson."
        )
    return KeptLesson(
        title=str(folder),
        record=read_record(_read(document), where=str(document)),
        names=frozenset(name for name in _WRITTEN if (folder / name).is_file()),
        read=lambda name: _read(folder / name),
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


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise UsageError(f"{path} cannot be read: {error.strerror or error}.") from None
