"""The inputs of a fit: the filmed posture, the putter in use, and common practice where a measure is missing.

A putter held at the top of its grip shows how high the hands are. One that is braced against the forearm or reaches to
belly or chest extends far above the hands, and its length does not show where they are.
"""

import math
from collections.abc import Mapping
from typing import Final

from attrs import evolve, frozen

from putt_posture.body import PUTTER_TAPE_SD_CM, SHORTEST_PUTTER_CM
from putt_posture.figures import format_given, format_value
from putt_posture.measures.arms import ELBOW_BEND_LEAD, ELBOW_BEND_TRAIL, HAND_HEIGHT, HAND_OFFSET
from putt_posture.measures.club import SHAFT_LIE
from putt_posture.measures.head import EYE_OFFSET, HEAD_DROP
from putt_posture.measures.legs import KNEE_FLEX
from putt_posture.measures.trunk import BACK_ROUNDING, SPINE_TILT
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Estimate, Posture, Student

__all__ = [
    "GRIP_DOWN_SD_CM",
    "HANDS_ALONE_SD_CM",
    "MEASURE_CORRELATION",
    "USUAL_LIE",
    "FilmedSetup",
    "find_putter_in_use",
    "find_putter_slip",
    "name_long_putter",
    "read_filmed_setup",
]

GRIP_DOWN_SD_CM: Final = 1.3
"""How much students grip down, or up, from their usual hold: one sigma of about half an inch (common practice)."""
PUTTER_SLIP: Final = 0.1
"""How often the length of a usual putter does not show where the hands are: gripped far down, or mistyped (judged)."""
LONG_FROM_IN: Final = (37.0, 41.0)
"""Lengths from which putters may be of a long kind, and from which all are, inches (common practice; a man of two
metres may hold one of 39 in at the top of its grip)."""
LONG_KINDS: Final = (("arm-lock", 38.0, 44.0), ("mid-length", 40.0, 46.0), ("long", 45.0, 60.0))
"""Kinds of putters that are not held at the top of their grip, with the lengths in which they are sold, inches (common
practice): braced against the forearm, to the belly, to the chest."""
MEASURE_CORRELATION: Final[Mapping[tuple[str, str], float]] = {
    ("tilt", "offset"): -0.71,
    ("offset", "hand_height"): -0.11,
    ("tilt", "hand_height"): 0.09,
}
"""Correlations of the measures' errors (accuracy study's tuning part, 71 shots): shoulders placed too far toward the
ball raise the tilt and lower the offset. Names are attributes of `FilmedSetup`."""
USUAL_LIE: Final = Estimate(
    value=71.0, standard_uncertainty=1.5, unit="deg", method="usual lie of putters sold, common practice"
)
"""Trade pages give 71°, adjustable, 70° to 72° typical."""
LIE_RANGE_DEG: Final = (50.0, 90.0)
"""A measured lie outside of these comes from wrong ends of the shaft, deg."""
HANDS_ALONE_SD_CM: Final = 2.0
"""How far hands without a putter are from where they would hold it, up or down, one sigma, cm: palm to palm or hanging
apart, an arm reaches 1 to 3 cm lower than two hands one above the other on a grip (geometry of arms and shoulders), and
students put their hands together higher or lower than they hold a putter (judged)."""
USUAL_ELBOW_BEND: Final = Estimate(value=30.0, standard_uncertainty=15.0, unit="deg", method="common practice")
USUAL_KNEE_FLEX: Final = Estimate(value=15.0, standard_uncertainty=8.0, unit="deg", method="common practice")
USUAL_ROUNDING: Final = Estimate(value=28.0, standard_uncertainty=12.0, unit="deg", method="judged")
USUAL_HEAD_DROP: Final = Estimate(value=20.0, standard_uncertainty=8.0, unit="deg", method="judged")


@frozen(kw_only=True)
class FilmedSetup:
    """The setup as filmed.

    Attributes
    ----------
    tilt, offset, hand_height : Estimate
        As measured, deg, cm, cm; any may be absent.
    eye_offset : Estimate
        As measured, cm; may be absent.
    lie : Estimate
        Measured, or the usual one, deg.
    lie_says : str
        One sentence on which lie it is.
    knee_flex, elbow_bend, rounding, head_drop : Estimate
        Measured (elbows: mean of those measured), or usual, deg.
    """

    tilt: Estimate
    offset: Estimate
    hand_height: Estimate
    eye_offset: Estimate
    lie: Estimate
    lie_says: str
    knee_flex: Estimate
    elbow_bend: Estimate
    rounding: Estimate
    head_drop: Estimate

    @property
    def missing(self) -> str | None:
        """Return one sentence where a measure is absent that a fit from clips needs; None where all are present."""
        for title, measure in (
            ("spine tilt", self.tilt),
            ("hand offset", self.offset),
            ("hand height", self.hand_height),
        ):
            if not measure:
                return f"The {title} is missing: {measure.absent}"
        return None


