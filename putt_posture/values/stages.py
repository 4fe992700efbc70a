"""Several lessons of one student in order, as the way from one setup to another."""

from attrs import field, frozen

from putt_posture.values.change import Changes
from putt_posture.values.kept_lesson import ComparedLesson
from putt_posture.values.showing import brief

__all__ = ["Stage", "Stages"]


@brief
@frozen(kw_only=True, eq=False)
class Stage:
    """One of the lessons.

    Attributes
    ----------
    lesson : ComparedLesson
        Its record says which step of the rebuild it shows, and whether without a putter.
    moved : Changes or None
        What changed since the stage before; None for the first.
    """

    lesson: ComparedLesson
    moved: Changes | None = field(default=None, repr=False)


@brief
@frozen(kw_only=True, eq=False)
class Stages:
    """The whole way.

    Attributes
    ----------
    stages : tuple of Stage
        Two or more, in order.
    whole : Changes
        What changed from the first to the last.
    """

    stages: tuple[Stage, ...]
    whole: Changes = field(repr=False)

    @property
    def says(self) -> tuple[str, ...]:
        """Sentences on what of the lessons is held back, and why; each once."""
        return tuple(dict.fromkeys(said for stage in self.stages for said in stage.lesson.says))
