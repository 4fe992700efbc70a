"""Which part of each cause of error two lessons of one student share; what is shared drops out of a change.

Only what is the same by its nature counts as shared: a share that is too large would call noise a change. Two shots of
one body in one setup and the same clothes share about a quarter to a half of what the joints miss
(tests/accuracy/joint_sharing.py), and one stature gives part of the same error of the scale each time; for two lessons,
where setup and clothes differ, these are upper figures, and of neither is anything counted.
"""

from collections.abc import Mapping
from typing import Final

from putt_posture.values import Measured, MeasureName, View, views_of

__all__ = ["OFFSETS_SHARED", "find_shared"]


OFFSETS_SHARED: Final[Mapping[View, float]] = {"down_the_line": 0.9, "face_on": 0.9}
"""What the landmarks of a joint miss alike on everybody is the same in both lessons, but for what goes with the
posture (judged)."""


def find_shared(cause: str, name: MeasureName, before: Measured, after: Measured) -> float:
    """Find how far the errors of one measure by one cause go together in two lessons.

    Parameters
    ----------
    cause : str
        A key of the budgets.
    name : MeasureName
        Present in both.
    before, after : Measured

    Returns
    -------
    float
        Their correlation, 0 to 1; 0 for every cause but what the landmarks miss alike on everybody, and for that too
        where another model looked or it was looked at in other views.
    """
    if cause != "renders are not people":
        return 0.0
    one, two = before.measures[name], after.measures[name]
    models = [tuple(each.landmark_models.get(view) for view in views_of(name)) for each in (before, after)]
    if one.view is None or one.view != two.view or models[0] != models[1] or not any(models[0]):
        return 0.0
    return OFFSETS_SHARED[one.view]
