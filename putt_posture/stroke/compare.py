"""Two arcs side by side: before and after."""

import math
from collections.abc import Sequence
from typing import Final

from putt_posture.errors import UsageError
from putt_posture.stroke.arc import GEOMETRY_ONLY
from putt_posture.stroke.window import find_window
from putt_posture.values import Arc, Estimate, StrokeComparison, absent

__all__ = ["USUAL_PUTTS_CM", "compare_arcs"]

USUAL_PUTTS_CM: Final = (150.0, 300.0, 600.0)
"""About five, ten and twenty feet."""


def compare_arcs(before: Arc, after: Arc, *, putts_cm: Sequence[float] = USUAL_PUTTS_CM) -> StrokeComparison:
    """Put two arcs side by side, with their windows for some lengths of putt.

    Parameters
    ----------
    before, after : Arc
        Over strokes of the same length.
    putts_cm : sequence of float

    Returns
    -------
    StrokeComparison
        The errors of the two are taken as independent, so the uncertainty of the change is on the safe side.

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
    return StrokeComparison(
        before=before,
        after=after,
        depth_change=_find_change(before.depth, after.depth),
        windows=tuple((find_window(before, putt_cm=putt), find_window(after, putt_cm=putt)) for putt in putts_cm),
        says=GEOMETRY_ONLY,
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
