"""Pose landmarks: the MediaPipe adapter, its weights, who is the student, left and right, heads."""

from putt_posture.landmarks.every_frame import EveryFrame, EveryFrameFollower
from putt_posture.landmarks.find import find_landmarks, find_landmarks_in_frames
from putt_posture.landmarks.heads import find_head, find_heads
from putt_posture.landmarks.model import PoseModel, open_pose_model
from putt_posture.landmarks.outline import without_hidden_feet
from putt_posture.landmarks.person import Person
from putt_posture.landmarks.stream import PeopleStream
from putt_posture.landmarks.track import track_of_frames, track_student
from putt_posture.landmarks.weights import Weights, load_weights

__all__ = [
    "EveryFrame",
    "EveryFrameFollower",
    "PeopleStream",
    "Person",
    "PoseModel",
    "Weights",
    "find_head",
    "find_heads",
    "find_landmarks",
    "find_landmarks_in_frames",
    "load_weights",
    "open_pose_model",
    "track_of_frames",
    "track_student",
    "without_hidden_feet",
]
