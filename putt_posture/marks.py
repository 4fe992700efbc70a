"""The mark in a folder that this program wrote, and whether the folder holds nothing else.

The mark is a hidden file that is written last and lists all others, so that only what this program wrote is ever
replaced. What was written before there were marks is known by its names.
"""

import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath
from typing import Final

from putt_posture.archive_signs import DATABASE_FILE, MANIFEST

__all__ = ["MARK", "find_stranger", "write_mark"]

MARK: Final = ".putt-posture.json"
_PROGRAM: Final = "putt_posture"
_MOST_BYTES: Final = 1 << 20
_OF_THE_SYSTEM: Final = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What macOS and Windows put into a folder that somebody looks at."""

_VIEWS: Final = ("down_the_line", "face_on")
_TABLES: Final = (
    *("students", "consents", "lessons", "measures", "fits", "practice", "clips", "setups", "corrections", "files"),
    "landmarks",
)
_PARTS: Final = ("trunk", "head", "arms", "legs", "balance", "club")
_CHARTS: Final = frozenset(
    {
        *_PARTS,
        "practice",
        "practice_change",
        "practice_spread",
        *(f"{part}_{number}" for part in _PARTS for number in range(1, 10)),
    }
)
_KINDS: Final[tuple[tuple[frozenset[str], frozenset[str]], ...]] = (
    # a lesson, a comparison, a history, the tables of an archive: what each holds at least, and what it may hold
    (
        frozenset({"report.html", "report.pdf", "measures.json", "measures.csv", "landmarks.npz"}),
        frozenset({"spec_sheet.html", "spec_sheet.pdf", "spec_sheet.json"})
        | {f"stills/{name}" for name in ("ghost.png", "curves.svg", "arc.svg")}
        | {f"stills/{view}{ending}" for view in _VIEWS for ending in (".png", "_plain.jpg")},
    ),
    (
        frozenset({"comparison.html", "comparison.pdf", "comparison.json", "comparison.csv"}),
        frozenset({"stills/arc.svg"})
        | {f"stills/{name}" for view in _VIEWS for name in (f"side_by_side_{view}.png", f"outlines_{view}.svg")},
    ),
    (
        frozenset({"history.html", "history.pdf", "history.json", "history.csv"}),
        frozenset(f"charts/{name}.svg" for name in _CHARTS),
    ),
    (
        frozenset({"columns.json", "README.md", "csv/students.csv", "parquet/students.parquet"}),
        frozenset(name for table in _TABLES for name in (f"csv/{table}.csv", f"parquet/{table}.parquet")),
    ),
)


def write_mark(folder: Path, kind: str) -> None:
    """Mark a folder as one that this program wrote, with all that is in it now.

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

    Returns
    -------
    str or None
        Its place in the folder, with forward strokes; None where there is nothing. What is changed counts as written.
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


def _strangers(top: Path, *, listed: frozenset[str], folders: set[str]) -> Iterator[str]:
    """Go through what is not listed, without looking into folders that hold nothing listed."""
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
    """Return the files that the mark lists; None where there is no mark that this program wrote."""
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
