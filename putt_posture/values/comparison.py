"""Two kept lessons of one student side by side."""

from collections.abc import Mapping
from pathlib import Path

from attrs import field, frozen

from putt_posture.values.change import Changes
from putt_posture.values.kept_view import KeptView
from putt_posture.values.record import LessonRecord
from putt_posture.values.stroke import StrokeComparison
from putt_posture.values.views import View

__all__ = ["ComparedLesson", "Comparison"]


@frozen(kw_only=True, eq=False)
class ComparedLesson:
    """One of the two.

    Attributes
    ----------
    title : str
        What to call it in a sentence.
    record : LessonRecord
    views : mapping of View to KeptView
        The views whose pictures were kept.
    files : tuple of Path
        Files of the lesson that must not be replaced by the report.
    says : tuple of str
        What of the lesson is held back, and why.
    """

    title: str
    record: LessonRecord
    views: Mapping[View, KeptView] = field(factory=dict, repr=False)
    files: tuple[Path, ...] = ()
    says: tuple[str, ...] = ()


@frozen(kw_only=True, eq=False)
class Comparison:
    """What changed from one lesson to another.

    Attributes
    ----------
    before, after : ComparedLesson
    changes : Changes
    stroke : StrokeComparison or None
        The arcs of the two filmed setups; None where either is absent.
    """

    before: ComparedLesson
    after: ComparedLesson
    changes: Changes
    stroke: StrokeComparison | None = None

    @property
    def says(self) -> tuple[str, ...]:
        """What of the two lessons is held back, and why; each once."""
        return tuple(dict.fromkeys((*self.before.says, *self.after.says)))
