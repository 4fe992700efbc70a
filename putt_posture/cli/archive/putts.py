"""Putts as a coach types them, and practice tests for the terminal."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from putt_posture.errors import UnitError
from putt_posture.units import read_length_cm

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.values import PracticeTest

__all__ = ["practice_as_plain", "read_putts", "show_practice"]

_ONE: Final = re.compile(
    r"\s*(?P<length>.+?)[\s:]+(?P<holed>\d{1,6})\s*(?:/|of)\s*(?P<tried>\d{1,6})\s*(?:[,;]|$)", re.ASCII
)
_CM_PER_FOOT: Final = 30.48


def read_putts(text: str) -> list[tuple[float, int, int]]:
    """Read putts holed of putts tried, by length.

    Returns
    -------
    list of (float, int, int)
        Length in cm, putts holed, putts tried.

    Raises
    ------
    UnitError
        If a part cannot be read.

    Examples
    --------
    >>> read_putts("1m 8/10, 3ft 1in 5 of 10")
    [(100.0, 8, 10), (93.98, 5, 10)]
    """
    found, at = [], 0
    while text[at:].strip():
        one = _ONE.match(text, at)
        if one is None:
            raise UnitError(
                f"The putts {text[at:].strip()!r} cannot be read. Write each length with holed of tried, commas "
                "between: 3ft 8/10, 6ft 5/10."
            )
        found.append((read_length_cm(one["length"]), int(one["holed"]), int(one["tried"])))
        at = one.end()
    if not found:
        raise UnitError("No putts were given. Write each length with holed of tried: 3ft 8/10, 6ft 5/10.")
    return found


def practice_as_plain(tests: tuple[PracticeTest, ...]) -> list[dict[str, Any]]:
    """Return practice tests, and what they say, as what JSON knows."""
    from putt_posture.cli.archive.as_json import as_plain
    from putt_posture.practice import read_practice

    found = []
    for test in tests:
        result = read_practice(test)
        spread = result.spread
        found.append(
            {
                "number": test.number,
                "day": test.day.isoformat(),
                "note": test.note,
                "shares": as_plain(result.shares),
                "start_line_spread_deg": None if spread is None else spread.sigma.value,
                "low_deg": None if spread is None else spread.low_deg,
                "high_deg": None if spread is None else spread.high_deg,
                "why_not": result.why_not,
                "misfit": result.misfit,
            }
        )
    return found


def show_practice(tests: tuple[PracticeTest, ...], *, console: Console) -> None:
    """Print practice tests: shares holed with their intervals, and the scatter of start lines."""
    from putt_posture.cli.table import new_table, show_bullet
    from putt_posture.figures import format_putt
    from putt_posture.practice import read_practice
    from putt_posture.report.practice_content import format_spread

    table = new_table()
    for title in ("Test", "Day", "Length", "Holed", "Share (95 %)"):
        table.add_column(title, justify="left" if title == "Day" else "right", no_wrap=True)
    results = [(test, read_practice(test)) for test in tests]
    for test, result in results:
        for row, share in enumerate(result.shares):
            table.add_row(
                str(test.number) if row == 0 else "",
                str(test.day) if row == 0 else "",
                format_putt(share.distance_cm),
                f"{share.holed} of {share.tried}",
                f"{share.share:.0%} ({share.low:.0%} to {share.high:.0%})",
            )
    console.print(table)
    console.print("Start lines scatter by, with 95 % interval")
    for test, result in results:
        note = f" ({test.note})" if test.note else ""
        says = format_spread(result.spread) if result.spread is not None else result.why_not
        show_bullet(f"Test {test.number}{note}: {says} {result.misfit}".rstrip(), console=console)
