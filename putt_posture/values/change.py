"""The change of one measure between two lessons of one student."""

from collections.abc import Mapping
from typing import Final

from attrs import field, frozen

from putt_posture.values.estimate import Estimate
from putt_posture.values.posture import MeasureName
from putt_posture.values.scene import ScaleSource
from putt_posture.values.showing import Shown, brief
from putt_posture.values.student import Student, View

__all__ = ["LEVEL", "Changes", "MeasureChange", "Measured"]

LEVEL: Final = 0.05
"""How often noise alone may lead to a claim."""


@brief
@frozen(kw_only=True)
class Measured:
    """The measures of one lesson, with what is needed to find the part of their errors that a second lesson shares.

    Attributes
    ----------
    measures : mapping of MeasureName to Estimate
        Of the setup and of the stroke. A name that is missing counts as absent.
    scale_sources : mapping of View to ScaleSource
        Where the scale of each view is from.
    landmark_models : mapping of View to str
        The landmark model of each view. Unknown ones do not count as shared.
    student : Student or None
        As described that day; None where it is not known.
    """

    measures: Mapping[MeasureName, Estimate]
    scale_sources: Mapping[View, ScaleSource] = field(factory=dict)
    landmark_models: Mapping[View, str] = field(factory=dict)
    student: Student | None = None


@brief
@frozen(kw_only=True)
class MeasureChange:
    """One measure before and after.

    Attributes
    ----------
    name : MeasureName
    before, after : Estimate
    change : Estimate
        After minus before, in the measure's unit; its standard uncertainty leaves out the part of the error that both
        share, and its budget has the rest by cause. Absent where either is.
    chance : float
        Two-sided p-value: how often noise alone makes a change of this size or more, 0 to 1; NaN where absent.
    joint_chance : float
        The same, adjusted for all the changes that are tested together with this one; NaN where absent.
    """

    name: MeasureName
    before: Estimate
    after: Estimate
    change: Estimate
    chance: float
    joint_chance: float

    @property
    def smallest_alone(self) -> float:
        """The smallest change beyond the 95 % margin of this measure alone, in its unit; NaN where absent."""
        return self.change.margin

    @property
    def real(self) -> bool:
        """Whether it is a change, allowing for all that were tested together."""
        return bool(self.change) and self.joint_chance <= LEVEL

    @property
    def maybe(self) -> bool:
        """Whether it is only beyond its own margin: of twenty measures that did not change, about one is."""
        return bool(self.change) and not self.real and self.chance <= LEVEL


@brief
@frozen(kw_only=True)
class Changes(Shown):
    """Every measure of two lessons.

    Attributes
    ----------
    measures : mapping of MeasureName to MeasureChange
        One entry for each name of `MEASURES`.
    strokes : mapping of MeasureName to MeasureChange
        One entry for each name of `STROKE_MEASURES`, judged together and apart from the measures of the setup; empty
        where neither lesson has strokes.
    warnings : tuple of str
        Sentences on what makes the two hard to compare.
    """

    measures: Mapping[MeasureName, MeasureChange]
    strokes: Mapping[MeasureName, MeasureChange] = field(factory=dict)
    warnings: tuple[str, ...] = ()
