"""How a folder is recognised: as a result of this program, an archive, a backup, or something else.

The mark is a hidden file that is written last and lists all others, so that only folders that this program wrote are
ever replaced. Folders that were written before there were marks are recognised by their file names.
"""

import json
import os
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path, PurePosixPath
from typing import Final

from platformdirs import user_data_path

from putt_posture.disk.defaults import read_defaults
from putt_posture.errors import OutputError

__all__ = [
    "ARCHIVE_VARIABLE",
    "BACKUP_KIND",
    "DATABASE_FILE",
    "DRAWN_STEPS",
    "FILES_VARIABLE",
    "MANIFEST",
    "MARK",
    "STROKE_CHARTS",
    "STROKE_CLIPS",
    "STROKE_STILLS",
    "find_own_archive",
    "find_own_files",
    "find_stranger",
    "refuse_archive",
    "write_mark",
]

ARCHIVE_VARIABLE: Final = "PUTT_POSTURE_ARCHIVE"
"""Environment variable with a folder or a database URL."""
FILES_VARIABLE: Final = "PUTT_POSTURE_ARCHIVE_FILES"
"""Environment variable with the folder or the bucket URL of the files, for a database by URL."""
DATABASE_FILE: Final = "archive.sqlite"
MANIFEST: Final = "manifest.json"
"""In the folder of a backup, beside the database."""
BACKUP_KIND: Final = "putt_posture archive backup"
"""The kind in the manifest of a backup."""
_TABLE: Final = "lesson_files"
_MANIFEST_START: Final = 4096
"""The kind is within this many bytes from the start of a manifest."""
MARK: Final = ".putt-posture.json"
_PROGRAM: Final = "putt_posture"
_MOST_BYTES: Final = 1 << 20
_OF_THE_SYSTEM: Final = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""Files that macOS and Windows put into a folder when it is opened."""
_VIEWS: Final = ("down_the_line", "face_on")
_TABLES: Final = (
    *("students", "consents", "lessons", "measures", "fits", "practice", "clips", "setups", "corrections", "files"),
    "landmarks",
)
_PARTS: Final = ("trunk", "head", "arms", "legs", "balance", "club")
DRAWN_STEPS: Final = (
    *("spine_tilt", "back_rounding", "head_drop", "knee_flex", "hand_offset", "elbow_gap_lead", "elbow_gap_trail"),
    *("elbow_depth", "eye_offset", "balance", "shaft_lie", "stance_width", "ball_position"),
)
"""Measures that a step of a rebuild is drawn for, each in a file of its own."""
STROKE_STILLS: Final = tuple(
    f"stroke_{view}_{event}" for view in _VIEWS for event in ("start", "top", "impact", "finish")
)
"""The stills of strokes, by their files in ``stills`` without an ending."""
STROKE_CHARTS: Final = (
    "stroke_times", "stroke_from_front", "stroke_from_behind", "stroke_from_above", "stroke_stillness",
)  # fmt: skip
"""The charts of strokes in the same way, in the order of the page."""
STROKE_CLIPS: Final = frozenset(f"stroke_{view}.mp4" for view in _VIEWS)
"""The overlay clips of strokes."""
_CHARTS: Final = frozenset(
    {
        *_PARTS,
        "practice",
        "practice_change",
        "practice_spread",
        "stroke_1",
        "stroke_2",
        *(f"{part}_{number}" for part in _PARTS for number in range(1, 10)),
    }
)
_KINDS: Final[tuple[tuple[frozenset[str], frozenset[str]], ...]] = (
    # a lesson, a comparison, steps side by side, a history, the tables of an archive: the files that each must have,
    # and may have
    (
        frozenset({"report.html", "report.pdf", "measures.json", "measures.csv", "landmarks.npz"}),
        frozenset({"spec_sheet.html", "spec_sheet.pdf", "spec_sheet.json", "to_send.jpg"})
        | {"strokes.csv", "strokes.parquet"}
        | {f"stills/{name}" for name in ("ghost.png", "curves.svg", "arc.svg")}
        | {f"stills/step_{name}.jpg" for name in DRAWN_STEPS}
        | {f"stills/{name}{ending}" for name in STROKE_STILLS for ending in (".jpg", "_plain.jpg")}
        | {f"stills/{name}.svg" for name in STROKE_CHARTS}
        | STROKE_CLIPS
        | {f"stills/{view}{ending}" for view in _VIEWS for ending in (".png", "_plain.jpg")},
    ),
    (
        frozenset({"comparison.html", "comparison.pdf", "comparison.json", "comparison.csv"}),
        frozenset({"stills/arc.svg", "to_send.jpg"})
        | {f"stills/strokes_{name}.svg" for name in ("times", "from_front", "from_behind")}
        | {f"strokes_{view}.mp4" for view in _VIEWS}
        | {f"stills/{name}" for view in _VIEWS for name in (f"side_by_side_{view}.png", f"outlines_{view}.svg")},
    ),
    (
        frozenset({"steps.html", "steps.pdf"}),
        frozenset(f"stills/{view}_{number}.png" for view in _VIEWS for number in range(1, 9)),
    ),
    (
        frozenset({"history.html", "history.pdf", "history.json", "history.csv"}),
        frozenset(f"charts/{name}.svg" for name in _CHARTS),
    ),
    (
        frozenset({"columns.json", "README.md", "csv/students.csv"}),
        frozenset(name for table in _TABLES for name in (f"csv/{table}.csv", f"parquet/{table}.parquet")),
    ),
)


def find_own_archive() -> str:
    """Return the folder or URL of this user's archive.

    It is taken from the environment, else from the defaults file, else it is the folder for the user's data. Raises
    UsageError if the defaults cannot be read.
    """
    named = os.environ.get(ARCHIVE_VARIABLE) or read_defaults().get("archive")
    return named or str(user_data_path("putt_posture", appauthor=False) / "archive")


def find_own_files() -> str | None:
    """Return the folder or bucket for the files of an archive by URL: the environment, else the defaults file."""
    return os.environ.get(FILES_VARIABLE) or read_defaults().get("files")


def refuse_archive(target: Path) -> None:
    """Refuse a place for a result that is an archive or a backup, is in one, or contains the user's archive.

    Parameters
    ----------
    target : Path
        Absolute, with links followed. It may not exist yet.

    Raises
    ------
    OutputError
    """
    for folder in (target, *target.parents):
        if _is_archive(folder):
            if folder == target:
                raise OutputError(f"{target} is an archive or a backup. Give another folder, outside of it.")
            raise OutputError(f"{target} is in an archive or a backup, {folder}. Give a folder outside of it.")
    for folder in _own_folders():
        if folder.is_dir() and target.is_relative_to(folder):
            raise OutputError(f"{target} is in the archive {folder}. Give a folder outside of it.")
        if folder.is_dir() and folder.is_relative_to(target):
            raise OutputError(f"{target} contains the archive {folder}. Give another folder.")


def write_mark(folder: Path, kind: str) -> None:
    """Mark a folder and everything in it as written by this program.

    Parameters
    ----------
    folder : Path
    kind : str
        What it is: a report, a history.
    """
    mark = {"program": _PROGRAM, "kind": kind, "files": sorted(_files(folder))}
    with (folder / MARK).open("x", encoding="utf-8") as stream:
        json.dump(mark, stream, indent=1)
        stream.flush()
        os.fsync(stream.fileno())


def find_stranger(folder: Path) -> str | None:
    """Find something in a folder that this program did not write.

    Parameters
    ----------
    folder : Path

    Returns
    -------
    str or None
        Its path in the folder, with forward slashes; None if there is nothing. Changed files count as written by it.
    """
    listed = _read_mark(folder)
    if listed is None:
        listed = next(
            (least | more for least, more in _KINDS if all((folder / name).is_file() for name in least)), frozenset()
        )
    else:
        listed |= {MARK}
    folders = {parent.as_posix() for name in listed for parent in PurePosixPath(name).parents}
    return next(_strangers(folder, listed=listed, folders=folders), None)


def _own_folders() -> Iterator[Path]:
    """Go through the folders on this disk that hold the user's own archive."""
    for place in (find_own_archive(), find_own_files()):
        if place and "://" not in place:
            yield Path(os.path.realpath(place))


