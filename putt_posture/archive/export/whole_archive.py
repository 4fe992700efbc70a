"""Export of the whole archive for analysis: each frame as CSV, and as Parquet if pyarrow is installed.

The rows are streamed: a few lessons at a time from the database to the files.
"""

import importlib.metadata
import importlib.util
import json
from collections.abc import Callable, Iterable, Mapping
from contextlib import ExitStack
from datetime import date
from pathlib import Path
from typing import Any, Final

import pandas as pd

from putt_posture.archive.archive import Archive, check_outside
from putt_posture.archive.export.frame_columns import FrameForm
from putt_posture.archive.export.frames import Years, batches_of, columns_of, forms_of, withheld_of
from putt_posture.archive.export.parquet import ParquetTable
from putt_posture.archive.export.student import Exported
from putt_posture.archive.export.words import write_tables_page
from putt_posture.archive.people.permissions import SCOPE_TITLES
from putt_posture.disk.folders import fresh_folder, open_new, write_new
from putt_posture.documents.tables import frame_as_csv
from putt_posture.errors import InstallationError
from putt_posture.measures import RECORDS

__all__ = ["NO_PARQUET", "ONLY_PARQUET", "TABLES_SCHEMA_VERSION", "export_archive"]

TABLES_SCHEMA_VERSION: Final = 2
"""2: a table of strokes, the family of a measure, and Parquet as folders of files by year."""
NO_PARQUET: Final = (
    "The tables are written as CSV alone, as pyarrow is not installed. For Parquet as well, install it and export "
    "again: pip install 'putt_posture[parquet]'"
)
ONLY_PARQUET: Final = (
    "Only Parquet was asked for, and pyarrow is not installed. Install it with pip install 'putt_posture[parquet]', or "
    "write CSV."
)
_AddPart = Callable[[pd.DataFrame, Years | None], None]


def export_archive(
    archive: Archive,
    folder: Path | str,
    *,
    today: date,
    names: bool = False,
    landmarks: bool = False,
    raw_text: bool = False,
    csv: bool = True,
    replace: bool = False,
    progress: Callable[[str, float], None] | None = None,
) -> Exported:
    """Write the tables of the whole archive into a folder, completely or not at all.

    It holds ``csv/<table>.csv``, ``columns.json`` (what every table, column and measure is), and the same for people in
    ``README.md``; and ``parquet/<table>``, a folder of files by year (`ParquetTable`), where pyarrow is installed (the
    extra ``parquet``), which the result says where it is not. The tables are those of `read_frames`, all of one moment.
    They are read and written a few lessons at a time, so that a large archive needs no more memory than a small one.
    The CSV is UTF-8 with commas, decimal points, days like ``2026-05-17``, an empty cell where something is missing,
    and every number as it is kept. A text that a spreadsheet would take for a formula has an apostrophe in it, unless
    `raw_text`; the Parquet has every text as it is kept.

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
    csv : bool
        Whether there is CSV; without it there is only Parquet, which is smaller and written sooner.
    replace : bool
        Whether a folder that this program wrote, and that holds nothing else, may be replaced as a whole.
    progress : callable, optional
        Called with what is being written and the share done, 0 to 1.

    Returns
    -------
    Exported

    Raises
    ------
    OutputError
        If the folder is in use or cannot be written. Nothing is left behind then, nor after Ctrl-C.
    UsageError
        If it would be in the archive.
    InstallationError
        If there is to be no CSV and pyarrow is not installed.
    ArchiveError
        If the archive cannot be read.
    """
    check_outside(archive, folder)
    if not (parquet := _has_parquet()) and not csv:
        raise InstallationError(ONLY_PARQUET)
    forms = forms_of(landmarks=landmarks)
    rows: dict[str, int] = {}
    with fresh_folder(folder, replace=replace, keep=archive.place.paths, what="export", private=True) as part:
        with archive.read() as session:
            hidden = withheld_of(session, today=today)
            for at, form in enumerate(forms):
                with ExitStack() as stack:
                    places: list[_AddPart] = []
                    if csv:
                        places.append(_open_csv(stack, part / "csv", form, raw_text=raw_text))
                    if parquet:
                        places.append(_open_parquet(stack, part / "parquet", form, names=names, year=today.year))
                    rows[form.name] = 0
                    for rows_read, years, share in batches_of(session, form, hidden, names=names):
                        for add in places:
                            add(rows_read, years)
                        rows[form.name] += len(rows_read)
                        if progress is not None:
                            progress(f"Writing {form.name}", (at + share) / len(forms))
        withheld = _say_withheld(len(hidden))
        description = _describe(forms, rows, names=names, raw_text=raw_text, withheld=withheld, today=today)
        write_new(part / "columns.json", (json.dumps(description, indent=1, ensure_ascii=False) + "\n").encode("utf-8"))
        write_new(part / "README.md", write_tables_page(description, csv=csv, parquet=parquet).encode("utf-8"))
    says = (withheld, "" if parquet else NO_PARQUET)
    return Exported(path=Path(folder), rows=rows, says=tuple(each for each in says if each))


def _has_parquet() -> bool:
    return importlib.util.find_spec("pyarrow") is not None


def _open_csv(stack: ExitStack, folder: Path, form: FrameForm, *, raw_text: bool) -> _AddPart:
    folder.mkdir(exist_ok=True)
    stream = stack.enter_context(open_new(folder / f"{form.name}.csv"))

    def add(part: pd.DataFrame, _years: Years | None) -> None:
        stream.write(frame_as_csv(part, raw_text=raw_text, head=stream.tell() == 0).encode("utf-8"))

    return add


def _open_parquet(stack: ExitStack, folder: Path, form: FrameForm, *, names: bool, year: int) -> _AddPart:
    columns = columns_of(form, names=names)
    table = ParquetTable(folder / form.name, columns, year=None if form.day is None else year)
    return stack.enter_context(table).add


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
    forms: Iterable[FrameForm],
    rows: Mapping[str, int],
    *,
    names: bool,
    raw_text: bool,
    withheld: str,
    today: date,
) -> dict[str, Any]:
    """Return what every table, column and measure is."""
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
                "rows": rows[form.name],
                "by_year": form.day is not None,
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
