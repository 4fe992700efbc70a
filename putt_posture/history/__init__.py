"""A student's history: how each measure changed, what held since the rebuild, and when the putter changed."""

from putt_posture.history.course import VERDICTS, Course, CourseStep, PutterChange, Verdict
from putt_posture.history.courses import (
    STROKE_IN_SHORT,
    FindChanges,
    find_courses,
    find_midway,
    find_stroke_courses,
    find_verdicts,
)
from putt_posture.history.putters import IN_USE_STEP_CM, find_putter_changes

__all__ = [
    "IN_USE_STEP_CM",
    "STROKE_IN_SHORT",
    "VERDICTS",
    "Course",
    "CourseStep",
    "FindChanges",
    "PutterChange",
    "Verdict",
    "find_courses",
    "find_midway",
    "find_putter_changes",
    "find_stroke_courses",
    "find_verdicts",
]
