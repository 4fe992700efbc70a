"""What changed in one measure between two lessons of one student."""

from collections.abc import Mapping

from attrs import field, frozen

from putt_posture.values.estimate import NORMAL_95, Estimate
from putt_posture.values.posture import MeasureName
from putt_posture.values.scene import ScaleSource
from putt_posture.values.student import Student
from putt_posture.values.views import View

__all__ = ["Changes", "MeasureChange", "Measured"]


@frozen(kw_only=True)
class Measured:
    """The measures of one lesson, with what tells which part of their errors a second lesson shares.

    Attributes
    ----------
    measures : mapping of MeasureName to Estimate
        A name that is missing counts as absent.
    scale_sources : mapping of View to ScaleSource
        Where the scale of each view is from.
    landmark_models : mapping of View to str
        Which landmark model looked at each view. What is not known is not taken to be shared.
    student : Student or None
        As described that day; None where it is not known.
    """

    measures: Mapping[MeasureName, Estimate]
    scale_sources: Mapping[View, ScaleSource] = field(factory=dict)
    landmark_models: Mapping[View, str] = field(factory=dict)
    student: Student | None = None


@frozen(kw_only=True)
class MeasureChange:
    """One measure before and after.

    Attributes
    ----------
    name : MeasureName
    before, after : Estimate
    change : Estimate
        After minus before, in the measure's unit; its standard uncertainty leaves out the part of the error that both
        share, and its budget says what is left by cause. Absent where either is.
    """

    name: MeasureName
    before: Estimate
    after: Estimate
    change: Estimate

    @property
    def smallest_real(self) -> float:
        """The smallest change that is one, 1.96 standard uncertainties, in the measure's unit; NaN where absent."""
        return NORMAL_95 * self.change.standard_uncertainty

    @property
    def real(self) -> bool:
        """Whether it is a change at all."""
        return bool(self.change) and abs(self.change.value) > self.smallest_real


@frozen(kw_only=True)
class Changes:
    """Every measure of two lessons.

    Attributes
    ----------
    measures : mapping of MeasureName to MeasureChange
        One entry for each name of `MEASURES`.
    warnings : tuple of str
        Sentences on what makes the two hard to compare.
    """

    measures: Mapping[MeasureName, MeasureChange]
    warnings: tuple[str, ...] = ()
