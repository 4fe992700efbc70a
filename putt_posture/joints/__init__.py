"""From landmarks to joints: what the landmark model misses is taken out, and what is left of it is told."""

from putt_posture.joints.axes import level_points
from putt_posture.joints.fit import fit_joints

__all__ = ["fit_joints", "level_points"]
