"""Say how often the first finding is what was planted, for golfers that were rendered and measured before.

    python tests/findings/study_planted.py [FILE] [--development] [--each]

Prints the tables of `results.md` as Markdown. FILE is what `keep_planted.py` writes. Golfers of seeds below
`FIRST_FOR_CHECKING` are for development and are left out, or alone taken with `--development`.
"""

import argparse
import itertools
import math
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any, Final

import pandas as pd
from planted import FIRST_FOR_CHECKING, HERE, KEPT, PLANTED_AS, PlantedGolfer, read_planted
from scipy.special import ndtr, ndtri
from scipy.stats import binomtest

from putt_posture.findings import CERTAIN, PUTTER_IN_USE, judge_all, load_coach_file
from putt_posture.findings.coach_file import Fault
from putt_posture.findings.quantities import wanted_of
from putt_posture.values import WantedSetup

__all__ = ["FAR", "find_true_excess", "outside_in_truth", "planted_excess", "rows_of", "share"]

FAR: Final = 2.0
"""A fault that is further outside its band than so many standard uncertainties should be found (the issue's bar)."""
NONE: Final = "none"
LARGEST_CHILD_CM: Final = 150.0


def find_true_excess(golfer: PlantedGolfer, fault: Fault, band: str) -> float | None:
    """Return how far the true value lies outside the coach's band on a fault's side, in the unit of the measure.

    Negative inside the band; None where there is no true value. What a measure should be near is what the coach asks
    for, and where the coach asks for nothing what was true of the same golfer in the wanted setup.

    Parameters
    ----------
    golfer : PlantedGolfer
    fault : Fault
    band : str
    """
    coach = load_coach_file()
    rule = coach.bands[band]
    value = golfer.putter_cm if band == PUTTER_IN_USE else golfer.truth[band]
    if value is None:
        return None
    near = wanted_of(band, coach.wanted or WantedSetup(), golfer.wanted_fit)
    low = near.value - rule.below if near and rule.below is not None else rule.low
    high = near.value + rule.above if near and rule.above is not None else rule.high
    if fault.side == "below":
        return None if low is None else low - value
    return None if high is None else value - high


def planted_excess(golfer: PlantedGolfer) -> tuple[float, float]:
    """Return how far the planted fault lies outside its band: in truth, and as measured.

    Parameters
    ----------
    golfer : PlantedGolfer
        Measured, with a fault.

    Returns
    -------
    (float, float)
        Both in the standard uncertainties that findings go by.
    """
    assert golfer.posture is not None
    assert golfer.fit is not None
    fault = next(each for each in load_coach_file().faults if each.name == PLANTED_AS[golfer.fault])
    judged = judge_all(golfer.posture, golfer.fit, golfer.student, load_coach_file())
    true, seen = [-math.inf], [-math.inf]
    for one in (judged[band] for band in fault.bands):
        excess = find_true_excess(golfer, fault, one.quantity)
        if one.estimate and excess is not None:
            true.append(excess / one.sd)
            seen.append(float(ndtri(one.below if fault.side == "below" else one.above)))
    return max(true), max(seen)


def outside_in_truth(golfer: PlantedGolfer) -> tuple[str, ...]:
    """Return the names of all faults that are true of a golfer, in the coach's order.

    Parameters
    ----------
    golfer : PlantedGolfer
    """
    return tuple(
        fault.name
        for fault in load_coach_file().faults
        if any((find_true_excess(golfer, fault, band) or -1.0) > 0 for band in fault.bands)
    )


def rows_of(golfers: Iterable[PlantedGolfer]) -> pd.DataFrame:
    """Return one row for each golfer that was measured.

    Parameters
    ----------
    golfers : iterable of PlantedGolfer
    """
    rows = []
    for golfer in golfers:
        if golfer.posture is None:
            continue
        true, found = outside_in_truth(golfer), [each.name for each in golfer.findings.found]
        first, planted = (found[0] if found else None), PLANTED_AS.get(golfer.fault)
        sigmas, seen = planted_excess(golfer) if planted else (None, None)
        rows.append(
            {
                "seed": golfer.seed,
                "fault": golfer.fault,
                "sigmas": sigmas,
                "seen": seen,
                "first": first or "nothing",
                "others": ", ".join(found[1:]),
                "true": ", ".join(true),
                "right": first == planted,
                "found": planted in found,
                "first_is_true": first is None or first in true,
                "handed": golfer.student.handed,
                "who": "children" if golfer.student.stature_cm <= LARGEST_CHILD_CM else f"{golfer.student.sex} adults",
                "typed": "typed" if golfer.student.putter_length_cm is not None else "not typed",
                "change_on_repeat": golfer.findings.change_on_repeat,
            }
        )
    return pd.DataFrame(rows)


