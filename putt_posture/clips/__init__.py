"""Frames of clips and stills: upright, with true times and natural colours."""

from putt_posture.clips.camera_motion import CameraMotion, CameraWatch
from putt_posture.clips.clip import read_clip
from putt_posture.clips.flaws import Flaws, FlawWatch
from putt_posture.clips.frames import iterate_frames, read_frames_at, read_samples
from putt_posture.clips.motion import MotionGrid, MotionReader, motion_in_box

__all__ = [
    "CameraMotion",
    "CameraWatch",
    "FlawWatch",
    "Flaws",
    "MotionGrid",
    "MotionReader",
    "iterate_frames",
    "motion_in_box",
    "read_clip",
    "read_frames_at",
    "read_samples",
]
