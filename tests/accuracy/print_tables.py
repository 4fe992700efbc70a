"""The study's tables as text for a terminal and as Markdown for the documentation."""

from typing import Final

import pandas as pd

__all__ = ["as_markdown", "as_text"]

_HEADS: Final = {"width": "±/RMSE"}
_COUNTS: Final = ("n", "absent", "holds %")
_SIGNED: Final = ("bias",)
_SIZES: Final = ("SD", "RMSE", "p95", "worst", "u", "width")
_TARGETS: Final = ("target",)
_NOTHING: Final = "–"
_LEFT: Final = ("measure", "unit", "group", "met")


def as_text(table: pd.DataFrame) -> str:
    """Return a table in columns, two decimals; a measure's name is not repeated from group to group."""
    shown = _shown(table, decimals=2)
    names = ["measure", "unit"]
    shown[names] = shown[names].mask(shown["measure"].duplicated(), "")
    return "\n".join(_columns(shown))


def as_markdown(table: pd.DataFrame) -> str:
    """Return a table as GitHub shows it, one decimal; names of measures are code."""
    shown = _shown(table, decimals=1)
    shown["measure"] = "`" + shown["measure"] + "`"
    rows = [list(shown.columns), ["---" if name in _LEFT else "--:" for name in shown.columns]]
    rows += shown.to_numpy().tolist()
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _shown(table: pd.DataFrame, *, decimals: int) -> pd.DataFrame:
    """Return the table with every cell a string."""
    forms = dict.fromkeys(_COUNTS, ".0f") | dict.fromkeys(_SIGNED, f"+.{decimals}f")
    forms |= dict.fromkeys(_SIZES, f".{decimals}f") | dict.fromkeys(_TARGETS, "g")
    shown = table.reset_index()
    for name in forms.keys() & set(shown.columns):
        shown[name] = [
            _NOTHING if pd.isna(cell) else format(cell, forms[name]).replace("-", "−") for cell in shown[name]
        ]
    return shown.rename(columns=_HEADS)


def _columns(shown: pd.DataFrame) -> list[str]:
    rows = [list(shown.columns), *shown.to_numpy().tolist()]
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    left = [name in _LEFT for name in shown.columns]
    return [
        " ".join(
            cell.ljust(width) if to_left else cell.rjust(width)
            for cell, width, to_left in zip(row, widths, left, strict=True)
        ).rstrip()
        for row in rows
    ]
