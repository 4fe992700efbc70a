"""Colours by part of the body, distinct for people with any kind of colour vision.

The eight colours are those of Okabe & Ito, "Color Universal Design" (2002, revised 2008). A colour names a part; it
never says good or bad.
"""

from collections.abc import Mapping
from typing import Final

from putt_posture.measures import Part

__all__ = ["PART_COLOURS", "PART_TITLES"]

PART_COLOURS: Final[Mapping[Part, str]] = {
    "trunk": "#56B4E9",
    "head": "#F0E442",
    "arms": "#E69F00",
    "legs": "#CC79A7",
    "balance": "#009E73",
    "club": "#D55E00",
    "stroke": "#0072B2",
}
"""Sky blue, yellow, orange, reddish purple, bluish green, vermillion, blue."""
PART_TITLES: Final[Mapping[Part, str]] = {
    "trunk": "trunk",
    "head": "head and eyes",
    "arms": "arms and hands",
    "legs": "legs and stance",
    "balance": "balance",
    "club": "putter and ball",
}
