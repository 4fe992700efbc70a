"""The measures: one record for each, and what works out all of them from a setup; pure."""

from putt_posture.measures.club import LENGTH_CONVENTION
from putt_posture.measures.measure import measure_posture
from putt_posture.measures.record import Measure, Part, Unit, Words
from putt_posture.measures.registry import MEASURES
from putt_posture.measures.saying import say_band, say_number, say_value, split_band, split_number, split_value

__all__ = [
    "LENGTH_CONVENTION",
    "MEASURES",
    "Measure",
    "Part",
    "Unit",
    "Words",
    "measure_posture",
    "say_band",
    "say_number",
    "say_value",
    "split_band",
    "split_number",
    "split_value",
]
