"""The published body tables, read once from the package, and the people that they describe.

``tables/ansur2.csv``: computed from the public release of Gordon, Blackwell, Bradtmiller et al. (2014), *2012
Anthropometric Survey of U.S. Army Personnel: Methods and Summary Statistics*, Natick/TR-15/007 (4082 men, 1986 women);
centimetres. Each dimension is one of the survey's or a sum or difference of some, with its least-squares line on
stature, and its least-squares plane on stature and standing wrist height.

``tables/deleva1996.csv``: de Leva (1996), Adjustments to Zatsiorsky-Seluyanov's segment inertia parameters, *Journal of
Biomechanics* 29, 1223-1230, Table 4; masses are shares of body mass for one side, centres are shares of the segment's
length from its start.

ANSUR II (2012) measured adult soldiers: men of 175.6 ± 6.9 cm, women of 162.9 ± 6.4 cm. Their lines on stature continue
beyond these people, but it is not known that bodies follow them there; juniors have other proportions.
"""

import csv
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final, get_args

from attrs import frozen

from putt_posture.errors import InstallationError
from putt_posture.values import Sex

__all__ = ["TABLE_STATURES_CM", "Regression", "SegmentMass", "find_table_widening", "load_ansur2", "load_deleva1996"]


@frozen(kw_only=True)
class Regression:
    """One dimension of ANSUR II in one sex, cm.

    Attributes
    ----------
    n : int
        People measured.
    mean, sd : float
        Mean and standard deviation, cm.
    intercept, slope, see : float
        Line on stature (cm) and the standard error of the estimate, cm.
    wrist_intercept, wrist_stature_slope, wrist_slope, wrist_see : float
        Plane on stature and wrist height (cm), and its standard error, cm.
    """

    n: int
    mean: float
    sd: float
    intercept: float
    slope: float
    see: float
    wrist_intercept: float
    wrist_stature_slope: float
    wrist_slope: float
    wrist_see: float


@frozen(kw_only=True)
class SegmentMass:
    """Mass and centre of mass of one segment in one sex.

    Attributes
    ----------
    start, end : str
        The two ends between which the centre lies.
    sides : int
        2 for a limb, 1 otherwise.
    mass : float
        Share of the body's mass, one side.
    centre : float
        Share of the segment's length from `start`.
    """

    start: str
    end: str
    sides: int
    mass: float
    centre: float


TABLE_STATURES_CM: Final[dict[Sex | None, tuple[float, float]]] = {
    "male": (150.0, 200.0),
    "female": (150.0, 187.0),
    None: (150.0, 200.0),
}
"""Barefoot statures for which the tables are valid, cm: 3.7 standard deviations about the men's mean and up to as many
above the women's. Below 150 cm women were measured too, but most who play are juniors."""
WIDENING_CM: Final = 25.0
"""Distance beyond them over which the spread of the tables becomes twice as wide, cm (judged: at 125 cm the men's line
on stature and a constant share of stature, two extrapolations, differ by 0.9, 1.9 and 2.3 standard errors for wrists,
hips and shoulders; 1.7 make a spread twice as wide)."""


@cache
def load_ansur2() -> Mapping[tuple[str, Sex], Regression]:
    """Read the regressions of ANSUR II, by dimension and sex.

    Raises
    ------
    InstallationError
        If the table is missing from the package or damaged.
    """
    sexes: dict[str, Sex] = {sex: sex for sex in get_args(Sex)}
    table = {}
    for row in _read_rows("ansur2.csv"):
        numbers = {
            key.removesuffix("_cm"): float(text) for key, text in row.items() if key not in ("dimension", "sex", "n")
        }
        table[row["dimension"], sexes[row["sex"]]] = Regression(n=int(row["n"]), **numbers)
    return MappingProxyType(table)


@cache
def load_deleva1996() -> Mapping[tuple[str, Sex], SegmentMass]:
    """Read de Leva's segment masses and centres, by segment and sex.

    Raises
    ------
    InstallationError
        If the table is missing from the package or damaged.
    """
    return MappingProxyType(
        {
            (row["segment"], sex): SegmentMass(
                start=row["start"],
                end=row["end"],
                sides=int(row["sides"]),
                mass=float(row[f"{sex}_mass"]),
                centre=float(row[f"{sex}_centre"]),
            )
            for row in _read_rows("deleva1996.csv")
            for sex in get_args(Sex)
        }
    )


def find_table_widening(stature_cm: float, sex: Sex | None) -> float:
    """Find the factor by which bodies of a stature spread more than the people of the tables; 1 within the tables.

    Parameters
    ----------
    stature_cm : float
        Barefoot height, cm.
    sex : {"female", "male"}, optional

    Examples
    --------
    >>> [find_table_widening(stature, "male") for stature in (130.0, 178.0, 210.0)]
    [1.8, 1.0, 1.4]
    """
    low, high = TABLE_STATURES_CM[sex]
    return 1.0 + max(low - stature_cm, stature_cm - high, 0.0) / WIDENING_CM


def _read_rows(name: str) -> list[dict[str, str]]:
    try:
        text = resources.files("putt_posture.body").joinpath("tables", name).read_text(encoding="utf-8")
    except OSError as error:
        raise InstallationError(f"The body table {name} is missing from the program. Install it again.") from error
    return list(csv.DictReader(text.splitlines()))
