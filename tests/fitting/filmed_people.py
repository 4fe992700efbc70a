"""Postures for the tests of the fit: filmed, with the uncertainties of the accuracy study."""

from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, Posture, absent

SIGMAS = {
    "spine_tilt": 2.7, "hand_offset": 2.9, "hand_height": 2.1, "shaft_lie": 0.5, "knee_flex": 3.0, "eye_offset": 1.3,
    "back_rounding": 7.0, "head_drop": 7.6, "elbow_bend_lead": 7.0, "elbow_bend_trail": 5.0,
}  # fmt: skip


def posture(*, sharper=1.0, **values):
    """Return a posture with these measures; the others are absent. `sharper` divides every uncertainty."""
    estimates = {name: absent(f"No {name} seen.", unit=measure.unit) for name, measure in MEASURES.items()}
    for name, value in values.items():
        estimates[name] = Estimate(
            value=value, standard_uncertainty=SIGMAS.get(name, 3.0) / sharper, unit=MEASURES[name].unit, frames=9
        )
    return Posture(estimates=estimates)