def find_putter_in_use(student: Student) -> Estimate | None:
    """Return the length of the putter in use, cm; None where it was not given.

    Parameters
    ----------
    student : Student
    """
    if student.putter_length_cm is None:
        return None
    return Estimate(
        value=student.putter_length_cm,
        standard_uncertainty=PUTTER_TAPE_SD_CM,
        unit="cm",
        method="measured with a tape",
        floor=SHORTEST_PUTTER_CM,
    )


def find_putter_slip(length_cm: float) -> float:
    """Find the prior probability that a putter's length does not show where the hands are, 0 to 1.

    It rises smoothly from `PUTTER_SLIP` to 1 over `LONG_FROM_IN`.

    Parameters
    ----------
    length_cm : float
        Butt to sole along the shaft.

    Examples
    --------
    >>> [round(find_putter_slip(inches * 2.54), 2) for inches in (35, 39, 44)]
    [0.1, 0.55, 1.0]
    """
    start, end = LONG_FROM_IN
    part = min(max((length_cm / CM_PER_INCH - start) / (end - start), 0.0), 1.0)
    return PUTTER_SLIP + (1 - PUTTER_SLIP) * part**2 * (3 - 2 * part)


def name_long_putter(length_cm: float) -> str | None:
    """Name the kinds of long putters that are sold in a length; None for a usual length.

    Parameters
    ----------
    length_cm : float
        Butt to sole along the shaft.

    Examples
    --------
    >>> name_long_putter(42 * 2.54)
    'arm-lock or mid-length'
    >>> name_long_putter(35 * 2.54) is None
    True
    """
    inches = length_cm / CM_PER_INCH
    kinds = [kind for kind, least, most in LONG_KINDS if least <= inches <= most]
    return " or ".join(kinds) or None


def read_filmed_setup(posture: Posture, *, without_putter: bool = False) -> FilmedSetup:
    """Read the inputs of a fit from a posture.

    Parameters
    ----------
    posture : Posture
    without_putter : bool
        Whether the hands held no putter: their height then counts less.
    """
    lie, lie_says = (USUAL_LIE, _LIE_WITHOUT) if without_putter else _read_lie(posture[SHAFT_LIE.name])
    hand_height = posture[HAND_HEIGHT.name]
    if without_putter and hand_height:
        hand_height = evolve(
            hand_height,
            standard_uncertainty=math.hypot(hand_height.standard_uncertainty, HANDS_ALONE_SD_CM),
            budget={**hand_height.budget, "no grip in the hands": HANDS_ALONE_SD_CM},
        )
    bends = [one for one in (posture[ELBOW_BEND_LEAD.name], posture[ELBOW_BEND_TRAIL.name]) if one]
    return FilmedSetup(
        tilt=posture[SPINE_TILT.name],
        offset=posture[HAND_OFFSET.name],
        hand_height=hand_height,
        eye_offset=posture[EYE_OFFSET.name],
        lie=lie,
        lie_says=lie_says,
        knee_flex=posture[KNEE_FLEX.name] or USUAL_KNEE_FLEX,
        elbow_bend=_mean(bends) if bends else USUAL_ELBOW_BEND,
        rounding=posture[BACK_ROUNDING.name] or USUAL_ROUNDING,
        head_drop=posture[HEAD_DROP.name] or USUAL_HEAD_DROP,
    )


_LIE_WITHOUT: Final = (
    "Filmed without a putter, so the lie as filmed is not known; the usual "
    f"{format_given(USUAL_LIE.value, 'deg')} was taken (common practice)."
)


def _read_lie(measured: Estimate) -> tuple[Estimate, str]:
    low, high = LIE_RANGE_DEG
    if not measured:
        return USUAL_LIE, (
            "The filmed lie was not measured; for the putter in use the usual "
            f"{format_given(USUAL_LIE.value, 'deg')} was taken (common "
            "practice)."
        )
    if not low <= measured.value <= high:
        return USUAL_LIE, (
            f"The measured lie of {format_value(measured.value, 'deg')} is not possible for a putter; for the putter "
            f"in use the usual {format_given(USUAL_LIE.value, 'deg')} was taken (common practice). Check the shaft's "
            "two ends."
        )
    return measured, f"The filmed shaft lies at {format_value(measured.value, 'deg')}."


def _mean(estimates: list[Estimate]) -> Estimate:
    # The two elbows are seen by the same camera, so their errors do not average out.
    return Estimate(
        value=sum(one.value for one in estimates) / len(estimates),
        standard_uncertainty=max(one.standard_uncertainty for one in estimates),
        unit=estimates[0].unit,
        method="mean of the elbows measured",
    )
