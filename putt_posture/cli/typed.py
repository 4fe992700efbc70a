"""What was typed of a lesson, as values: clips, lessons of the archive, arguments of measuring, corrections."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from putt_posture.cli.options import (
    IN_CLIP,
    IN_PICTURE,
    read_by_view,
    read_event,
    read_landmark,
    read_lists_by_view,
    read_rate_hz,
    read_scale_object,
    read_seconds,
)
from putt_posture.cli.shared_options import NUMBER
from putt_posture.errors import UsageError
from putt_posture.units import read_degrees, read_length_cm, read_point, read_segment

if TYPE_CHECKING:
    from putt_posture.values import Given, View

__all__ = ["gather_clips", "read_corrections", "read_place", "read_view_options"]

_PREFIX: Final = "lesson:"


def gather_clips(*, down_the_line: Path | None, face_on: Path | None) -> dict[View, Path]:
    """Return the clips that were given, by view."""
    given: dict[View, Path | None] = {"down_the_line": down_the_line, "face_on": face_on}
    return {view: clip for view, clip in given.items() if clip is not None}


def read_place(text: str) -> Path | int:
    """Return the folder of a report, or the number of a lesson of the archive: `lesson:12`.

    Raises
    ------
    UsageError
        If what follows `lesson:` is no number.
    """
    if not text.startswith(_PREFIX):
        return Path(text)
    number = text.removeprefix(_PREFIX)
    if re.fullmatch(r"\d{1,10}", number, re.ASCII) and 1 <= int(number) <= (NUMBER.max or 0):
        return int(number)
    raise UsageError(
        f"{text!r} is not a lesson of the archive. Write its number, as archive show prints it: {_PREFIX}12; "
        f"or ./{text} for a folder of that name."
    )


def read_view_options(
    texts: Mapping[str, tuple[str, ...]],
    *,
    clips: Mapping[View, Path],
    coach_file: Path | None,
    without_putter: bool = False,
    setup_only: bool = False,
    step: str | None = None,
) -> dict[str, Any]:
    """Read what was typed into arguments of `measure_lesson`.

    Parameters
    ----------
    texts : mapping of str to tuple of str
        The options of `view_options`, by name.
    clips : mapping of View to Path
    coach_file : Path or None
        The coach's own file.
    without_putter, setup_only : bool
    step : str or None
        The options of `filmed_options`.

    Raises
    ------
    UsageError
        If one of them cannot be read, or is for a view without a clip.
    """
    views = tuple(clips)
    once = {
        "scale_object": ("scale_object", read_scale_object, IN_PICTURE),
        "capture_rate": ("capture_rate_hz", read_rate_hz, ""),
        "camera_roll": ("camera_roll_deg", read_degrees, ""),
        "camera_distance": ("camera_distance_cm", read_length_cm, ""),
        "student_at": ("student_at", read_point, IN_PICTURE),
        "shaft_at": ("shaft_at", read_segment, IN_PICTURE),
        "ball_at": ("ball_at", read_point, IN_PICTURE),
        "ground_at": ("ground_at", read_point, IN_PICTURE),
        "target_at": ("target_at", read_segment, IN_PICTURE),
    }
    given: dict[str, Any] = {
        "setup_at": read_lists_by_view(texts["setup_at"], read=read_seconds, views=views, option="--setup-at"),
        "back_at": read_lists_by_view(
            texts["back_at"], read=read_point, views=views, option="--back-at", one_view=IN_PICTURE
        ),
        "landmark_at": read_lists_by_view(
            texts["landmark_at"], read=read_landmark, views=views, option="--landmark-at", one_view=IN_PICTURE
        ),
        "event_at": read_lists_by_view(
            texts["event_at"], read=read_event, views=views, option="--event-at", one_view=IN_CLIP
        ),
    }
    for name, (argument, read, one_view) in once.items():
        option = f"--{name.replace('_', '-')}"
        given[argument] = read_by_view(texts[name], read=read, views=views, option=option, one_view=one_view)
    if coach_file is not None:
        from putt_posture.services.coach_files import open_coach_file

        given["coach"] = open_coach_file(coach_file)
    if without_putter:
        given["without_putter"] = True
    if setup_only:
        given["setup_only"] = True
    if step is not None:
        given["step"] = step
    return given


def read_corrections(texts: Mapping[str, tuple[str, ...]], *, views: Collection[View]) -> dict[View, Given]:
    """Read what is put right by hand in a filed lesson, besides landmarks.

    Parameters
    ----------
    texts : mapping of str to tuple of str
        The options by name: ``shaft_at``, ``ball_at``, ``ground_at``, ``back_at``, ``target_at``,
        ``scale_object``, ``camera_roll``, ``setup_at``, ``event_at``.
    views : collection of View
        Of the lesson.

    Returns
    -------
    dict of View to Given
        Of the views of which something was said.

    Raises
    ------
    UsageError
        If one of them cannot be read, or is for a view that the lesson has not.
    """
    from putt_posture.values import Given, PlacedEvent

    once: dict[str, tuple[str, Callable[[str], Any], str]] = {
        "shaft_at": ("shaft_px", read_segment, IN_PICTURE),
        "ball_at": ("ball_px", read_point, IN_PICTURE),
        "ground_at": ("ground_px", read_point, IN_PICTURE),
        "target_at": ("target_px", read_segment, IN_PICTURE),
        "scale_object": ("scale_object", read_scale_object, IN_PICTURE),
        "camera_roll": ("roll_deg", read_degrees, ""),
    }
    said: dict[View, dict[str, Any]] = {}
    for name, (field, read, one_view) in once.items():
        option = f"--{name.replace('_', '-')}"
        for view, value in read_by_view(texts[name], read=read, views=views, option=option, one_view=one_view).items():
            said.setdefault(view, {})[field] = value
    for view, times in read_lists_by_view(
        texts["setup_at"], read=read_seconds, views=views, option="--setup-at"
    ).items():
        said.setdefault(view, {})["setup_times_s"] = tuple(times)
    for view, events in read_lists_by_view(
        texts["event_at"], read=read_event, views=views, option="--event-at", one_view=IN_CLIP
    ).items():
        said.setdefault(view, {})["event_times"] = tuple(
            PlacedEvent(stroke=stroke, event=event, time_s=time_s) for stroke, event, time_s in events
        )
    for view, points in read_lists_by_view(
        texts["back_at"], read=read_point, views=views, option="--back-at", one_view=IN_PICTURE
    ).items():
        said.setdefault(view, {})["back_px"] = tuple(points)
    return {view: Given(**each) for view, each in said.items()}
