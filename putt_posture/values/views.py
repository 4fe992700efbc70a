"""The words for the two views, the two hands and the two sexes of the body tables.

Down the line: the camera stands behind the golfer's trail side and looks along the target line.
Face on: the camera stands square to the golfer's chest.
"""

from typing import Final, Literal, get_args

__all__ = ["SEXES", "VIEWS", "Handed", "Sex", "View"]

View = Literal["down_the_line", "face_on"]
Handed = Literal["right", "left"]
Sex = Literal["female", "male"]

VIEWS: Final[tuple[View, ...]] = get_args(View)
SEXES: Final[tuple[Sex, ...]] = get_args(Sex)
