"""All that a fit does not know for sure of a student who takes up a wanted setup."""

from collections.abc import Mapping
from typing import Final

from attrs import asdict

from putt_posture.body import SHOE_SOLE, find_grip_distance
from putt_posture.fitting.body_model import ClipLengths, Gaussian, find_lengths
from putt_posture.values import Estimate, Student, WantedSetup

__all__ = ["HABIT", "find_student_model"]

SLACK: Final = Estimate(value=0.0, standard_uncertainty=0.7, unit="cm", method="accuracy study")
"""How much higher the hands come than stiff links have them: shoulder blades slide, backs round elsewhere; what
is left in rendered golfers whose lengths and angles are known."""

CHANGE: Final = Estimate(value=0.0, standard_uncertainty=1.0, unit="cm", method="judged")
"""How much of that is another in the wanted setup than in the filmed one; one sigma."""

HABIT: Final[Mapping[str, float]] = {
    "hand_offset_cm": 1.0, "elbow_depth_cm": 1.0, "eye_offset_cm": 1.5, "balance_percent": 5.0, "knee_flex_deg": 4.0,
    "back_rounding_deg": 6.0, "head_drop_deg": 4.0, "eyes_lowered_deg": 6.0, "elbow_bend_deg": 5.0, "tilt_deg": 2.0,
    "lie_deg": 0.5,
}  # fmt: skip
"""How far a student who was brought into a wanted setup stays from it, one sigma each (judged: what a coach passes)."""

_NEVER_HABIT: Final = frozenset({"grip_down_cm"})


def find_student_model(student: Student, wanted: WantedSetup, *, measured: ClipLengths | None = None) -> Gaussian:
    """Put together what is not known for sure, as `find_setup` wants it.

    Parameters
    ----------
    student : Student
    wanted : WantedSetup
    measured : ClipLengths, optional
        Lengths between joints from scaled clips.

    Returns
    -------
    Gaussian
        Lengths of the body, ``sole``, ``slack`` and its ``change``, ``hold``, the distance from the butt to the hand
        centre, and the departure from each wish under its name.
    """
    wishes = asdict(wanted)
    if wanted.tilt_deg is None:
        wishes["elbow_bend_deg"] = 0.0  # wanted soft where nothing else is said
    habits = {
        name: Estimate(value=0.0, standard_uncertainty=HABIT[name], unit=name.rpartition("_")[2])
        for name, value in wishes.items()
        if value is not None and name not in _NEVER_HABIT
    }
    others = {"sole": SHOE_SOLE, "slack": SLACK, "change": CHANGE, "hold": find_grip_distance(student)}
    return find_lengths(student, measured=measured).extend(others | habits)
