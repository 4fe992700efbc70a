"""The measures of one lesson by name."""

from collections.abc import Mapping
from typing import NewType

from attrs import field, frozen

from putt_posture.values.estimate import Estimate
from putt_posture.values.scene import Point
from putt_posture.values.student import View

__all__ = ["MeasureName", "Posture"]

MeasureName = NewType("MeasureName", str)
"""The name of a record of `putt_posture.measures`, which are all that make one.

A type of its own, so that the type checker takes no title or other text for a name and no list of names is kept beside
the records; at run time it is a plain string. What users ask for by name (`Posture`) takes any string.
"""


@frozen(kw_only=True)
class Posture:
    """Every measure, present or absent.

    Attributes
    ----------
    estimates : mapping of MeasureName to Estimate
        One entry for each record of `putt_posture.measures`.
    marks : mapping of View to mapping of mark name to points
        Where things are in the still of each view, pixels of its full-size upright picture, so that a
        measure can be drawn; a mark that was not found is left out. Down the line: ``spine`` (mid-hip,
        mid-shoulder), ``head`` (mid-shoulder, mid-ear), ``near_leg`` (hip, knee, ankle), ``near_arm``
        (shoulder, elbow, wrist), ``hands`` (hand centre), ``eyes`` (mid-point), ``foot`` (heel, toe tip, on
        the ground), ``balance`` (centre of mass, the ground under it), ``back`` (outline from pelvis to neck),
        ``back_tangents`` (low point and its direction's end, high point and its direction's end),
        ``elbow_gap`` (skin of the elbow, skin of the ribs), ``ground`` (two points), ``shaft`` (butt, sole),
        ``ball`` (centre). Face on: ``spine``, ``shoulders``, ``hips``, ``ankles`` (trail, lead),
        ``lead_arm``, ``trail_arm``, ``lead_leg``, ``trail_leg``, ``hands``, ``eyes``, ``elbow_gap_lead``,
        ``elbow_gap_trail``, ``balance``, ``ground``, ``shaft``, ``ball``.
    warnings : tuple of str
        Sentences about measures that disagree with each other.
    """

    estimates: Mapping[MeasureName, Estimate]
    marks: Mapping[View, Mapping[str, tuple[Point, ...]]] = field(factory=dict)
    warnings: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> Estimate:
        return self.estimates[MeasureName(name)]
