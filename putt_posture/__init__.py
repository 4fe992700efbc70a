"""Measure putting posture from phone clips.

The public names below are imported when they are first used, so that ``import putt_posture`` stays quick.

>>> from putt_posture import read_length_cm
>>> read_length_cm("5ft10in")
177.8
"""

from importlib import import_module
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from putt_posture.errors import PuttPostureError
    from putt_posture.lesson import measure_lesson
    from putt_posture.report import store_lesson
    from putt_posture.units import read_length_cm
    from putt_posture.values import Estimate, Fit, Lesson, Posture, Student

__all__ = [
    "Estimate",
    "Fit",
    "Lesson",
    "Posture",
    "PuttPostureError",
    "Student",
    "measure_lesson",
    "read_length_cm",
    "store_lesson",
]

_HOMES: Final = {
    "Estimate": "putt_posture.values",
    "Fit": "putt_posture.values",
    "Lesson": "putt_posture.values",
    "Posture": "putt_posture.values",
    "PuttPostureError": "putt_posture.errors",
    "Student": "putt_posture.values",
    "measure_lesson": "putt_posture.lesson",
    "read_length_cm": "putt_posture.units",
    "store_lesson": "putt_posture.report",
}


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
