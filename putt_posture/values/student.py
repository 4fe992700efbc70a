"""The student as the coach describes them, and the words for views, hands, sides and sexes.

Down the line: the camera stands behind the golfer's trail side and looks along the target line.
Face on: the camera stands square to the golfer's chest.
"""

from collections.abc import Mapping
from typing import Final, Literal, get_args

from attrs import field, frozen

from putt_posture.values.checks import number, one_of, text
from putt_posture.values.showing import brief

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


@brief
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

    Raises
    ------
    UsageError
        If a number is not finite or not more than 0, or a word is not one of those that are known; `ArgumentError`
        where the type is wrong. Whether a body can be so is checked where it is measured, by `check_student`.

    Examples
    --------
    >>> Student(stature_cm=178, handed="right")
    Student(stature_cm=178, handed='right')
    >>> Student(stature_cm=178, handed="Right")
    Traceback (most recent call last):
    ...
    putt_posture.errors.UsageError: handed of Student is 'Right'; 'right' or 'left' is needed. Did you mean 'right'?
    """

    stature_cm: float = field(validator=number(above=0))
    handed: Handed = field(validator=one_of("right", "left"))
    name: str | None = field(default=None, validator=text(optional=True))
    sex: Sex | None = field(default=None, validator=one_of("female", "male", optional=True))
    wrist_floor_cm: float | None = field(default=None, validator=number(optional=True, above=0))
    putter_length_cm: float | None = field(default=None, validator=number(optional=True, above=0))
    putter_lie_deg: float | None = field(default=None, validator=number(optional=True, above=0))


def side_of(whose: Whose, handed: Handed) -> Side:
    """Return the golfer's own side of the lead or trail limb: a right-hander leads with the left.

    Parameters
    ----------
    whose : Whose
    handed : Handed
    """
    return "left" if (whose == "lead") == (handed == "right") else "right"
