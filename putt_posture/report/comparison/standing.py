"""Where a kept view's picture lies in centimetres about the middle of the feet, so that two can be laid together."""

import math
from typing import Final

import numpy as np

from putt_posture.report.placing import Placing
from putt_posture.values import Floats, KeptView

__all__ = ["Frame", "find_body_frame", "find_placing", "find_still_frame"]

Frame = tuple[float, float, float, float]
"""Left, bottom, right, top; cm to the right in the picture and up from the ground, from the middle of the feet."""

SURE: Final = 128
"""Level of the outline (0 to 255) from which a pixel counts as the student."""


def find_placing(view: KeptView) -> Placing | None:
    """Find the middle of the feet on the ground, the scale and the true vertical of a view.

    Along counts to the right in the picture, whatever the student faces.

    Returns
    -------
    Placing or None
        None where the scale, the ground or the ankles are not known.
    """
    record = view.record
    ankles = view.middle("left_ankle", "right_ankle")
    if not record.px_per_cm or record.ground_v_px is None or not np.isfinite(ankles).all():
        return None
    roll = record.roll.value if record.roll else 0.0
    under = record.ground_v_px - float(ankles[1])
    return Placing(
        anchor_px=(float(ankles[0]) - under * math.tan(math.radians(roll)), record.ground_v_px),
        anchor_cm=0.0,
        px_per_cm=record.px_per_cm.value,
        forward=1,
        roll_deg=roll,
    )


def find_body_frame(view: KeptView, placing: Placing) -> Frame:
    """Find what the student, the shaft and the ball take up."""
    rows, columns = np.nonzero(view.outline >= SURE)
    edge = np.stack([columns, rows], axis=-1) + 0.5 + view.outline_box_px[:2]
    others = [*(view.record.shaft_px or ()), *([view.record.ball_px] if view.record.ball_px else [])]
    seen = view.joints_px[np.isfinite(view.joints_px).all(axis=1)]
    return _frame(placing.plane(np.concatenate([edge, seen, np.array(others).reshape(-1, 2)])))


def find_still_frame(view: KeptView, placing: Placing) -> Frame:
    """Find the upright frame that the still fills wholly, the camera's roll taken out."""
    u0, v0, u1, v1 = view.record.still_box_px
    (tl, tr, br, bl) = placing.plane(np.array([[u0, v0], [u1, v0], [u1, v1], [u0, v1]], dtype=float))
    return (
        float(max(tl[0], bl[0])),
        float(max(bl[1], br[1])),
        float(min(tr[0], br[0])),
        float(min(tl[1], tr[1])),
    )


def _frame(points: Floats) -> Frame:
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    return float(left), float(bottom), float(right), float(top)
