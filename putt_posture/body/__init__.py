"""Anthropometric tables and what follows from them: lengths, segments, centre of mass, limits."""

from putt_posture.body.anthropometry import SHOE_SOLE, known_dimensions, predict
from putt_posture.body.grip import find_grip_distance
from putt_posture.body.joints import JOINT_LENGTHS, predict_joint_length
from putt_posture.body.limits import (
    BALL_CM,
    LONGEST_PUTTER_CM,
    PUTTER_TAPE_SD_CM,
    SHORTEST_PUTTER_CM,
    STATURE_RANGE_CM,
    check_student,
)
from putt_posture.body.segments import CENTRE_OF_MASS_POINTS, SEGMENTS, centre_of_mass, read_segment_mass
from putt_posture.body.tables import TABLE_STATURES_CM, find_table_widening

__all__ = [
    "BALL_CM",
    "CENTRE_OF_MASS_POINTS",
    "JOINT_LENGTHS",
    "LONGEST_PUTTER_CM",
    "PUTTER_TAPE_SD_CM",
    "SEGMENTS",
    "SHOE_SOLE",
    "SHORTEST_PUTTER_CM",
    "STATURE_RANGE_CM",
    "TABLE_STATURES_CM",
    "centre_of_mass",
    "check_student",
    "find_grip_distance",
    "find_table_widening",
    "known_dimensions",
    "predict",
    "predict_joint_length",
    "read_segment_mass",
]
