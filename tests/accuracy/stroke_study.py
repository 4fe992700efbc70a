"""How far the numbers of a stroke are from the truth on rendered strokes.

Make strokes with ``sample_clips/make_strokes.py OUT``, then::

    python tests/accuracy/stroke_study.py OUT --part held_out --work FOLDER [--rate 30] [--markdown] [--csv FILE]

Both clips of each take go through the whole pipeline as a coach would use it. What was seen is kept in ``--work`` and
taken from there whatever the code is by then: empty it after a change of detection.
"""

import argparse
import datetime
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import pandas as pd
from stroke_measuring import measure_takes
from stroke_rates import RATES
from stroke_tables import tabulate_numbers, tabulate_targets
from stroke_takes import read_takes

from putt_posture import PuttPostureError

_ROOT: Final = Path(__file__).parents[2]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the study and print its tables; return the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path, help="folder of takes")
    parser.add_argument("--part", choices=("tuning", "held_out", "all"), default="held_out", help="what they are for")
    parser.add_argument("--rate", choices=RATES, default="60", help="frames a second; slow is 240 played at 30")
    parser.add_argument("--work", type=Path, required=True, metavar="FOLDER", help="keep what was seen here")
    parser.add_argument("--takes", nargs="+", metavar="NAME", help="only these")
    parser.add_argument(
        "--shaken", action="store_true", help="only takes with cameras held by hand, else those without"
    )
    parser.add_argument("--with-line", action="store_true", help="the coach marks the target line down the line")
    parser.add_argument("--seen-only", action="store_true", help="only takes that were looked at before")
    parser.add_argument("--markdown", action="store_true", help="print the tables as Markdown")
    parser.add_argument("--csv", type=Path, metavar="FILE", help="write every single value here")
    options = parser.parse_args(arguments)
    if options.work.resolve().is_relative_to(_ROOT):
        parser.error(f"--work {options.work} is inside the project; what was seen belongs outside it.")
    try:
        takes = read_takes(options.folder, parts=None if options.part == "all" else {options.part})
    except PuttPostureError as error:
        print(error, file=sys.stderr)
        return 2
    chosen = tuple(
        take
        for take in takes
        if take.is_shaken == options.shaken
        and (not options.takes or take.name in options.takes)
        and (not options.seen_only or (options.work / f"{take.name}_{options.rate}.pickle").exists())
    )
    if not chosen:
        print(f"None of the {len(takes)} takes of that part is left to study.", file=sys.stderr)
        return 2
    rows = measure_takes(
        chosen,
        rate=options.rate,
        work=options.work,
        with_line=options.with_line,
        tell=lambda name: print(name, file=sys.stderr),
    )
    if options.csv:
        rows.to_csv(options.csv, index=False)
    strokes = sum(len(take.truth["strokes"]) for take in chosen)
    invented = int((rows.what == "invented").sum())
    print(
        f"{datetime.date.today():%Y-%m-%d}, {len(chosen)} takes of part {options.part} with {strokes} strokes, each "
        f"from both sides, {options.rate} frames a second; {invented} strokes were found that are none."
    )
    show = _as_markdown if options.markdown else _as_text
    for table in (tabulate_targets(rows), tabulate_numbers(rows)):
        print(f"\n{show(table)}")
    for reason, count in rows.absent.dropna().value_counts().items():
        print(f"{count} times absent: {reason}", file=sys.stderr)
    return 0


def _as_text(table: pd.DataFrame) -> str:
    return table.reset_index().to_string(index=False, float_format=lambda value: f"{value:.2f}", na_rep="–")


def _as_markdown(table: pd.DataFrame) -> str:
    shown = table.reset_index()
    numeric = [pd.api.types.is_numeric_dtype(shown[name]) for name in shown.columns]
    rows = [list(shown.columns), ["--:" if each else "---" for each in numeric]]
    rows += [[_cell(name, cell) for name, cell in row.items()] for _, row in shown.iterrows()]
    return "\n".join(f"| {' | '.join(map(str, row))} |" for row in rows)


def _cell(name: str, cell: object) -> object:
    if not isinstance(cell, float):
        return cell
    if pd.isna(cell):
        return "–"
    if name in ("n", "absent", "holds %", "target"):
        return f"{cell:g}" if name == "target" else f"{cell:.0f}"
    return f"{cell:{'+' if name == 'bias' else ''}.2f}".replace("-", "−")


if __name__ == "__main__":
    sys.exit(main())