def _is_archive(folder: Path) -> bool:
    return _holds_rows(folder / DATABASE_FILE) or _says_backup(folder / MANIFEST)


def _says_backup(manifest: Path) -> bool:
    try:
        with manifest.open("rb") as stream:
            return BACKUP_KIND.encode() in stream.read(_MANIFEST_START)
    except OSError:
        return False


def _holds_rows(database: Path) -> bool:
    """Tell whether a file is an archive's database; a file that cannot be read counts as one."""
    if not database.is_file():
        return False
    if database.with_name(f"{database.name}-wal").exists() or database.stat().st_size == 0:
        return True
    try:
        with closing(sqlite3.connect(f"{database.as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
            found = connection.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (_TABLE,)).fetchone()
    except sqlite3.Error:
        return True
    return found is not None


def _strangers(top: Path, *, listed: frozenset[str], folders: set[str]) -> Iterator[str]:
    """Go through the files that are not listed; a folder with no listed file is named as a whole."""
    waiting = [top]
    while waiting:
        for entry in sorted(os.scandir(waiting.pop()), key=lambda each: each.name):
            name = Path(entry.path).relative_to(top).as_posix()
            if entry.is_dir(follow_symlinks=False) and name in folders:
                waiting.append(Path(entry.path))
            elif not entry.is_file(follow_symlinks=False) or (name not in listed and entry.name not in _OF_THE_SYSTEM):
                yield name


def _files(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def _read_mark(folder: Path) -> frozenset[str] | None:
    """Return the files that the mark lists; None if there is no mark of this program."""
    path = folder / MARK
    try:
        if path.is_symlink() or path.stat().st_size > _MOST_BYTES:
            return None
        mark = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    if not isinstance(mark, Mapping) or mark.get("program") != _PROGRAM:
        return None
    files = mark.get("files")
    if not isinstance(files, list) or not all(isinstance(each, str) for each in files):
        return None
    return frozenset(each for each in files if PurePosixPath(each).name not in (DATABASE_FILE, MANIFEST))
