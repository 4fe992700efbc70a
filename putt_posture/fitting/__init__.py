"""Putter length and lie for a body in a wanted setup, and the setup for a putter."""

from putt_posture.fitting.geometry import find_hand_height, find_lie, find_putter_length, find_toe_lift
from putt_posture.fitting.suggestion import fit_putter
from putt_posture.fitting.wish_limits import check_putter_lie, check_wanted_setup

__all__ = [
    "check_putter_lie",
    "check_wanted_setup",
    "find_hand_height",
    "find_lie",
    "find_putter_length",
    "find_toe_lift",
    "fit_putter",
]
