"""From setup to stroke: the arc that a setup tends to give, and which start lines hole a putt."""

from putt_posture.setup_arc.arc import GEOMETRY_ONLY, USUAL_HALF_STROKE_CM, find_arc
from putt_posture.setup_arc.beside_stroke import measure_bow, set_beside
from putt_posture.setup_arc.compare import USUAL_PUTTS_CM, compare_arcs, compare_setups
from putt_posture.setup_arc.hole import (
    BALL_DIAMETER_CM,
    HOLE_DIAMETER_CM,
    PUTT_RANGE_CM,
    find_capture_angle,
    find_capture_share,
    find_make_probability,
)
from putt_posture.setup_arc.pendulum import hang_pendulum, read_pendulum
from putt_posture.setup_arc.spread import SIGMA_RANGE_DEG, check_counts, fit_start_line_spread
from putt_posture.setup_arc.window import FACE_SHARE, find_start_line, find_window

__all__ = [
    "BALL_DIAMETER_CM",
    "FACE_SHARE",
    "GEOMETRY_ONLY",
    "HOLE_DIAMETER_CM",
    "PUTT_RANGE_CM",
    "SIGMA_RANGE_DEG",
    "USUAL_HALF_STROKE_CM",
    "USUAL_PUTTS_CM",
    "check_counts",
    "compare_arcs",
    "compare_setups",
    "find_arc",
    "find_capture_angle",
    "find_capture_share",
    "find_make_probability",
    "find_start_line",
    "find_window",
    "fit_start_line_spread",
    "hang_pendulum",
    "measure_bow",
    "read_pendulum",
    "set_beside",
]
