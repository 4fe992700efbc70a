"""The stroke that the filmed setup tends to give, beside that of the wanted one."""

import math

from attrs import evolve

from putt_posture.stroke.arc import USUAL_HALF_STROKE_CM, find_arc
from putt_posture.stroke.compare import compare_arcs
from putt_posture.stroke.pendulum import hang_pendulum, read_pendulum
from putt_posture.stroke.reach import find_reach
from putt_posture.values import Fit, Pendulum, Posture, StrokeComparison, Student, absent

__all__ = ["compare_setups", "hang_wanted_pendulum"]


def compare_setups(
    posture: Posture, student: Student, fit: Fit, *, half_stroke_cm: float = USUAL_HALF_STROKE_CM
) -> StrokeComparison | None:
    """Compare the filmed setup (before) with the wanted one (after).

    Parameters
    ----------
    posture : Posture
    student : Student
    fit : Fit
        Of that posture.
    half_stroke_cm : float
        How far the head swings to either side, along the target line.

    Returns
    -------
    StrokeComparison or None
        None where neither has an arc.
    """
    before = find_arc(read_pendulum(posture, student), half_stroke_cm=half_stroke_cm)
    after = find_arc(hang_wanted_pendulum(posture, student, fit), half_stroke_cm=half_stroke_cm)
    return compare_arcs(before, after) if before or after else None


def hang_wanted_pendulum(posture: Posture, student: Student, fit: Fit) -> Pendulum:
    """Hang the pendulum of the wanted setup: the arms of the body that the fit put into it.

    Their reach is as sure as that of the tables.
    """
    if fit.figure is None or not {"hand_offset", "hand_height"} <= fit.setup.keys():
        none = absent("There is no wanted setup to swing from.", unit="cm")
        return Pendulum(hand_offset=none, shoulder_drop=none, hand_height=none, lie=fit.lie)
    reach = math.dist(fit.figure.joints["shoulder"], fit.figure.joints["hands"])
    return hang_pendulum(
        hand_offset=fit.setup["hand_offset"],
        hand_height=fit.setup["hand_height"],
        lie=fit.lie,
        reach=evolve(find_reach(posture, student), value=reach, method="arms of the body in the wanted setup"),
    )
