"""What shoes add to a barefoot height."""

from typing import Final

from putt_posture.values import Estimate

__all__ = ["SHOE_SOLE"]

SHOE_SOLE: Final = Estimate(
    value=2.5, standard_uncertainty=0.7, unit="cm", method="sole of a golf shoe under the heel, common practice"
)
"""How much higher a person stands in shoes, cm (common practice; no table was found)."""
