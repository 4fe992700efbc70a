"""The frozen value objects that pass between the steps, one for each arrow.

Clip → Track → Setup → Landmarks → Scene → Posture → Fit → Lesson.
"""

from putt_posture.values.change import LEVEL, Changes, MeasureChange, Measured
from putt_posture.values.clip import Clip, Frame, Head, Picture
from putt_posture.values.club_spec import Advice, ClubSpec, RuleCheck
from putt_posture.values.estimate import (
    NORMAL_95,
    Estimate,
    Floats,
    absent,
    add_by_hand,
    median_seen,
    medians_seen,
    read_by_hand,
)
from putt_posture.values.findings import (
    Certainty,
    Drill,
    Finding,
    Findings,
    InBand,
    Plan,
    RebuildStep,
    StepNumber,
    TakenUp,
)
from putt_posture.values.finds import FoundBall, FoundShaft, PictureFinds
from putt_posture.values.fit import (
    SOFT_ELBOW_BEND_DEG,
    Evidence,
    Fit,
    PlanePoint,
    PutterCurves,
    StandingFigure,
    WantedSetup,
)
from putt_posture.values.given import Given, PlacedLandmark
from putt_posture.values.history import MOMENTS, History, Moment, PracticeTest, PuttCount, Visit
from putt_posture.values.interview import WEAK_PUTTS, Interview, WeakPutts
from putt_posture.values.kept_lesson import ComparedLesson, Comparison, KeptView, LessonRecord, ViewRecord
from putt_posture.values.landmarks import HAND_POINTS, LANDMARK_INDEX, LANDMARK_NAMES, Landmarks, Setup, Track
from putt_posture.values.lesson import Lesson, Progress, ViewResult, ignore_progress, part_of_progress
from putt_posture.values.limits import BODY_PARTS, BodyPart, Limit, read_limits
from putt_posture.values.misses import Miss, MissSide, read_misses
from putt_posture.values.posture import MeasureName, Posture
from putt_posture.values.practised import Practised, PuttRange
from putt_posture.values.scene import ButtSource, FindingSource, Point, ScaleSource, Scene, Segment
from putt_posture.values.setup_arc import Arc, Pendulum, StartLineSpread, StrokeComparison, Window
from putt_posture.values.stages import Stage, Stages
from putt_posture.values.student import (
    SEXES,
    VIEW_TITLES,
    VIEW_WORDS,
    VIEWS,
    Handed,
    Sex,
    Side,
    Student,
    View,
    Whose,
    side_of,
)

__all__ = [
    "BODY_PARTS",
    "HAND_POINTS",
    "LANDMARK_INDEX",
    "LANDMARK_NAMES",
    "LEVEL",
    "MOMENTS",
    "NORMAL_95",
    "SEXES",
    "SOFT_ELBOW_BEND_DEG",
    "VIEWS",
    "VIEW_TITLES",
    "VIEW_WORDS",
    "WEAK_PUTTS",
    "Advice",
    "Arc",
    "BodyPart",
    "ButtSource",
    "Certainty",
    "Changes",
    "Clip",
    "ClubSpec",
    "ComparedLesson",
    "Comparison",
    "Drill",
    "Estimate",
    "Evidence",
    "Finding",
    "FindingSource",
    "Findings",
    "Fit",
    "Floats",
    "FoundBall",
    "FoundShaft",
    "Frame",
    "Given",
    "Handed",
    "Head",
    "History",
    "InBand",
    "Interview",
    "KeptView",
    "Landmarks",
    "Lesson",
    "LessonRecord",
    "Limit",
    "MeasureChange",
    "MeasureName",
    "Measured",
    "Miss",
    "MissSide",
    "Moment",
    "Pendulum",
    "Picture",
    "PictureFinds",
    "PlacedLandmark",
    "Plan",
    "PlanePoint",
    "Point",
    "Posture",
    "PracticeTest",
    "Practised",
    "Progress",
    "PuttCount",
    "PuttRange",
    "PutterCurves",
    "RebuildStep",
    "RuleCheck",
    "ScaleSource",
    "Scene",
    "Segment",
    "Setup",
    "Sex",
    "Side",
    "Stage",
    "Stages",
    "StandingFigure",
    "StartLineSpread",
    "StepNumber",
    "StrokeComparison",
    "Student",
    "TakenUp",
    "Track",
    "View",
    "ViewRecord",
    "ViewResult",
    "Visit",
    "WantedSetup",
    "WeakPutts",
    "Whose",
    "Window",
    "absent",
    "add_by_hand",
    "ignore_progress",
    "median_seen",
    "medians_seen",
    "part_of_progress",
    "read_by_hand",
    "read_limits",
    "read_misses",
    "side_of",
]
