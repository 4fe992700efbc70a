"""The student as the coach describes them, and the words for views, hands, sides and sexes.

Down the line: the camera stands behind the golfer's trail side and looks along the target line.
Face on: the camera stands square to the golfer's chest.
"""

from collections.abc import Mapping
from typing import Final, Literal, get_args

from attrs import frozen

__all__ = [
    "SEXES",
    "VIEWS",
    "VIEW_TITLES",
    "VIEW_WORDS",
    "Handed",
    "Sex",
    "Side",
    "Student",
    "View",
    "Whose",
    "side_of",
]

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


@frozen(kw_only=True)
class Student:
    """What the coach asks the student or measures with a tape.

    Attributes
    ----------
    stature_cm : float
        Barefoot height, cm.
    handed : Handed
        Which way the student putts; the lead side is left for "right".
    name : str or None
    sex : Sex or None
        Chooses the body table; the mean of both is used where it is not given.
    wrist_floor_cm : float or None
        Height of the wrist crease above the floor, standing barefoot, arms hanging, cm; the fit adds the shoes.
    putter_length_cm : float or None
        The putter in use, from the top of the grip along the shaft's axis to the sole, cm.
    putter_lie_deg : float or None
        Its lie, read off a gauge, deg.
    """

    stature_cm: float
    handed: Handed
    name: str | None = None
    sex: Sex | None = None
    wrist_floor_cm: float | None = None
    putter_length_cm: float | None = None
    putter_lie_deg: float | None = None


def side_of(whose: Whose, handed: Handed) -> Side:
    """Return the golfer's own side of the lead or trail limb: a right-hander leads with the left.

    Parameters
    ----------
    whose : Whose
    handed : Handed
    """
    return "left" if (whose == "lead") == (handed == "right") else "right"
