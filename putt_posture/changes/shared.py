"""Which part of each cause of error two lessons of one student share; what is shared drops out of a change.

Every share is one that was measured, rounded down, or nought: a share that is too large would call noise a change.
"""

from collections.abc import Mapping
from typing import Final

from putt_posture.values import MEASURES, Measured, MeasureName, Student, View, views_of

__all__ = ["JOINTS_SHARED", "OFFSETS_SHARED", "SCALE_SHARED", "find_shared"]

JOINTS_SHARED: Final[Mapping[View, float]] = {"down_the_line": 0.25, "face_on": 0.25}
"""What is left of a joint's miss after it was moved, in two shots of one body: the lower quartile over all joints of
the intra-class correlation, 0.29 and 0.25 (medians 0.42 and 0.42, 53 and 50 rendered bodies;
tests/accuracy/joint_sharing.py), rounded down. In these pairs the body has the same setup and clothes; two lessons
have neither, which is why the lower quartile is taken and not the median."""

OFFSETS_SHARED: Final[Mapping[View, float]] = {"down_the_line": 0.9, "face_on": 0.9}
"""What the landmarks of a joint miss alike on everybody is the same in both lessons, but for what goes with the
posture (judged)."""

SCALE_SHARED: Final = 0.35
"""Down the line from one stature. Of its 2.1 % one sigma (DEVELOPERS.md), 1.1 % is how people of one stature differ,
which is the same error in every lesson: 1.1² / 2.1² = 0.27. The rest, 1.8 %, is what the landmarks miss of the body's
length, shared as joints are: 0.73 × 0.25 = 0.18. Together 0.45; 0.35 was kept."""


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
        Their correlation, −1 to 1; 0 where nothing is known to be shared. That is so for the camera's roll, its yaw and
        the ground, as the phone stands anew each time; for the ends of shaft and ball; for scales other than one
        stature down the line (a putter or an object lies anew before or behind the student); and for what a measure
        misses by itself, of which nobody has measured how far it stays with a student.
    """
    if cause == "joints":
        return _joints(name, before, after, share=JOINTS_SHARED)
    if cause == "renders are not people":
        return _joints(name, before, after, share=OFFSETS_SHARED)
    if cause == "scale":
        return _scale(name, before, after)
    return 0.0


def _joints(name: MeasureName, before: Measured, after: Measured, *, share: Mapping[View, float]) -> float:
    """Return the share where the same model looked at every view that the measure can use."""
    one, two = before.measures[name], after.measures[name]
    models = [tuple(each.landmark_models.get(view) for view in views_of(name)) for each in (before, after)]
    if one.view is None or one.view != two.view or models[0] != models[1] or not any(models[0]):
        return 0.0
    return share[one.view]


def _scale(name: MeasureName, before: Measured, after: Measured) -> float:
    """Return the share, with a sign: a length that changed its sign is moved to the other side by the same scale."""
    one, two = before.measures[name], after.measures[name]
    sources = {each.scale_sources.get("down_the_line") for each in (before, after)}
    tables = [None if each.student is None else _table(each.student) for each in (before, after)]
    same_scale = sources == {"stature"} and tables[0] is not None and tables[0] == tables[1]
    is_length = MEASURES[name][0] == "cm" and one.view == two.view == "down_the_line"
    if not (same_scale and is_length):
        return 0.0
    return SCALE_SHARED if one.value * two.value >= 0 else -SCALE_SHARED


def _table(student: Student) -> tuple[object, ...]:
    """Return what the body tables are asked with."""
    return student.stature_cm, student.sex, student.wrist_floor_cm
