"""A jointed body in the plane across the target line: its lengths, where its joints are, and the setup it can hold."""

from putt_posture.fitting.body_model.gaussian import Gaussian
from putt_posture.fitting.body_model.lengths import (
    CLIP_LENGTHS,
    MOST_WRIST_SD,
    ClipLengths,
    find_beyond_belief,
    find_lengths,
    find_upright_hand_height,
    find_wrist_departure,
)
from putt_posture.fitting.body_model.pose import CURL, Pose, curl_trunk, place_body
from putt_posture.fitting.body_model.setup import BodySetup, find_setup, say_obstacle

__all__ = [
    "CLIP_LENGTHS",
    "CURL",
    "MOST_WRIST_SD",
    "BodySetup",
    "ClipLengths",
    "Gaussian",
    "Pose",
    "curl_trunk",
    "find_beyond_belief",
    "find_lengths",
    "find_setup",
    "find_upright_hand_height",
    "find_wrist_departure",
    "place_body",
    "say_obstacle",
]
