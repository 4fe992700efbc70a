"""The putter in use: its length is known to a tape's breadth, the hands' place on it is not."""

from typing import Final

from putt_posture.body import PUTTER_TAPE_SD_CM, SHORTEST_PUTTER_CM
from putt_posture.values import Estimate, Student

__all__ = ["GRIP_DOWN_SD_CM", "find_putter_in_use"]

GRIP_DOWN_SD_CM: Final = 1.3
"""How much students grip down, or up, from their usual hold: one sigma of about half an inch (common practice)."""


def find_putter_in_use(student: Student) -> Estimate | None:
    """Give the length of the putter in use, cm; None where it was not said."""
    if student.putter_length_cm is None:
        return None
    return Estimate(
        value=student.putter_length_cm,
        standard_uncertainty=PUTTER_TAPE_SD_CM,
        unit="cm",
        method="measured with a tape",
        floor=SHORTEST_PUTTER_CM,
    )
