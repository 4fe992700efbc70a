"""What a lesson is measured by: with another version of the program or its weights, a number may be another."""

from collections.abc import Mapping
from functools import cache
from importlib.metadata import version

from putt_posture.landmarks.weights import load_weights

__all__ = ["find_method"]


@cache
def find_method() -> Mapping[str, str]:
    """Return the versions of the program and of its weights, by name."""
    return {
        "putt_posture": version("putt_posture"),
        "small": load_weights("small").label,
        "large": load_weights("large").label,
    }