def share(hits: Sequence[bool]) -> str:
    """Return how many of how many, with the 95 % interval after Wilson (1927) where there are any.

    Parameters
    ----------
    hits : sequence of bool
    """
    count, total = sum(map(bool, hits)), len(hits)
    if not total:
        return "0 of 0"
    ends = binomtest(count, total).proportion_ci(method="wilson")
    return f"{count} of {total} ({100 * ends.low:.0f} to {100 * ends.high:.0f} %)"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", type=Path, nargs="?", default=HERE / KEPT)
    parser.add_argument("--development", action="store_true", help="only the golfers that are not for checking")
    parser.add_argument("--each", action="store_true", help="one line for each golfer as well")
    options = parser.parse_args()
    golfers = [each for each in read_planted(options.file) if (each.seed < FIRST_FOR_CHECKING) == options.development]
    if not golfers:
        sys.exit(f"{options.file} holds no golfers of that part.")
    rows = rows_of(golfers)
    print(
        f"{len(golfers)} golfers, seeds {golfers[0].seed} to {golfers[-1].seed}; {len(golfers) - len(rows)} refused.\n"
    )
    if options.each:
        shown = rows.drop(columns=["found", "first_is_true"]).round({"sigmas": 1, "seen": 1, "change_on_repeat": 2})
        print(_table([list(shown), *shown.to_numpy().tolist()]), "\n")
    print(_table(_by_fault(rows)), "\n")
    print(_table(_by_size(rows)), "\n")
    print(_table(_by_group(rows)))


def _by_fault(rows: pd.DataFrame) -> list[list[Any]]:
    table: list[list[Any]] = [
        [
            "planted",
            "golfers",
            "over two sigma",
            "of these first",
            "of these found",
            "over two sigma as measured",
            "of these first",
            "first, of all",
            "first is true, of all",
        ]
    ]
    for fault in (*PLANTED_AS, "all faults"):
        some = rows[rows.fault != NONE] if fault == "all faults" else rows[rows.fault == fault]
        far, clear = some[some.sigmas > FAR], some[some.seen > FAR]
        table.append(
            [
                fault,
                len(some),
                len(far),
                share(far.right),
                share(far.found),
                len(clear),
                share(clear.right),
                share(some.right),
                share(some.first_is_true),
            ]
        )
    return table


def _by_size(rows: pd.DataFrame) -> list[list[Any]]:
    """Set beside how often a fault is found how often the uncertainties say that it must be.

    A fault so many sigma outside its band is found where the error of its number leaves the certain side: as often as a
    normal error is less than that distance less the point of `CERTAIN`.
    """
    table: list[list[Any]] = [
        ["outside its band by", "golfers", "first", "found", "would be found by the uncertainties"]
    ]
    some = rows[rows.fault != NONE]
    for low, high in itertools.pairwise((-math.inf, 0.0, 1.0, 2.0, 3.0, math.inf)):
        these = some[(some.sigmas > low) & (some.sigmas <= high)]
        expected = ndtr(these.sigmas.to_numpy(float) - ndtri(CERTAIN)).sum() if len(these) else 0.0
        label = f"more than {low:g} sigma" if high == math.inf else f"up to {high:g} sigma"
        table.append([label, len(these), share(these.right), share(these.found), f"{expected:.1f}"])
    return table


def _by_group(rows: pd.DataFrame) -> list[list[Any]]:
    table: list[list[Any]] = [["golfers", "over two sigma and first", "nothing wrong, but something found"]]
    groups: list[tuple[str, Callable[[pd.DataFrame], Any]]] = [("all", lambda some: some.seed > 0)]
    for name in ("handed", "who", "typed"):
        for value in sorted(rows[name].unique()):
            label = f"{value}-handed" if name == "handed" else f"putter {value}" if name == "typed" else value
            groups.append((label, lambda some, name=name, value=value: some[name] == value))
    for label, choose in groups:
        some = rows[choose(rows)]
        far, fine = some[(some.fault != NONE) & (some.sigmas > FAR)], some[(some.fault == NONE) & (some.true == "")]
        table.append([label, share(far.right), share(~fine.right)])
    return table


def _table(rows: Sequence[Sequence[Any]]) -> str:
    head, *body = (["" if cell is None else str(cell) for cell in row] for row in rows)
    return "\n".join(f"| {' | '.join(row)} |" for row in (head, ["---"] * len(head), *body))


if __name__ == "__main__":
    main()
