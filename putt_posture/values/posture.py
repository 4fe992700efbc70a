"""The measures of one lesson by name."""

from collections.abc import Mapping
from typing import Final, Literal

from attrs import frozen

from putt_posture.values.estimate import Estimate
from putt_posture.values.views import View

__all__ = ["MEASURES", "MeasureName", "Posture", "views_of"]

MeasureName = Literal[
    "spine_tilt", "back_rounding", "head_drop", "knee_flex",
    "elbow_bend_lead", "elbow_bend_trail", "hand_offset", "hand_height",
    "elbow_gap_lead", "elbow_gap_trail", "elbow_depth", "eye_offset", "ball_distance",
    "balance", "shaft_lie", "putter_length",
    "stance_width", "ball_position", "shoulder_level", "side_bend", "head_position", "shaft_lean",
    "sideways_balance",
]  # fmt: skip

_BOTH: Final[tuple[View, ...]] = ("down_the_line", "face_on")
_SIDE: Final[tuple[View, ...]] = ("down_the_line",)
_FRONT: Final[tuple[View, ...]] = ("face_on",)

MEASURES: Final[Mapping[MeasureName, tuple[str, tuple[View, ...]]]] = {
    "spine_tilt": ("deg", _SIDE),
    "back_rounding": ("deg", _SIDE),
    "head_drop": ("deg", _SIDE),
    "knee_flex": ("deg", _SIDE),
    "elbow_bend_lead": ("deg", _BOTH),
    "elbow_bend_trail": ("deg", _BOTH),
    "hand_offset": ("cm", _SIDE),
    "hand_height": ("cm", _SIDE),
    "elbow_gap_lead": ("cm", _BOTH),
    "elbow_gap_trail": ("cm", _BOTH),
    "elbow_depth": ("cm", _SIDE),
    "eye_offset": ("cm", _SIDE),
    "ball_distance": ("cm", _SIDE),
    "balance": ("%", _SIDE),
    "shaft_lie": ("deg", _SIDE),
    "putter_length": ("cm", _SIDE),
    "stance_width": ("cm", _FRONT),
    "ball_position": ("cm", _FRONT),
    "shoulder_level": ("deg", _FRONT),
    "side_bend": ("deg", _FRONT),
    "head_position": ("cm", _FRONT),
    "shaft_lean": ("deg", _FRONT),
    "sideways_balance": ("%", _FRONT),
}
"""Unit and possible views of every measure, in the order of the report."""


def views_of(name: MeasureName) -> tuple[View, ...]:
    """Return the views that a measure can come from."""
    return MEASURES[name][1]


@frozen(kw_only=True)
class Posture:
    """Every measure of `MEASURES`, present or absent.

    Attributes
    ----------
    estimates : mapping of MeasureName to Estimate
        One entry for each name of `MEASURES`.
    warnings : tuple of str
        Sentences about measures that disagree with each other.
    """

    estimates: Mapping[MeasureName, Estimate]
    warnings: tuple[str, ...] = ()

    def __getitem__(self, name: MeasureName) -> Estimate:
        return self.estimates[name]
