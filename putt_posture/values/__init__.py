"""The frozen value objects that travel between the steps, one an arrow.

Clip → Track → Setup → Landmarks → Scene → Posture → Fit → Lesson.
"""

from putt_posture.values.arrays import Floats, median_seen, medians_seen
from putt_posture.values.change import LEVEL, Changes, MeasureChange, Measured
from putt_posture.values.clip import Clip, Frame, Picture
from putt_posture.values.comparison import ComparedLesson, Comparison
from putt_posture.values.course import VERDICTS, Course, CourseStep, PutterChange, Verdict
from putt_posture.values.estimate import NORMAL_95, Estimate, absent
from putt_posture.values.fit import Evidence, Fit
from putt_posture.values.head import Head
from putt_posture.values.history import MOMENTS, History, Moment, PracticeTest, PuttCount, Visit
from putt_posture.values.joints import Joints
from putt_posture.values.kept_view import KeptView
from putt_posture.values.landmarks import HAND_POINTS, LANDMARK_INDEX, LANDMARK_NAMES, Landmarks
from putt_posture.values.lesson import Lesson, ViewResult
from putt_posture.values.posture import MEASURES, MeasureName, Posture, views_of
from putt_posture.values.practice import HoledShare, PracticeResult, SpreadChange, Yardstick
from putt_posture.values.progress import Progress, tell_nobody
from putt_posture.values.putter_curves import PutterCurves
from putt_posture.values.record import LessonRecord, ViewRecord
from putt_posture.values.scene import ButtSource, FindingSource, Point, ScaleSource, Scene, Segment
from putt_posture.values.setup import Setup
from putt_posture.values.spec import Advice, ClubSpec, RuleCheck
from putt_posture.values.standing_figure import PlanePoint, StandingFigure
from putt_posture.values.stroke import Arc, Pendulum, StartLineSpread, StrokeComparison, Window
from putt_posture.values.student import Student
from putt_posture.values.track import Track
from putt_posture.values.views import (
    SEXES,
    VIEW_TITLES,
    VIEW_WORDS,
    VIEWS,
    Handed,
    Sex,
    Side,
    View,
    Whose,
    side_of,
)
from putt_posture.values.wanted_setup import SOFT_ELBOW_BEND_DEG, WantedSetup

__all__ = [
    "HAND_POINTS",
    "LANDMARK_INDEX",
    "LANDMARK_NAMES",
    "LEVEL",
    "MEASURES",
    "MOMENTS",
    "NORMAL_95",
    "SEXES",
    "SOFT_ELBOW_BEND_DEG",
    "VERDICTS",
    "VIEWS",
    "VIEW_TITLES",
    "VIEW_WORDS",
    "Advice",
    "Arc",
    "ButtSource",
    "Changes",
    "Clip",
    "ClubSpec",
    "ComparedLesson",
    "Comparison",
    "Course",
    "CourseStep",
    "Estimate",
    "Evidence",
    "FindingSource",
    "Fit",
    "Floats",
    "Frame",
    "Handed",
    "Head",
    "History",
    "HoledShare",
    "Joints",
    "KeptView",
    "Landmarks",
    "Lesson",
    "LessonRecord",
    "MeasureChange",
    "MeasureName",
    "Measured",
    "Moment",
    "Pendulum",
    "Picture",
    "PlanePoint",
    "Point",
    "Posture",
    "PracticeResult",
    "PracticeTest",
    "Progress",
    "PuttCount",
    "PutterChange",
    "PutterCurves",
    "RuleCheck",
    "ScaleSource",
    "Scene",
    "Segment",
    "Setup",
    "Sex",
    "Side",
    "SpreadChange",
    "StandingFigure",
    "StartLineSpread",
    "StrokeComparison",
    "Student",
    "Track",
    "Verdict",
    "View",
    "ViewRecord",
    "ViewResult",
    "Visit",
    "WantedSetup",
    "Whose",
    "Window",
    "Yardstick",
    "absent",
    "median_seen",
    "medians_seen",
    "side_of",
    "tell_nobody",
    "views_of",
]
