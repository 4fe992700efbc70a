"""A result folder, as `store_lesson` leaves it."""

from pathlib import Path

from putt_posture.errors import UsageError
from putt_posture.records.document import read_record
from putt_posture.records.kept import KeptLesson

__all__ = ["read_result_folder"]


def read_result_folder(folder: Path | str) -> KeptLesson:
    """Read a result folder.

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
        names=frozenset(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()),
        read=lambda name: _read(folder / name),
        files=(document,),
    )


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise UsageError(f"{path} cannot be read: {error.strerror or error}.") from None
