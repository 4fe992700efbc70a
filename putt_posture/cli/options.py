"""Values as a coach types them: lengths, days, and values that belong to one view.

A value for one view may start with its name, ``face-on:4.2``; a value without one is for every clip that was given.
A picture point belongs to one picture, so with two clips it needs the name.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from datetime import date
from typing import TYPE_CHECKING, Final, TypeVar

import click

from putt_posture.errors import UnitError, UsageError
from putt_posture.units import read_day, read_degrees, read_length_cm, read_point, read_segment

if TYPE_CHECKING:
    from putt_posture.values import Point, Segment, StrokeEvent, View

__all__ = [
    "IN_CLIP",
    "IN_PICTURE",
    "VIEW_NAMES",
    "day_option",
    "degrees_option",
    "length_option",
    "past_day_option",
    "point_option",
    "read_by_view",
    "read_event",
    "read_landmark",
    "read_lists_by_view",
    "read_marked_step",
    "read_rate_hz",
    "read_scale_object",
    "read_seconds",
]

VIEW_NAMES: Final[dict[View, str]] = {"down_the_line": "down-the-line", "face_on": "face-on"}
"""The names of the views on the command line; those of `values`, whose import would bring numpy into the help."""

IN_PICTURE: Final = "a place in one picture"
IN_CLIP: Final = "a time of one clip"
"""What a value is that cannot count for both views."""
_EVENTS: Final[tuple[StrokeEvent, ...]] = ("start", "top", "impact", "finish")
"""Those of `values`, whose import would bring numpy into the help."""

Value = TypeVar("Value")


def _read_option(
    text: str | None, *, read: Callable[[str], Value], context: click.Context, option: click.Parameter
) -> Value | None:
    """Read the text of an option; an error names the option."""
    if text is None:
        return None
    try:
        return read(text)
    except UnitError as error:
        raise click.BadParameter(str(error), ctx=context, param=option) from None


def length_option(context: click.Context, option: click.Parameter, text: str | None) -> float | None:
    """Read a length with its unit for an option of click; centimetres. Raises click.BadParameter."""
    return _read_option(text, read=read_length_cm, context=context, option=option)


def degrees_option(context: click.Context, option: click.Parameter, text: str | None) -> float | None:
    """Read an angle for an option of click; degrees. Raises click.BadParameter."""
    return _read_option(text, read=read_degrees, context=context, option=option)


def day_option(context: click.Context, option: click.Parameter, text: str | None) -> date | None:
    """Read a day for an option of click. Raises click.BadParameter."""
    return _read_option(text, read=read_day, context=context, option=option)


def past_day_option(context: click.Context, option: click.Parameter, text: str | None) -> date | None:
    """Read a day, not in the future, for an option of click. Raises click.BadParameter."""
    return _read_option(text, read=_read_past_day, context=context, option=option)


def point_option(context: click.Context, option: click.Parameter, text: str | None) -> Point | None:
    """Read a picture point for an option of click; pixels from the top left. Raises click.BadParameter."""
    return _read_option(text, read=read_point, context=context, option=option)


def read_seconds(text: str) -> float:
    """Read a clip time: seconds, or minutes and seconds as a player shows them.

    Raises
    ------
    UnitError
        If it is neither.

    Examples
    --------
    >>> read_seconds("4.25"), read_seconds("1:02.5")
    (4.25, 62.5)
    """
    found = re.fullmatch(r"\s*(?:(\d+):)?(\d+(?:\.\d+)?)\s*s?\s*", text)
    if found is None or (found[1] and float(found[2]) >= 60):
        raise UnitError(f"The time {text!r} cannot be read. Write seconds into the clip, like 4.25, or 1:02.5.")
    return int(found[1] or 0) * 60 + float(found[2])


def read_marked_step(text: str) -> tuple[float, str]:
    """Read a clip time and the step of a rebuild that is seen then.

    Raises
    ------
    UnitError
        If there is no time, or no step.

    Examples
    --------
    >>> read_marked_step("4.2 shoulders back")
    (4.2, 'shoulders back')
    """
    time, _, step = text.strip().partition(" ")
    if not step.strip():
        raise UnitError(f'The step {text!r} cannot be read. Write its time and its name: "4.2 shoulders back".')
    return read_seconds(time), step.strip()


def read_rate_hz(text: str) -> float:
    """Read a number of frames a second.

    Raises
    ------
    UnitError
        If it is not a number above 0.

    Examples
    --------
    >>> read_rate_hz("240"), read_rate_hz("59.94fps")
    (240.0, 59.94)
    """
    found = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(?:fps|hz)?\s*", text, re.I)
    if found is None or float(found[1]) == 0:
        raise UnitError(f"The capture rate {text!r} cannot be read. Write frames a second, like 240.")
    return float(found[1])


def read_scale_object(text: str) -> tuple[float, Segment]:
    """Read a known length and where its two ends are in the picture.

    Parameters
    ----------
    text : str
        ``120cm at 410,1630 880,1634``.

    Returns
    -------
    float
        Centimetres.
    Segment
        The two ends, pixels from the top left of the upright picture.

    Raises
    ------
    UnitError
        If the length or the ends cannot be read.

    Examples
    --------
    >>> read_scale_object("1.2m at 410,1630 880,1634")
    (120.0, ((410.0, 1630.0), (880.0, 1634.0)))
    """
    length, word, ends = text.partition(" at ")
    if not word:
        raise UnitError(
            f"The scale object {text!r} cannot be read. Write its length and where its two ends are: "
            '"120cm at 410,1630 880,1634".'
        )
    return read_length_cm(length), read_segment(ends)


def read_landmark(text: str) -> tuple[str, Point]:
    """Read a landmark and where it is in the picture.

    Parameters
    ----------
    text : str
        ``left_shoulder 512,300``.

    Returns
    -------
    str
        One of `LANDMARK_NAMES`.
    Point
        Pixels from the top left of the upright picture.

    Raises
    ------
    UnitError
        If there is no such landmark, or its place cannot be read.

    Examples
    --------
    >>> read_landmark("left_shoulder 512,300")
    ('left_shoulder', (512.0, 300.0))
    """
    from putt_posture.values import LANDMARK_NAMES

    name, _, place = text.strip().partition(" ")
    name = name.lower().replace("-", "_")
    if not place:
        raise UnitError(
            f'The landmark {text!r} cannot be read. Write its name and where it is: "left_shoulder 512,300".'
        )
    if name not in LANDMARK_NAMES:
        raise UnitError(f"There is no landmark {name!r}. Give one of {', '.join(LANDMARK_NAMES)}.")
    return name, read_point(place)


def read_event(text: str) -> tuple[int, StrokeEvent, float]:
    """Read an event of a stroke and its clip time.

    Parameters
    ----------
    text : str
        ``2:top=5.77``; without a number it is the first stroke.

    Returns
    -------
    int
        Which stroke of the clip, from 1.
    str
        One of ``start``, ``top``, ``impact``, ``finish``.
    float
        Seconds of clip time.

    Raises
    ------
    UnitError
        If there is no such event, or its number or its time cannot be read.

    Examples
    --------
    >>> read_event("2:top=5.77"), read_event("impact=6.1")
    ((2, 'top', 5.77), (1, 'impact', 6.1))
    """
    found = re.fullmatch(r"\s*(?:(\d{1,4})\s*:)?\s*([a-z]+)\s*=(.*)", text, re.I)
    event = None if found is None else next((each for each in _EVENTS if each == found[2].lower()), None)
    if found is None or event is None or (found[1] is not None and int(found[1]) == 0):
        raise UnitError(
            f"The event {text!r} cannot be read. Write which stroke of the clip, the event and its time: "
            f'"2:top=5.77". The events are {", ".join(_EVENTS)}.'
        )
    return int(found[1] or 1), event, read_seconds(found[3])


def read_lists_by_view(
    texts: Sequence[str],
    *,
    read: Callable[[str], Value],
    views: Collection[View],
    option: str,
    one_view: str = "",
) -> dict[View, list[Value]]:
    """Read an option that may be given more than once for a view.

    Parameters
    ----------
    texts : sequence of str
        Each ``VALUE`` or ``VIEW:VALUE``.
    read : callable
        Reads one value.
    views : collection of View
        The views that a clip was given for.
    option : str
        The option's name, for the message.
    one_view : str
        What the value is, if it cannot count for both views: `IN_PICTURE` or `IN_CLIP`.

    Returns
    -------
    dict of View to list

    Raises
    ------
    UsageError
        If a named view has no clip, a value cannot be read, or a value for one view names none.
    """
    if one_view and len(views) > 1:
        for text in texts:
            if _split_view(text)[0] is None:
                raise UsageError(
                    f"{option} {text!r} is {one_view}, and there are two clips. "
                    f'Say which one: "down-the-line:{text}" or "face-on:{text}".'
                )
    values: dict[View, list[Value]] = {}
    for text in texts:
        named, rest = _split_view(text)
        if named is not None and named not in views:
            name = VIEW_NAMES[named]
            raise UsageError(f"{option} {text!r} is for the {name} view, but no --{name} clip was given. Add the clip.")
        value = read(rest)
        for view in views if named is None else (named,):
            values.setdefault(view, []).append(value)
    return values


def read_by_view(
    texts: Sequence[str],
    *,
    read: Callable[[str], Value],
    views: Collection[View],
    option: str,
    one_view: str = "",
) -> dict[View, Value]:
    """Read an option that counts once for a view.

    Parameters
    ----------
    texts, read, views, option, one_view
        As for `read_lists_by_view`.

    Returns
    -------
    dict of View to value

    Raises
    ------
    UsageError
        As `read_lists_by_view`; also if a view has two values.
    """
    values = read_lists_by_view(texts, read=read, views=views, option=option, one_view=one_view)
    for view, found in values.items():
        if len(found) > 1:
            raise UsageError(f"{option} was given {len(found)} times for the {VIEW_NAMES[view]} view. Give it once.")
    return {view: found[0] for view, found in values.items()}


def _read_past_day(text: str) -> date:
    day = read_day(text)
    if day > date.today():
        raise UnitError(f"The day {day} is in the future. Give today or an earlier day.")
    return day


def _split_view(text: str) -> tuple[View | None, str]:
    for view, name in VIEW_NAMES.items():
        if text.lower().startswith(f"{name}:"):
            return view, text[len(name) + 1 :].strip()
    return None, text
