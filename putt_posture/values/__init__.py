"""The frozen value objects that travel between the steps, one an arrow.

Clip → Track → Setup → Landmarks → Scene → Posture → Fit → Lesson.
"""

from putt_posture.values.clip import Clip, Frame, Picture
from putt_posture.values.estimate import NORMAL_95, Estimate, absent
from putt_posture.values.fit import Evidence, Fit
from putt_posture.values.landmarks import LANDMARK_INDEX, LANDMARK_NAMES, Landmarks
from putt_posture.values.lesson import Lesson, ViewResult
from putt_posture.values.posture import MEASURES, MeasureName, Posture, views_of
from putt_posture.values.scene import ButtSource, FindingSource, Point, ScaleSource, Scene, Segment
from putt_posture.values.setup import Setup
from putt_posture.values.student import Student
from putt_posture.values.track import Track
from putt_posture.values.views import SEXES, VIEWS, Handed, Sex, View

__all__ = [
    "LANDMARK_INDEX",
    "LANDMARK_NAMES",
    "MEASURES",
    "NORMAL_95",
    "SEXES",
    "VIEWS",
    "ButtSource",
    "Clip",
    "Estimate",
    "Evidence",
    "FindingSource",
    "Fit",
    "Frame",
    "Handed",
    "Landmarks",
    "Lesson",
    "MeasureName",
    "Picture",
    "Point",
    "Posture",
    "ScaleSource",
    "Scene",
    "Segment",
    "Setup",
    "Sex",
    "Student",
    "Track",
    "View",
    "ViewResult",
    "absent",
    "views_of",
]
