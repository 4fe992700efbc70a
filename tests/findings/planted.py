"""Golfers with a planted fault, rendered and measured before: what is kept of them, and what is found in them."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from attrs import field, frozen

from putt_posture.documents.json_values import as_value
from putt_posture.findings import find_findings
from putt_posture.fitting.evidence import solve_by_tables
from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, Findings, Fit, MeasureName, Posture, Student, WantedSetup, absent

__all__ = ["FIRST_FOR_CHECKING", "HERE", "KEPT", "PLANTED_AS", "PlantedGolfer", "is_typed", "read_planted"]

HERE: Final = Path(__file__).parent
KEPT: Final = "planted_golfers.jsonl"
FIRST_FOR_CHECKING: Final = 2054
"""Findings may be worked on with golfers of seeds below, and are checked with the others alone."""
PLANTED_AS: Final[Mapping[str, str]] = {
    "putter_long": "putter_too_long",
    "hands_out": "hands_outside",
    "heels": "weight_on_heels",
    "elbows_behind": "elbows_behind",
    "elbows_floating": "elbows_floating",
    "too_much_tilt": "too_much_tilt",
}
"""What each planted fault is called in the coach's file."""


def is_typed(seed: int) -> bool:
    """Whether the length of the putter was typed for this golfer."""
    return seed % 2 == 0


@frozen(kw_only=True)
class PlantedGolfer:
    """One golfer of known posture, as measured.

    Attributes
    ----------
    seed : int
    fault : str
        One of `PLANTED_AS`, or ``none``.
    right_putter_cm, putter_cm : float
        The putter that fits the setup the golfer would have without the fault, and the one in hand.
    wanted, truth : mapping of str to float or None
        True measures without the fault, and as filmed.
    student : Student
    posture : Posture or None
        None where the program refused the pictures.
    fit : Fit or None
    refused : str
        Why.
    """

    seed: int
    fault: str
    right_putter_cm: float
    putter_cm: float
    wanted: Mapping[str, float | None] = field(repr=False)
    truth: Mapping[str, float | None] = field(repr=False)
    student: Student
    posture: Posture | None = field(repr=False)
    fit: Fit | None = field(repr=False)
    refused: str = ""

    @property
    def wanted_fit(self) -> Fit:
        """The putter and the posture that this body was in before anything was put wrong, as a fit without errors."""
        setup = {name: _exactly(value, MEASURES[MeasureName(name)].unit) for name, value in self.wanted.items()}
        return Fit(
            putter_length=_exactly(self.right_putter_cm, "cm"),
            stock_length_in=None,
            lie=_exactly(self.wanted.get("shaft_lie"), "deg"),
            setup=setup,
        )

    @property
    def findings(self) -> Findings:
        """What the program finds with the shipped coach's file."""
        assert self.posture is not None
        assert self.fit is not None
        return find_findings(self.posture, self.fit, self.student)

    @property
    def first(self) -> str | None:
        """Name of the first finding, None where nothing was found."""
        found = self.findings.found
        return found[0].name if found else None


def read_planted(file: Path = HERE / KEPT) -> tuple[PlantedGolfer, ...]:
    """Read the kept golfers, by seed.

    Parameters
    ----------
    file : Path
    """
    lines = file.read_text(encoding="utf-8").splitlines()
    return tuple(sorted(map(_golfer, map(json.loads, lines)), key=lambda golfer: golfer.seed))


def _golfer(kept: Mapping[str, Any]) -> PlantedGolfer:
    fit, student = kept.get("fit"), as_value(kept["student"], Student)
    return PlantedGolfer(
        **{name: kept[name] for name in ("seed", "fault", "right_putter_cm", "putter_cm", "wanted", "truth")},
        student=student,
        posture=Posture(estimates=_estimates(kept["posture"])) if "posture" in kept else None,
        fit=fit
        and Fit(
            putter_length=as_value(fit["putter_length"], Estimate),
            stock_length_in=fit["stock_length_in"],
            lie=as_value(fit["lie"], Estimate),
            setup=_estimates(fit["setup"]),
            tilt_by_tables=solve_by_tables(student, WantedSetup()).setup.get("spine_tilt"),
        ),
        refused=kept.get("refused", ""),
    )


def _estimates(entries: Mapping[str, Any]) -> dict[MeasureName, Estimate]:
    return {MeasureName(name): as_value(entry, Estimate) for name, entry in entries.items()}


def _exactly(value: float | None, unit: str) -> Estimate:
    if value is None:
        return absent("There is no true value.", unit=unit)
    return Estimate(value=value, standard_uncertainty=0.0, unit=unit, method="as it is true")
