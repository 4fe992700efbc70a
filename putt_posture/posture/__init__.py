"""The measures, pure: landmarks and scene in, numbers with uncertainties out."""

from putt_posture.posture.measure import measure_posture

__all__ = ["measure_posture"]
