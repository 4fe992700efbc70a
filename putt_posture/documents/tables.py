"""The measures as rows, as CSV, and as tables that a spreadsheet opens without running anything.

A spreadsheet reads a cell as a formula if it begins with ``=``, ``+``, ``-`` or ``@``, also in their full-width form
and after blanks, tabs, line ends or quotes. A formula can send other cells to a stranger. Where a spreadsheet separates
cells at semicolons, tabs or line ends, a cell may begin within a text (OWASP, "CSV Injection"; from memory). So an
apostrophe is put before such a sign. Numbers stay numbers.
"""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from attrs import frozen

from putt_posture.documents.lesson_json import lesson_as_json
from putt_posture.figures import format_imperial, format_interval, format_margin, format_value
from putt_posture.measures import MEASURES, RECORDS, STROKE_MEASURES, Part, Words
from putt_posture.shown import plain
from putt_posture.shown_units import in_shown_unit
from putt_posture.values import NORMAL_95, VIEW_TITLES, Estimate, Lesson, MeasureName, View

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "Row",
    "disarm",
    "document_as_csv",
    "frame_as_csv",
    "lesson_as_csv",
    "rows_as_csv",
    "rows_of",
    "rows_of_measures",
]


@frozen(kw_only=True)
class Row:
    """One measure, as people read it.

    Attributes
    ----------
    name : MeasureName
    title, part, what, direction, stroke : str
        See `Measure` and `Words`.
    view : View or None
        Where the number came from; None where both views or none were used.
    view_title : str
        The name of the view in words.
    figure : str
        Value and 95 % margin with the unit; empty where absent.
    imperial : str
        The same in inches; empty where it is not a length, and where the figure is in inches.
    interval : str
        The 95 % interval with the unit; empty where absent.
    reading : str
        A few words: on which side of zero the measure is, or that this is not certain; empty for measures that have one
        side.
    method : str
        How it was measured.
    frames : int
    provenance : str
        View, frames and method in one line.
    budget : str
        What the 95 % margin is made of, the largest part first; empty where it is not known.
    absent : str
        Why there is no number; empty where there is one.
    """

    name: MeasureName
    title: str
    part: Part
    what: str
    direction: str
    stroke: str
    view: View | None
    view_title: str
    figure: str
    imperial: str
    interval: str
    reading: str
    method: str
    frames: int
    provenance: str
    budget: str
    absent: str

    def __bool__(self) -> bool:
        return not self.absent


_FORMULA: Final = re.compile(
    r"(?P<start>(?:\A|[;|\t\r\n])[\s\"'\x00-\x1f\u200b\ufeff‘’“”＂＇]*)(?P<sign>[=+\-@＝＋－＠﹢﹣﹦﹫−])"
)
_STARTS: Final = ("\t", "\r", "\n")
_NUMBERS: Final = ("value", "standard_uncertainty", "low", "high", "raw_value", "floor")


def rows_of(lesson: Lesson) -> tuple[Row, ...]:
    """Return one row for each measure of `MEASURES`, in its order, present or absent.

    A row is falsy where its measure is absent.

    Parameters
    ----------
    lesson : Lesson
    """
    return rows_of_measures(lesson.posture.estimates)


def rows_of_measures(measures: Mapping[MeasureName, Estimate]) -> tuple[Row, ...]:
    """Return one row for each of the given measures, of a setup or of a stroke, in their order; see `rows_of`.

    Parameters
    ----------
    measures : Mapping[MeasureName, Estimate]
        Present or absent.
    """
    return tuple(_row_of(name, measures[name]) for name in RECORDS if name in measures)


def disarm(cell: Any) -> Any:
    r"""Return a cell that no spreadsheet reads as a formula; numbers stay as they are.

    Parameters
    ----------
    cell : Any
        Text, number or None.

    Examples
    --------
    >>> disarm('=HYPERLINK("x")'), disarm("a; @b"), disarm(-3.5)
    ('\'=HYPERLINK("x")', "a; '@b", -3.5)
    """
    if not isinstance(cell, str):
        return cell
    safe = _FORMULA.sub(r"\g<start>'\g<sign>", cell)
    return f"'{safe}" if safe.startswith(_STARTS) else safe


