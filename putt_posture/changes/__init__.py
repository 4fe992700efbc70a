"""What changed between two lessons of one student, and whether it is more than the noise."""

from putt_posture.changes.change import find_changes
from putt_posture.changes.filming import warn_filming
from putt_posture.changes.repeats import Repeats, find_minimal_difference, pool_scatter
from putt_posture.changes.shared import JOINTS_SHARED, OFFSETS_SHARED, SCALE_SHARED, find_shared

__all__ = [
    "JOINTS_SHARED",
    "OFFSETS_SHARED",
    "SCALE_SHARED",
    "Repeats",
    "find_changes",
    "find_minimal_difference",
    "find_shared",
    "pool_scatter",
    "warn_filming",
]
