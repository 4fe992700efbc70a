"""What can have a band: the measures, and the putter in use; and what each should be near."""

from collections.abc import Mapping
from typing import Final

from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, Fit, MeasureName, Posture, Student, WantedSetup

__all__ = ["PUTTER_IN_USE", "counts_from_wanted", "estimate_of", "title_of", "wanted_field", "wanted_of"]

PUTTER_IN_USE: Final = "putter_in_use"
"""The one quantity with a band that is no measure: the length as typed, or else as measured."""
TYPED_LENGTH_SD_CM: Final = 0.3
"""Of a length of a putter measured with a tape (judged; as for the fit)."""
_TITLES: Final = {PUTTER_IN_USE: "Putter in use"}
_COUNTS_FROM: Final[Mapping[str, str]] = {
    "hand_offset": "hand_offset_cm",
    "elbow_depth": "elbow_depth_cm",
    "eye_offset": "eye_offset_cm",
    "balance": "balance_percent",
    "knee_flex": "knee_flex_deg",
    "back_rounding": "back_rounding_deg",
    "head_drop": "head_drop_deg",
    "spine_tilt": "tilt_deg",
    "shaft_lie": "lie_deg",
    PUTTER_IN_USE: "",
}
"""The field of `WantedSetup` that a band counts from; of the putter it is the suggested length."""


def counts_from_wanted(quantity: str) -> bool:
    """Tell whether something says what a quantity should be near, so that a band can count from it.

    Parameters
    ----------
    quantity : str
    """
    return quantity in _COUNTS_FROM


def wanted_field(quantity: str) -> str:
    """Return the field of `WantedSetup` that a quantity counts from; empty where it has none.

    Parameters
    ----------
    quantity : str
    """
    return _COUNTS_FROM.get(quantity, "")


def title_of(quantity: str) -> str:
    """Return the title of a quantity.

    Parameters
    ----------
    quantity : str
        A measure, or `PUTTER_IN_USE`.
    """
    return _TITLES.get(quantity) or MEASURES[MeasureName(quantity)].title


def estimate_of(quantity: str, posture: Posture, student: Student) -> Estimate:
    """Return the number of a quantity as filmed; the putter in use as typed, or else as measured.

    Parameters
    ----------
    quantity : str
    posture : Posture
    student : Student
    """
    if quantity != PUTTER_IN_USE:
        return posture[quantity]
    if student.putter_length_cm is None:
        return posture["putter_length"]
    return Estimate(
        value=student.putter_length_cm, standard_uncertainty=TYPED_LENGTH_SD_CM, unit="cm", method="typed by hand"
    )


def wanted_of(quantity: str, wanted: WantedSetup, fit: Fit) -> Estimate | None:
    """Return what a quantity should be near; None where nothing says it.

    Parameters
    ----------
    quantity : str
    wanted : WantedSetup
        As the coach asks for it: those numbers are exact.
    fit : Fit
        For what follows from it. The filmed tilt moves the fit's own, so it is held against that of the tables.
    """
    if quantity == PUTTER_IN_USE:
        return fit.putter_length
    name = wanted_field(quantity)
    asked = getattr(wanted, name) if name else None
    if asked is not None:
        unit = MEASURES[MeasureName(quantity)].unit
        return Estimate(value=asked, standard_uncertainty=0.0, unit=unit, method="as the coach wants it")
    if quantity == "shaft_lie":
        return fit.lie
    if quantity == "spine_tilt" and fit.tilt_by_tables:
        return fit.tilt_by_tables
    return fit.setup.get(quantity)
