"""Putter length and lie for a body in a wanted setup, and the setup for a putter."""

from putt_posture.fitting.body_model import ClipLengths
from putt_posture.fitting.filmed import find_clip_lengths
from putt_posture.fitting.geometry import find_hand_height, find_lie, find_putter_length, find_toe_lift
from putt_posture.fitting.holding import TOLERATED, check_putter_length, hold_putter
from putt_posture.fitting.limits import WANTED_SETUP_RANGES, check_putter_lie, check_wanted_setup
from putt_posture.fitting.suggestion import FittedBody, find_body_curves, find_fitted_body, fit_putter

__all__ = [
    "TOLERATED",
    "WANTED_SETUP_RANGES",
    "ClipLengths",
    "FittedBody",
    "check_putter_length",
    "check_putter_lie",
    "check_wanted_setup",
    "find_body_curves",
    "find_clip_lengths",
    "find_fitted_body",
    "find_hand_height",
    "find_lie",
    "find_putter_length",
    "find_toe_lift",
    "fit_putter",
    "hold_putter",
]