def rows_as_csv(head: Sequence[str], rows: Iterable[Sequence[Any]], *, raw_text: bool = False) -> str:
    """Return rows as CSV: a header line, commas, decimal points, empty cells for None.

    Parameters
    ----------
    head : sequence of str
        Names of the columns.
    rows : iterable of sequences
        Numbers are finite, or None.
    raw_text : bool
        As for `frame_as_csv`.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows if raw_text else ([disarm(cell) for cell in row] for row in rows))
    return plain(stream.getvalue())


def frame_as_csv(frame: "pd.DataFrame", *, raw_text: bool = False, head: bool = True) -> str:
    """Return a table as CSV: a header line, commas, decimal points, empty cells where something is absent.

    Parameters
    ----------
    frame : DataFrame
    raw_text : bool
        Whether each text stays as it is, for programs; a spreadsheet may then read one as a formula.
    head : bool
        Whether the header line is written; it is not before the later parts of one table.
    """
    safe = frame if raw_text else frame.assign(**{name: _column(frame[name]) for name in frame.columns})
    stream = io.StringIO()
    safe.to_csv(stream, index=False, header=head, lineterminator="\n")
    return plain(stream.getvalue())


def lesson_as_csv(lesson: Lesson) -> str:
    """Return the text of `measures.csv`: a header line, commas, decimal points, empty cells where something is absent.

    A spreadsheet reads none of its texts as a formula; see `disarm`.

    Parameters
    ----------
    lesson : Lesson
    """
    return document_as_csv(lesson_as_json(lesson))


def document_as_csv(document: Mapping[str, Any]) -> str:
    """Return the same text from the document of `measures.json`.

    Parameters
    ----------
    document : Mapping[str, Any]
        As parsed JSON.
    """
    rows = _rows(document)
    head = list(dict.fromkeys(name for row in rows for name in row))
    return rows_as_csv(head, ([row.get(name) for name in head] for row in rows))


def _row_of(name: MeasureName, estimate: Estimate) -> Row:
    measure, shown = RECORDS[name], in_shown_unit(estimate)
    words, signed = measure.words, measure.signed
    return Row(
        name=name,
        title=measure.title,
        part=measure.part,
        what=words.what,
        direction=words.direction,
        stroke=words.stroke,
        view=estimate.view,
        view_title=VIEW_TITLES[estimate.view] if estimate.view else "Both views",
        figure=format_margin(shown, signed=signed) if estimate else "",
        imperial=format_imperial(shown, signed=signed) if estimate else "",
        interval=format_interval(shown) if estimate else "",
        reading=_reading(estimate, words) if estimate else "",
        method=estimate.method,
        frames=estimate.frames,
        provenance=_provenance(shown),
        budget=_budget(shown),
        absent=estimate.absent or "",
    )


def _provenance(estimate: Estimate) -> str:
    """Say where a number came from; a typed number has no frames."""
    seen = f"{estimate.frames} frame{'' if estimate.frames == 1 else 's'}" if estimate.frames else ""
    view = (VIEW_TITLES[estimate.view] if estimate.view else "Both views").lower() if seen else ""
    found = "" if estimate.automatic is None else f"{format_value(estimate.automatic, estimate.unit)} without it"
    return " · ".join(part for part in (view, seen, estimate.method, found) if part)


def _budget(estimate: Estimate) -> str:
    """List the parts of the margin that are not 0 at the digits of the report, the largest first."""
    parts = sorted(estimate.budget.items(), key=lambda part: -part[1])
    unit = "°" if estimate.unit == "deg" else f" {estimate.unit}"
    return ", ".join(f"{cause} ±{NORMAL_95 * share:.1f}{unit}" for cause, share in parts if NORMAL_95 * share >= 0.05)


def _reading(estimate: Estimate, words: Words) -> str:
    return words.plus if estimate.low > 0 else words.minus if estimate.high < 0 else words.zero


def _column(column: "pd.Series[Any]") -> "pd.Series[Any]":
    import pandas as pd  # imported here, so that a table of plain rows does not load it

    holds_text = (
        pd.api.types.is_object_dtype(column.dtype)
        or pd.api.types.is_string_dtype(column.dtype)
        or isinstance(column.dtype, pd.CategoricalDtype)  # such as methods, which came with a document
    )
    return column.map(disarm, na_action="ignore") if holds_text else column


def _rows(document: Mapping[str, Any]) -> list[dict[str, Any]]:
    measures, strokes = document["measures"], document["strokes"] or {"numbers": {}}
    rows = [{"measure": name, "title": MEASURES[name].title} | measures[name] for name in MEASURES]
    rows += [
        {"measure": name, "title": each.title} | strokes["numbers"][name]
        for name, each in STROKE_MEASURES.items()
        if name in strokes["numbers"]
    ]
    return [
        {name: float(cell) if name in _NUMBERS and cell is not None else cell for name, cell in row.items()}
        for row in rows
    ]
