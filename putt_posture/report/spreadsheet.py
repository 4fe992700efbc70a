"""Tables of text that a spreadsheet can open without running anything.

A spreadsheet takes a cell that begins with ``=``, ``+``, ``-`` or ``@``, also in their full width and behind blanks,
tabs, line ends or quotes, for a formula, and a formula can send away what is beside it. Where it parts the cells at
semicolons, tabs or line ends, a cell may begin within a text (OWASP, "CSV Injection"; from memory). So an apostrophe
goes before such a sign. Numbers stay numbers.
"""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["disarm", "frame_as_csv", "rows_as_csv"]

_FORMULA: Final = re.compile(
    r"(?P<start>(?:\A|[;|\t\r\n])[\s\"'\x00-\x1f\u200b\ufeff‘’“”＂＇]*)(?P<sign>[=+\-@＝＋－＠﹢﹣﹦﹫−])"
)
_STARTS: Final = ("\t", "\r", "\n")


def disarm(cell: Any) -> Any:
    r"""Return a cell in which no text is a formula; what is no text stays.

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
    return stream.getvalue()


def frame_as_csv(frame: "pd.DataFrame", *, raw_text: bool = False) -> str:
    """Return a table as CSV: a header line, commas, decimal points, empty cells for what is absent.

    Parameters
    ----------
    frame : DataFrame
    raw_text : bool
        Whether each text stays as it is, for programs; a spreadsheet may take one for a formula then.
    """
    safe = frame if raw_text else frame.assign(**{name: _column(frame[name]) for name in frame.columns})
    stream = io.StringIO()
    safe.to_csv(stream, index=False, lineterminator="\n")
    return stream.getvalue()


def _column(column: "pd.Series[Any]") -> "pd.Series[Any]":
    import pandas as pd  # here, so that a table of plain rows does without it

    holds_text = pd.api.types.is_object_dtype(column.dtype) or pd.api.types.is_string_dtype(column.dtype)
    return column.map(disarm, na_action="ignore") if holds_text else column
