"""The conditions that a shot was taken under, each in a few groups."""

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final

from shots import NOT_STATED, Shot

from putt_posture.values import View

__all__ = ["CONDITIONS", "OF_THE_SHOT", "OF_THE_VIEW", "group_of", "in_order", "label_groups"]

_Limits = tuple[tuple[float, str], ...]

YAW: Final[_Limits] = ((6.0, "to 6°"), (10.0, "6 to 10°"), (math.inf, "over 10°"))
"""Size of the yaw; a careful coach keeps within 6°, the study's worst is 15°."""
ROLL: Final[_Limits] = ((1.0, "to 1°"), (2.0, "1 to 2°"), (math.inf, "over 2°"))
"""Size of the roll; a careful coach keeps within 2°, the study's worst is 3°."""
DISTANCE: Final[_Limits] = ((4.0, "near, to 4 m"), (math.inf, "far, over 4 m"))
"""The study's cameras stand 2.5 to 6 m away."""
HEIGHT: Final[_Limits] = ((0.87, "low, to 0.87 m"), (1.13, "mid"), (math.inf, "high, over 1.13 m"))
"""The study's heights of 0.6 to 1.4 m in three parts."""


def group_of(size: float, limits: _Limits) -> str:
    """Return the first group whose upper limit is not passed.

    >>> group_of(6.0, YAW), group_of(6.1, YAW), group_of(14.0, YAW)
    ('to 6°', '6 to 10°', 'over 10°')
    """
    return next(name for limit, name in limits if size <= limit)


def _camera(name: str, limits: _Limits) -> Callable[[Shot, View], str]:
    return lambda shot, view: group_of(abs(float(shot.truth["views"][view]["camera"][name])), limits)


def _said_of_view(name: str) -> Callable[[Shot, View], str]:
    return lambda shot, view: _said(shot.truth["views"][view].get("condition"), name)


def _said_of_shot(where: str, name: str) -> Callable[[Shot, View], str]:
    return lambda shot, view: _said(shot.truth.get(where), name)


def _said(words: Mapping[str, Any] | None, name: str) -> str:
    return str((words or {}).get(name, NOT_STATED))


def _shape(shot: Shot, view: View) -> str:
    width, height = shot.truth["views"][view]["size_px"]
    return "portrait" if height > width else "landscape"


OF_THE_VIEW: Final[Mapping[str, Callable[[Shot, View], str]]] = {
    "yaw": _camera("yaw_deg", YAW),
    "roll": _camera("roll_deg", ROLL),
    "distance": _camera("distance_m", DISTANCE),
    "height": _camera("height_m", HEIGHT),
    "shape": _shape,
    "light": _said_of_view("light"),
    "backdrop": _said_of_view("backdrop"),
    "quality": _said_of_view("quality"),
}
"""What differs from view to view, and which group one view of a shot is in."""

OF_THE_SHOT: Final[Mapping[str, Callable[[Shot, View], str]]] = {
    "part": lambda shot, view: shot.part,
    "shot": lambda shot, view: shot.kind,
    "top": _said_of_shot("clothes", "top"),
    "sleeves": _said_of_shot("clothes", "sleeves"),
    "legs": _said_of_shot("clothes", "legs"),
    "head": _said_of_shot("clothes", "head"),
    "pattern": _said_of_shot("clothes", "pattern"),
    "grip": _said_of_shot("wish", "grip"),
    "handed": _said_of_shot("student", "handed"),
    "sex": _said_of_shot("student", "sex"),
}
"""What both views share."""

CONDITIONS: Final = (*OF_THE_VIEW, *OF_THE_SHOT)
"""The names of all that can be looked into."""

_ORDERS: Final[Mapping[str, _Limits]] = {"yaw": YAW, "roll": ROLL, "distance": DISTANCE, "height": HEIGHT}


def in_order(condition: str, groups: Iterable[str]) -> list[str]:
    """Return the groups of a condition as a table shows them: sizes from small to large, words by the alphabet."""
    names = [name for _, name in _ORDERS.get(condition, ())]
    return sorted(groups, key=lambda name: (names.index(name) if name in names else 0, name))


def label_groups(shot: Shot, view: View) -> dict[str, str]:
    """Return the group that one view of a shot is in, for every condition."""
    return {name: find(shot, view) for name, find in {**OF_THE_VIEW, **OF_THE_SHOT}.items()}
