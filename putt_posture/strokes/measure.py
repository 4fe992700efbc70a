"""All that is measured of the strokes of a lesson."""

from collections.abc import Mapping

from putt_posture.values import Strokes, Student, View, ViewResult

__all__ = ["measure_strokes"]


def measure_strokes(views: Mapping[View, ViewResult], student: Student) -> Strokes | None:
    """Measure the strokes that were seen in one or both views.

    Parameters
    ----------
    views : mapping of View to ViewResult
        As the setup was measured in them; their `strokes` are what was seen.
    student : Student

    Returns
    -------
    Strokes or None
        None where no strokes were looked for in any view.
    """
    raise NotImplementedError
