"""Export of the whole archive for analysis: each frame as CSV, and as Parquet if pyarrow is installed."""

import importlib.metadata
import importlib.util
import json
from datetime import date
from pathlib import Path
from typing import Any, Final

import pandas as pd

from putt_posture.archive.archive import Archive, check_outside
from putt_posture.archive.export.frame_columns import FORMS, LANDMARKS
from putt_posture.archive.export.frames import columns_of, frames_of, withheld_of
from putt_posture.archive.export.student import Exported
from putt_posture.archive.export.words import write_tables_page
from putt_posture.archive.people.permissions import SCOPE_TITLES
from putt_posture.disk.folders import fresh_folder, open_new, write_new
from putt_posture.documents.tables import frame_as_csv
from putt_posture.measures import RECORDS

__all__ = ["NO_PARQUET", "TABLES_SCHEMA_VERSION", "export_archive"]

TABLES_SCHEMA_VERSION: Final = 1
NO_PARQUET: Final = (
    "The tables are written as CSV alone, as pyarrow is not installed. For Parquet as well, install it and export "
    "again: pip install 'putt_posture[parquet]'"
)


def export_archive(
    archive: Archive,
    folder: Path | str,
    *,
    today: date,
    names: bool = False,
    landmarks: bool = False,
    raw_text: bool = False,
    replace: bool = False,
) -> Exported:
    """Write the tables of the whole archive into a folder, completely or not at all.

    It holds ``csv/<table>.csv``, ``columns.json`` (what every table, column and measure is), and the same for people in
    ``README.md``; and ``parquet/<table>.parquet`` where pyarrow is installed (the extra ``parquet``), which the result
    says where it is not. The tables are those of `read_frames`, all of one moment. The CSV is UTF-8 with commas,
    decimal points, days like ``2026-05-17``, an empty cell where something is missing, and every number as it is kept.
    A text that a spreadsheet would take for a formula has an apostrophe in it, unless `raw_text`; the Parquet has every
    text as it is kept.

    Parameters
    ----------
    archive : Archive
    folder : Path or str
        Of the export; made with its parents where it does not exist.
    today : date
        The day by which consent and ages are judged.
    names : bool
        Whether names, days of birth and typed texts are in it.
    landmarks : bool
        Whether the body points of every measured frame are in it.
    raw_text : bool
        Whether the CSV has every text as it is kept.
    replace : bool
        Whether a folder that this program wrote, and that holds nothing else, may be replaced as a whole.

    Returns
    -------
    Exported

    Raises
    ------
    OutputError
        If the folder is in use or cannot be written. Nothing is left behind then, nor after Ctrl-C.
    UsageError
        If it would be in the archive.
    ArchiveError
        If the archive cannot be read.
    """
    check_outside(archive, folder)
    with fresh_folder(folder, replace=replace, keep=archive.place.paths, what="export", private=True) as part:
        with archive.read() as session:
            withheld = _say_withheld(len(hidden := withheld_of(session, today=today)))
            frames = frames_of(session, hidden, names=names, landmarks=landmarks)
        (part / "csv").mkdir()
        parquet = _has_parquet()
        if parquet:
            (part / "parquet").mkdir()
        for name, frame in frames.items():
            _write_frame(part, name, frame, raw_text=raw_text, parquet=parquet)
        description = _describe(frames, names=names, raw_text=raw_text, withheld=withheld, today=today)
        write_new(part / "columns.json", (json.dumps(description, indent=1, ensure_ascii=False) + "\n").encode("utf-8"))
        write_new(part / "README.md", write_tables_page(description, parquet=parquet).encode("utf-8"))
    rows = {name: len(frame) for name, frame in frames.items()}
    says = (withheld, "" if parquet else NO_PARQUET)
    return Exported(path=Path(folder), rows=rows, says=tuple(each for each in says if each))


def _has_parquet() -> bool:
    return importlib.util.find_spec("pyarrow") is not None


def _write_frame(part: Path, name: str, frame: pd.DataFrame, *, raw_text: bool, parquet: bool) -> None:
    write_new(part / "csv" / f"{name}.csv", frame_as_csv(frame, raw_text=raw_text).encode("utf-8"))
    if parquet:
        with open_new(part / "parquet" / f"{name}.parquet") as stream:
            frame.to_parquet(stream, index=False, engine="pyarrow")


def _say_withheld(students: int) -> str:
    """Say how many students' lessons and tests are left out; empty if there are none."""
    if not students:
        return ""
    who = "One student has" if students == 1 else f"{students} students have"
    return (
        f"{who} no consent for {SCOPE_TITLES['measures']} today: the lessons and practice tests are left out. "
        "The command archive retention shows what is kept without consent, and erases it with --erase."
    )


def _describe(
    frames: dict[str, pd.DataFrame], *, names: bool, raw_text: bool, withheld: str, today: date
) -> dict[str, Any]:
    """Return what every table, column and measure is."""
    forms = [form for form in (*FORMS, LANDMARKS) if form.name in frames]
    return {
        "schema": TABLES_SCHEMA_VERSION,
        "made_on": today.isoformat(),
        "program": importlib.metadata.version("putt_posture"),
        "names": names,
        "withheld": withheld,
        "raw_text": raw_text,
        "tables": {
            form.name: {
                "row": form.says,
                "rows": len(frames[form.name]),
                "columns": [
                    {"name": each.name, "kind": each.kind, "unit": each.unit, "says": each.says}
                    for each in columns_of(form, names=names)
                ],
            }
            for form in forms
        },
        "measures": {
            name: {
                "title": measure.title,
                "unit": measure.unit,
                "what": measure.words.what,
                "sign": measure.words.direction,
            }
            for name, measure in RECORDS.items()
        },
    }
