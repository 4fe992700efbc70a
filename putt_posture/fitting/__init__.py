"""Putter length and lie from posture."""

from putt_posture.fitting.geometry import find_hand_height, find_lie, find_putter_length
from putt_posture.fitting.suggestion import fit_putter

__all__ = ["find_hand_height", "find_lie", "find_putter_length", "fit_putter"]
