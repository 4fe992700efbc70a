"""The measures: one record for each, of a setup and of a stroke, and what works out those of a setup; pure."""

from putt_posture.measures.club import LENGTH_CONVENTION
from putt_posture.measures.measure import measure_posture
from putt_posture.measures.record import Measure, Part, Record, StrokeGroup, StrokeMeasure, Unit, Words
from putt_posture.measures.registry import MEASURES, RECORDS, STROKE_MEASURES
from putt_posture.measures.saying import say_band, say_number, say_value, split_band, split_number, split_value

__all__ = [
    "LENGTH_CONVENTION",
    "MEASURES",
    "RECORDS",
    "STROKE_MEASURES",
    "Measure",
    "Part",
    "Record",
    "StrokeGroup",
    "StrokeMeasure",
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
