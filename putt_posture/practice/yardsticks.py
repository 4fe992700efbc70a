"""Published putts of professionals, shipped with the package: a yardstick, not a goal."""

import csv
from functools import cache
from importlib import resources
from typing import Final

from putt_posture.practice.results import Yardstick
from putt_posture.setup_arc import PUTT_RANGE_CM, fit_start_line_spread
from putt_posture.values import PuttCount, StartLineSpread

__all__ = ["fit_yardstick", "load_yardsticks"]

_CM_PER_FOOT: Final = 30.48


@cache
def load_yardsticks() -> tuple[Yardstick, ...]:
    """Return Berry's and Broadie's counts; see ``putts/README.md`` for what is known of them."""
    return (
        Yardstick(
            name="berry1995",
            title="professionals, publ. 1995",
            who="Putts of professional golfers, 2 to 20 feet, the ones to which Gelman and Nolan fitted their model.",
            source="D. Berry, Statistics: A Bayesian Perspective (Duxbury 1995), as public copies print the table; "
            "A. Gelman and D. Nolan, A probability model for golf putting, Teaching Statistics 24 (2002).",
            counts=_read_counts("berry1995.csv"),
            modelled=True,
        ),
        Yardstick(
            name="broadie2018",
            title="professionals, publ. 2018",
            who="Measured putts of professional golfers, more than a million of them.",
            source="M. Broadie's counts as A. Gelman publishes them in the Stan case study Model building and "
            "expansion for golf putting (2019).",
            counts=_read_counts("broadie2018.csv"),
            modelled=False,
        ),
    )


def fit_yardstick(yardstick: Yardstick) -> StartLineSpread:
    """Fit Gelman and Nolan's model to published putts; lengths too short for a putt are left out.

    Parameters
    ----------
    yardstick : Yardstick
    """
    counts = [count for count in yardstick.counts if count.distance_cm >= PUTT_RANGE_CM[0]]
    return fit_start_line_spread(
        [count.distance_cm for count in counts],
        tried=[count.tried for count in counts],
        holed=[count.holed for count in counts],
    )


def _read_counts(name: str) -> tuple[PuttCount, ...]:
    text = resources.files("putt_posture.practice").joinpath("putts", name).read_text(encoding="utf-8")
    return tuple(
        PuttCount(
            distance_cm=float(row["distance_ft"]) * _CM_PER_FOOT, tried=int(row["tries"]), holed=int(row["successes"])
        )
        for row in csv.DictReader(text.splitlines())
    )
