"""The words for the two views, the two hands, the two sides and the two sexes of the body tables.

Down the line: the camera stands behind the golfer's trail side and looks along the target line.
Face on: the camera stands square to the golfer's chest.
"""

from collections.abc import Mapping
from typing import Final, Literal, get_args

__all__ = ["SEXES", "VIEWS", "VIEW_TITLES", "VIEW_WORDS", "Handed", "Sex", "Side", "View", "Whose", "side_of"]

View = Literal["down_the_line", "face_on"]
Handed = Literal["right", "left"]
Sex = Literal["female", "male"]
Side = Literal["left", "right"]
"""The golfer's own."""
Whose = Literal["lead", "trail"]
"""Lead is the side toward the target."""

VIEWS: Final[tuple[View, ...]] = get_args(View)
SEXES: Final[tuple[Sex, ...]] = get_args(Sex)
VIEW_TITLES: Final[Mapping[View, str]] = {"down_the_line": "Down the line", "face_on": "Face on"}
"""As a heading or at the start of a sentence."""
VIEW_WORDS: Final[Mapping[View, str]] = {"down_the_line": "down-the-line", "face_on": "face-on"}
"""Before a noun, and as typed on the command line."""


def side_of(whose: Whose, handed: Handed) -> Side:
    """Return the golfer's own side of the lead or trail limb: a right-hander leads with the left."""
    return "left" if (whose == "lead") == (handed == "right") else "right"
