"""From landmarks to joint centres: the known errors of the landmarks are corrected, the rest becomes uncertainty."""

from putt_posture.joints.axes import level_points
from putt_posture.joints.fit import Joints, fit_joints

__all__ = ["Joints", "fit_joints", "level_points"]
