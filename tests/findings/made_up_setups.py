"""Made-up setups for the tests of findings: every measure where it is wanted, as uncertain as in a usual lesson."""

from collections.abc import Mapping

from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, Fit, Posture, Student, absent

USUAL = {
    "spine_tilt": (36.0, 2.0),
    "back_rounding": (20.0, 5.0),
    "head_drop": (18.0, 5.0),
    "knee_flex": (15.0, 5.0),
    "elbow_bend_lead": (20.0, 9.0),
    "elbow_bend_trail": (20.0, 9.0),
    "hand_offset": (0.0, 2.6),
    "hand_height": (71.0, 2.0),
    "elbow_gap_lead": (1.0, 1.8),
    "elbow_gap_trail": (1.0, 1.8),
    "elbow_depth": (0.0, 3.0),
    "eye_offset": (-1.0, 1.2),
    "ball_distance": (25.0, 1.2),
    "balance": (60.0, 7.5),
    "shaft_lie": (71.0, 0.6),
    "putter_length": (84.0, 2.6),
    "stance_width": (31.0, 1.3),
    "ball_position": (3.0, 1.6),
    "shoulder_level": (2.0, 1.7),
    "side_bend": (0.5, 1.3),
    "head_position": (-3.5, 0.9),
    "shaft_lean": (0.5, 0.8),
    "sideways_balance": (52.0, 3.5),
}
"""Value and standard uncertainty, as usual lessons have them."""
WANTED = {
    "spine_tilt": (36.0, 2.6, "deg"),
    "back_rounding": (20.0, 6.0, "deg"),
    "head_drop": (18.0, 4.0, "deg"),
    "knee_flex": (15.0, 4.0, "deg"),
    "elbow_bend": (20.0, 4.3, "deg"),
    "hand_offset": (0.0, 1.0, "cm"),
    "elbow_depth": (0.0, 1.0, "cm"),
    "hand_height": (71.0, 2.4, "cm"),
    "eye_offset": (-1.0, 1.5, "cm"),
    "ball_distance": (25.0, 3.3, "cm"),
    "balance": (60.0, 5.0, "%"),
}


def posture_of(changed: Mapping[str, float | str | None] | None = None, *, shrink: float = 1.0) -> Posture:
    """Return a usual setup with some values changed; a text instead of a value is the reason why it is absent."""
    estimates = {}
    for name, (value, sd) in USUAL.items():
        unit = MEASURES[name].unit
        held = (changed or {}).get(name, value)
        estimates[name] = (
            absent(held, unit=unit)
            if isinstance(held, str)
            else Estimate(value=held, standard_uncertainty=sd * shrink, unit=unit, method="made up")
        )
    return Posture(estimates=estimates, marks={}, warnings=())


def fit_of(length_cm: float = 84.0, sd: float = 2.5) -> Fit:
    """Return a fit with a suggested length."""
    return Fit(
        putter_length=Estimate(value=length_cm, standard_uncertainty=sd, unit="cm", method="made up"),
        stock_length_in=33.0,
        lie=Estimate(value=70.6, standard_uncertainty=1.3, unit="deg", method="made up"),
        setup={
            name: Estimate(value=value, standard_uncertainty=sd, unit=unit, method="made up")
            for name, (value, sd, unit) in WANTED.items()
        },
    )


def student_of(*, handed: str = "right", putter_length_cm: float | None = 84.0) -> Student:
    """Return a student with a putter that fits."""
    return Student(stature_cm=175.0, handed=handed, putter_length_cm=putter_length_cm)
