"""What a lesson is measured with, checked before a clip is opened: types, signs and names of views."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Final, cast

import numpy as np

from putt_posture.errors import ArgumentError
from putt_posture.findings import CoachFile
from putt_posture.values import VIEWS, Interview, PlacedEvent, Student, View, WantedSetup
from putt_posture.values.checks import (
    check_line,
    check_mapping,
    check_number,
    check_path,
    check_point,
    check_scale_object,
    check_segment,
    check_type,
)

__all__ = ["check_arguments"]


def check_arguments(
    student: object,
    *,
    paths: Mapping[str, object],
    capture_rate_hz: object,
    by_view: Mapping[str, object],
    wanted: object,
    coach: object,
    interview: object,
    progress: object,
) -> None:
    """Check types, signs and names of views.

    Parameters
    ----------
    student : object
    paths : mapping of str to object
        The clips by view; None where there is none.
    capture_rate_hz : object
        A number for all clips, or one by view.
    by_view : mapping of str to object
        What is given for single views, by the name of the argument, one of `measure_lesson`; None where nothing is.
    wanted, coach, interview, progress : object
        None where nothing is given.

    Raises
    ------
    UsageError
        The first that does not fit, in one sentence.
    """
    check_type(student, "student", Student, example='Student(stature_cm=178, handed="right")')
    for name, path in paths.items():
        if path is not None:
            check_path(path, name)
    if isinstance(capture_rate_hz, Mapping):
        by_view = {**by_view, "capture_rate_hz": capture_rate_hz}
    elif capture_rate_hz is not None:
        _above_zero(capture_rate_hz, "capture_rate_hz")
    for name, given in by_view.items():
        if given is None:
            continue
        check_mapping(given, name, VIEWS)
        for view, value in cast(Mapping[View, object], given).items():
            if value is not None:
                _CHECKS[name](value, f"{name}[{view!r}]")
    if wanted is not None:
        check_type(wanted, "wanted", WantedSetup, example="WantedSetup(knee_flex_deg=20)")
    if coach is not None:
        check_type(coach, "coach", CoachFile, example='read_coach_file(text, where="mine.toml")')
    if interview is not None:
        check_type(interview, "interview", Interview, example='Interview(misses="left under 2 m")')
    if progress is not None and not callable(progress):
        raise ArgumentError(
            f"progress is {progress!r}; a function of what is going on and the share done is needed, or none."
        )


def _check_times(value: object, name: str) -> None:
    if isinstance(value, str) or not isinstance(value, Sequence | np.ndarray):
        raise ArgumentError(f"{name} is {value!r}; a list of seconds is needed, such as [4.2].")
    for place, each in enumerate(value):
        check_number(each, f"{name}[{place}]", low=0)


def _check_placed(value: object, name: str) -> None:
    if isinstance(value, str) or not isinstance(value, Sequence):
        raise ArgumentError(f'{name} is {value!r}; a list was needed, such as [("left_shoulder", (512, 300))].')
    for place, each in enumerate(value):
        if not (isinstance(each, tuple) and len(each) == 2 and isinstance(each[0], str)):
            raise ArgumentError(
                f'{name}[{place}] is {each!r}; a landmark and its point were needed: ("left_shoulder", (512, 300)).'
            )
        check_point(each[1], f"{name}[{place}]")


def _check_events(value: object, name: str) -> None:
    if isinstance(value, str) or not isinstance(value, Sequence):
        raise ArgumentError(f'{name} is {value!r}; a list was needed, such as [(1, "top", 5.77)].')
    for place, each in enumerate(value):
        if not (isinstance(each, tuple) and len(each) == 3):
            raise ArgumentError(
                f'{name}[{place}] is {each!r}; a stroke, its event and the time were needed: (1, "top", 5.77).'
            )
        PlacedEvent(stroke=each[0], event=each[1], time_s=each[2])


_above_zero = partial(check_number, above=0)
_CHECKS: Final[Mapping[str, Callable[[object, str], None]]] = {
    "setup_at": _check_times,
    "scale_object": check_scale_object,
    "capture_rate_hz": _above_zero,
    "camera_roll_deg": check_number,
    "camera_distance_cm": _above_zero,
    "student_at": check_point,
    "shaft_at": check_segment,
    "ball_at": check_point,
    "ground_at": check_point,
    "back_at": check_line,
    "target_at": check_segment,
    "landmark_at": _check_placed,
    "event_at": _check_events,
}
