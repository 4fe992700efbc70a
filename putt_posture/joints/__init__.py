"""From landmarks to joint centres: the known errors of the landmarks are corrected, the rest becomes uncertainty."""

from putt_posture.joints.axes import level_points
from putt_posture.joints.fit import Joints, fit_joints
from putt_posture.joints.placing import place_in_landmarks, place_joints, split_by_frame

__all__ = ["Joints", "fit_joints", "level_points", "place_in_landmarks", "place_joints", "split_by_frame"]
