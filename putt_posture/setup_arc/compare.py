"""The arcs of two setups side by side: the filmed one and the wanted one, or before and after."""

import math
from collections.abc import Sequence
from typing import Final

from attrs import evolve

from putt_posture.errors import UsageError
from putt_posture.setup_arc.arc import GEOMETRY_ONLY, USUAL_HALF_STROKE_CM, find_arc
from putt_posture.setup_arc.pendulum import find_reach, hang_pendulum, read_pendulum
from putt_posture.setup_arc.window import find_window
from putt_posture.values import Arc, ArcComparison, Estimate, Fit, Pendulum, Posture, Student, absent

__all__ = ["USUAL_PUTTS_CM", "compare_arcs", "compare_setups", "hang_wanted_pendulum"]

USUAL_PUTTS_CM: Final = (150.0, 300.0, 600.0)
"""About five, ten and twenty feet."""


def compare_arcs(before: Arc, after: Arc, *, putts_cm: Sequence[float] = USUAL_PUTTS_CM) -> ArcComparison:
    """Compare two arcs, with their windows for some lengths of putt.

    Parameters
    ----------
    before, after : Arc
        Over strokes of the same length.
    putts_cm : sequence of float

    Returns
    -------
    ArcComparison
        The errors of the two count as independent, so the uncertainty of the change is rather too large.

    Raises
    ------
    UsageError
        If the strokes differ in length.
    """
    if before.half_stroke_cm != after.half_stroke_cm:
        raise UsageError(
            f"Arcs over {before.half_stroke_cm:g} cm and {after.half_stroke_cm:g} cm to either side cannot be "
            "compared; find both over the same stroke."
        )
    return ArcComparison(
        before=before,
        after=after,
        depth_change=_find_change(before.depth, after.depth),
        windows=tuple((find_window(before, putt_cm=putt), find_window(after, putt_cm=putt)) for putt in putts_cm),
        says=GEOMETRY_ONLY,
    )


def compare_setups(
    posture: Posture, student: Student, fit: Fit, *, half_stroke_cm: float = USUAL_HALF_STROKE_CM
) -> ArcComparison | None:
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
    ArcComparison or None
        None where neither has an arc.
    """
    before = find_arc(read_pendulum(posture, student), half_stroke_cm=half_stroke_cm)
    after = find_arc(hang_wanted_pendulum(posture, student, fit), half_stroke_cm=half_stroke_cm)
    return compare_arcs(before, after) if before or after else None


def hang_wanted_pendulum(posture: Posture, student: Student, fit: Fit) -> Pendulum:
    """Hang the pendulum of the wanted setup: the arms of the body that the fit put into it.

    Their reach is as certain as that of the tables.

    Parameters
    ----------
    posture : Posture
    student : Student
    fit : Fit
    """
    if fit.figure is None or not {"hand_offset", "hand_height"} <= fit.setup.keys():
        none = absent("There is no wanted setup to work out an arc from.", unit="cm")
        return Pendulum(hand_offset=none, shoulder_drop=none, hand_height=none, lie=fit.lie)
    reach = math.dist(fit.figure.joints["shoulder"], fit.figure.joints["hands"])
    return hang_pendulum(
        hand_offset=fit.setup["hand_offset"],
        hand_height=fit.setup["hand_height"],
        lie=fit.lie,
        reach=evolve(find_reach(posture, student), value=reach, method="arms of the body in the wanted setup"),
    )


def _find_change(before: Estimate, after: Estimate) -> Estimate:
    for name, depth in (("before", before), ("after", after)):
        if not depth:
            return absent(f"There is no arc {name}: {depth.absent}", unit="cm")
    return Estimate(
        value=after.value - before.value,
        standard_uncertainty=math.hypot(before.standard_uncertainty, after.standard_uncertainty),
        unit="cm",
        method="difference of two arcs",
    )
