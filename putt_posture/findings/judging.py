"""How a number lies to the coach's band, with what both are worth.

A band counts from a wanted value or has ends of its own. The wanted tilt and the suggested putter have uncertainties of
their own; what a coach asks for in centimetres has none.
"""

import math
from collections.abc import Mapping
from typing import Final

from attrs import frozen
from scipy.special import ndtr

from putt_posture.findings.coach_file import BandRule, CoachFile
from putt_posture.findings.quantities import estimate_of, wanted_of
from putt_posture.values import (
    NORMAL_95,
    Estimate,
    Fit,
    InBand,
    Posture,
    Student,
    WantedSetup,
    absent,
)

__all__ = ["CERTAIN", "Judged", "judge", "judge_all"]

CERTAIN: Final = 0.95
"""A value lies outside of its band where that is as likely as this, and within it where that is (common usage)."""


@frozen(kw_only=True)
class Judged:
    """One quantity held against its band.

    Attributes
    ----------
    quantity : str
    estimate : Estimate
        As filmed or typed; may be absent.
    wanted : Estimate or None
        What the band counts from; None where it has ends of its own.
    low, high : float or None
        Ends of the band, in the unit of the estimate.
    sd : float
        Standard uncertainty of the distance between the value and an end of the band.
    by_eye, source : str
        As in the coach's file.
    """

    quantity: str
    estimate: Estimate
    wanted: Estimate | None
    low: float | None
    high: float | None
    sd: float
    by_eye: str
    source: str

    @property
    def below(self) -> float:
        """The probability that the true value lies below the band; NaN where the estimate is absent."""
        return self._beyond(None if self.low is None else self.low - self.estimate.value)

    @property
    def above(self) -> float:
        """The probability that the true value lies above the band; NaN where the estimate is absent."""
        return self._beyond(None if self.high is None else self.estimate.value - self.high)

    @property
    def lies(self) -> InBand:
        """How it lies to the band, with `CERTAIN`."""
        if not self.estimate:
            return "absent"
        below, above = self.below, self.above
        if max(below, above) >= CERTAIN:
            return "outside"
        return "within" if below + above <= 1 - CERTAIN else "unsure"

    def _beyond(self, distance: float | None) -> float:
        if distance is None:
            return 0.0
        if not self.estimate:
            return math.nan
        if self.sd == 0:
            return float(distance > 0)
        return float(ndtr(distance / self.sd))


def judge_all(posture: Posture, fit: Fit, student: Student, coach: CoachFile) -> Mapping[str, Judged]:
    """Hold every quantity that has a band against it.

    Parameters
    ----------
    posture : Posture
    fit : Fit
        For the suggested putter, and the wanted tilt and lie where the coach asks for none.
    student : Student
    coach : CoachFile

    Returns
    -------
    mapping of str to Judged
    """
    wanted = coach.wanted or WantedSetup()
    return {
        name: judge(name, estimate_of(name, posture, student), rule, wanted=wanted_of(name, wanted, fit))
        for name, rule in coach.bands.items()
    }


def judge(quantity: str, estimate: Estimate, rule: BandRule, *, wanted: Estimate | None) -> Judged:
    """Hold a value against its band.

    Parameters
    ----------
    quantity : str
    estimate : Estimate
    rule : BandRule
    wanted : Estimate or None
        What the band counts from; where it is absent, so is the judgement.
    """
    relative = rule.below is not None or rule.above is not None
    low, high, own = rule.low, rule.high, 0.0
    if relative:
        if wanted is None or not wanted:
            reason = (wanted.absent if wanted is not None else None) or "There is nothing that it should be near."
            estimate = estimate if not estimate else absent(reason, unit=estimate.unit, view=estimate.view)
            wanted = None
        else:
            low = None if rule.below is None else wanted.value - rule.below
            high = None if rule.above is None else wanted.value + rule.above
            own = wanted.standard_uncertainty
    sd = math.hypot(estimate.margin / NORMAL_95, own, rule.doubt) if estimate else math.nan
    return Judged(
        quantity=quantity,
        estimate=estimate,
        wanted=wanted if relative else None,
        low=low,
        high=high,
        sd=sd,
        by_eye=rule.by_eye,
        source=rule.source,
    )
