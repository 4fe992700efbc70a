"""What changed between two lessons of one student, and whether it is more than the noise."""

from putt_posture.changes.change import OFFSETS_SHARED, find_changes, find_shared, weigh_change
from putt_posture.changes.families import control_family, control_share
from putt_posture.changes.filming import warn_filming
from putt_posture.changes.repeats import (
    JUDGED_FREEDOM,
    Repeats,
    find_minimal_difference,
    find_repeats,
    join_judged,
    pool_scatter,
    setups_of,
)

__all__ = [
    "JUDGED_FREEDOM",
    "OFFSETS_SHARED",
    "Repeats",
    "control_family",
    "control_share",
    "find_changes",
    "find_minimal_difference",
    "find_repeats",
    "find_shared",
    "join_judged",
    "pool_scatter",
    "setups_of",
    "warn_filming",
    "weigh_change",
]
