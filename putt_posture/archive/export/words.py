"""The pages that explain an export, in plain words."""

import textwrap
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final

__all__ = ["write_student_page", "write_tables_page"]

_WIDTH: Final = 78
_ABOUT_CSV: Final = (
    "CSV: UTF-8, commas, decimal points, days like 2026-05-17, an empty cell where something is missing; numbers come "
    "back bit for bit."
)
_ABOUT_PARQUET: Final = (
    "Parquet: each table is a folder. Tables whose rows belong to a day have a folder for each year in it, and a "
    "column `year` when they are read; who asks for one year reads only that folder. Every text is as it was typed. "
    "Columns know their unit and what they are. Read a table with one of these:"
)
_READING_PARQUET: Final = (
    "import pandas as pd",
    'measures = pd.read_parquet("parquet/measures", filters=[("year", ">=", 2025), ("measure", "==", "spine_tilt")])',
    "",
    "import polars as pl  # reads what is asked for when it is collected",
    'measures = pl.scan_parquet("parquet/measures")',
    'measures.group_by("year", "measure").agg(pl.col("value").mean()).collect()',
    "",
    "import dask.dataframe as dd  # part by part, on several processors or machines",
    'measures = dd.read_parquet("parquet/measures")',
)


def write_student_page(
    name: str,
    *,
    lessons: Sequence[str],
    left_out: Sequence[str],
    withheld: Sequence[str],
    hide_faces: bool,
    raw_text: bool,
    today: date,
) -> str:
    """Return the text of ``README.txt`` in the zip of a student.

    Parameters
    ----------
    name : str
        The student's.
    lessons : sequence of str
        Their folders, in the order of time.
    left_out : sequence of str
        One sentence for each file that is not there.
    withheld : sequence of str
        What was held back as a whole, and why.
    hide_faces : bool
        Whether the heads in the pictures are hidden.
    raw_text : bool
        Whether the tables have every text as it was typed.
    today : date
        The day of the export.
    """
    parts = [
        _head(f"What is kept of {name}"),
        _wrap(f"Written on {today} by putt_posture."),
        _head("What is in here"),
        _list(
            [
                "README.txt: this page.",
                "measures.csv: every measure of every lesson, as a table for a spreadsheet.",
                "practice.csv: putts tried and holed, as a table for a spreadsheet.",
                "lessons: one folder for each lesson, with the files that are kept of it. Open report.html first, "
                "where there is one.",
                "student.json: everything that is kept, for programs. What each part means is in the folder schemas.",
            ]
        ),
        _head("Lessons"),
        _list(lessons or ["There are none."]),
        _head("How to read the numbers"),
        _wrap(
            "Angles are in degrees and lengths in centimetres. low and high are meant to hold the true value 19 "
            "times out of 20; that was tried on rendered golfers, and hardly on people. standard_uncertainty is one "
            "sigma. An empty cell was not measured; the last column says why. No number here is good or bad alone, "
            "and none is a medical finding: with pain, ask a doctor or a physiotherapist."
        ),
        _wrap(f"{_say_text(raw_text, tables='two tables')} student.json has every text as it was typed."),
        _head("Faces"),
        _wrap(_say_faces(hide_faces)),
    ]
    if left_out or withheld:
        parts += [_head("Left out"), *map(_wrap, withheld), *([_list(left_out)] if left_out else [])]
    parts += [
        _head("Take care of it"),
        _wrap(
            "These files are about a person. Keep them where no one else can read them, and pass them on only to "
            "people who may have them. Your local rules say what is allowed."
        ),
    ]
    return "\n\n".join(parts) + "\n"


def write_tables_page(description: Mapping[str, Any], *, csv: bool, parquet: bool) -> str:
    """Return the text of ``README.md`` beside the tables of an archive.

    Parameters
    ----------
    description : mapping
        What ``columns.json`` holds.
    csv, parquet : bool
        In which of the two forms the tables are there.
    """
    if csv and parquet:
        forms = "as `csv/….csv` and as the folder `parquet/…`, with the same rows"
    else:
        forms = "as `csv/….csv`" if csv else "as the folder `parquet/…`"
    reading = [*_READING_PARQUET] if parquet else ["import pandas as pd", 'measures = pd.read_csv("csv/measures.csv")']
    parts = [
        "# Tables of a putting archive",
        f"Written on {description['made_on']} by putt_posture {description['program']}. Each table is there as "
        f"{forms}. `columns.json` says the same as this page, for programs.",
        "## Who can be recognised from it",
        _say_who(description["names"]),
        *([description["withheld"]] if description["withheld"] else []),
        "## How to read it",
        "The numbers of students and lessons join the tables. A unit stands in the column's name, or in a column "
        "`unit`. Uncertainties are one standard uncertainty.",
        *([_ABOUT_CSV + " " + _say_text(description["raw_text"], tables="CSV")] if csv else []),
        *([_ABOUT_PARQUET] if parquet else []),
        "\n".join(f"    {line}".rstrip() for line in reading),
    ]
    for name, table in description["tables"].items():
        rows = [f"| `{each['name']}` | {each['kind']} | {each['unit']} | {each['says']} |" for each in table["columns"]]
        parts += [
            f"## {name}",
            f"One row is {table['row']}; {table['rows']} rows.",
            "\n".join(["| column | kind | unit | what it is |", "|---|---|---|---|", *rows]),
        ]
    measures = [
        f"| `{name}` | {each['unit']} | {each['title']}. {each['what']} {each['sign']} |"
        for name, each in description["measures"].items()
    ]
    parts += ["## What is measured", "\n".join(["| measure | unit | what it is |", "|---|---|---|", *measures])]
    return "\n\n".join(parts) + "\n"


def _say_text(raw: bool, *, tables: str) -> str:
    if raw:
        return (
            f"In the {tables} every text is as it was typed: a spreadsheet may take one that begins with = + - or @ "
            "for a formula. Import such columns as text there."
        )
    return (
        f"In the {tables} a text that a spreadsheet would take for a formula, as it begins with = + - or @, has an "
        "apostrophe before that sign."
    )


def _say_who(names: bool) -> str:
    care = (
        "Keep it where only people with permission can read it, use it only for what the students agreed to, and erase "
        "it when that is done. Your local rules say what is allowed."
    )
    if names:
        return f"The names, days of birth and notes of the students are in it: it is all about people. {care}"
    return (
        "There are no names, days of birth and no typed texts; a student is a number and an age. It is still about "
        "people: anyone with the archive knows whose number it is, and where there are few students, their height, "
        f"age, lesson days and measures may be enough to recognise them. {care}"
    )


def _say_faces(hide_faces: bool) -> str:
    if not hide_faces:
        return "Pictures and clips are as they are kept; faces were not hidden for this export."
    return (
        "The heads in all pictures were hidden. Clips, and files in which that cannot be done, were left out; they are "
        "named below. Body and clothes may still show who it is."
    )


def _head(text: str) -> str:
    return f"{text}\n{'=' * len(text)}"


def _wrap(text: str) -> str:
    return textwrap.fill(text, _WIDTH, break_long_words=False, break_on_hyphens=False)


def _list(items: Sequence[str]) -> str:
    return "\n".join(
        textwrap.fill(
            each, _WIDTH, initial_indent="- ", subsequent_indent="  ", break_long_words=False, break_on_hyphens=False
        )
        for each in items
    )
