"""What a lesson is measured by: with another version of the program or its weights, a number may be another."""

from functools import cache
from importlib.metadata import version

from putt_posture.landmarks.weights import load_weights

__all__ = ["present_method"]


@cache
def present_method() -> str:
    """Return the version of the program and its weights; with others a number may be another."""
    return " ".join((version("putt_posture"), load_weights("small").label, load_weights("large").label))
