"""On which day and when a clip or still was filmed, as its own notes say.

Two kinds of note are trusted. A phone that writes its own time with the offset to UTC (QuickTime's ``creationdate``),
or a camera's local time (EXIF), names the day where it was filmed. Others write UTC (``creation_time``, ISO/IEC
14496-12): at eleven in the evening in New York that is the next day already, so it is turned into the time zone of
this computer, in which a coach's own clips were most likely filmed. Clocks that were never set say 1904 or 1970.
"""

import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from datetime import date, datetime, time, tzinfo
from pathlib import Path
from typing import Any, Final

import pillow_heif
from attrs import frozen
from PIL import Image

from putt_posture.clips.files import check_file
from putt_posture.clips.stills import is_still
from putt_posture.clips.streams import open_stream
from putt_posture.errors import ClipError

__all__ = ["LessonDay", "find_lesson_day", "read_day_filmed", "read_moment_filmed"]

_WITH_OFFSET: Final = "com.apple.quicktime.creationdate"
_IN_UTC: Final = "creation_time"
_EXIF: Final = 0x8769
_EXIF_TAKEN: Final = 0x9003
"""DateTimeOriginal, local time of the camera (CIPA DC-008, Exif 2.32)."""
_FIRST: Final = date(2000, 1, 1)
"""No phone filmed before this day; an earlier one comes from a clock that was never set."""


@frozen(kw_only=True)
class LessonDay:
    """The day of a lesson and where it comes from.

    Attributes
    ----------
    day : date
    says : str
        One sentence.
    """

    day: date
    says: str


def find_lesson_day(
    paths: Iterable[Path], *, today: date, given: date | None = None, zone: tzinfo | None = None
) -> LessonDay:
    """Find the day of a lesson: what was given, else what the clips say, else today.

    Parameters
    ----------
    paths : iterable of Path
        The clips of the lesson.
    today : date
        Used where no clip names a day; one after it is not believed.
    given : date, optional
        What the coach typed.
    zone : tzinfo, optional
        The time zone in which a time in UTC is read; this computer's without it.

    Returns
    -------
    LessonDay
        Of clips that name different days the earlier one, since an edited clip may carry the day of editing. A clip
        that cannot be opened names none; it is refused where it is measured.
    """
    if given is not None:
        return LessonDay(day=given, says=f"The lesson is dated {given}, as given.")
    filmed: dict[str, date | None] = {}
    for path in paths:
        with suppress(ClipError):
            filmed[path.name] = read_day_filmed(path, zone=zone)
    days = {name: day for name, day in filmed.items() if day is not None and _FIRST <= day <= today}
    if not days:
        return LessonDay(
            day=today,
            says=f"The lesson is dated today, {today}, as the clips do not say when they were filmed. "
            "Another day: --day.",
        )
    day = min(days.values())
    if len(set(days.values())) > 1:
        named = " and ".join(f"{name} on {each}" for name, each in days.items())
        return LessonDay(
            day=day,
            says=f"The lesson is dated {day}, the earlier day that its clips name ({named}). Another day: --day.",
        )
    name = next(iter(days))
    return LessonDay(day=day, says=f"The lesson is dated {day}, when {name} was filmed. Another day: --day.")


def read_day_filmed(path: Path, *, zone: tzinfo | None = None) -> date | None:
    """Read the day on which a clip or still was filmed; None where it does not say.

    Parameters
    ----------
    path : Path
    zone : tzinfo, optional
        The time zone in which a time in UTC is read; this computer's without it.

    Raises
    ------
    UnreadableClip
        A file that is missing, or no video or picture.
    """
    moment = read_moment_filmed(path, zone=zone)
    return None if moment is None else moment.date()


def read_moment_filmed(path: Path, *, zone: tzinfo | None = None) -> datetime | None:
    """Read when a clip or still was filmed, in the time of the place; None where it does not say.

    Parameters
    ----------
    path : Path
    zone : tzinfo, optional
        The time zone in which a time in UTC is read; this computer's without it.

    Returns
    -------
    datetime or None
        Without an offset to UTC where the camera did not note one. Clocks that were never set say 1904 or 1970.

    Raises
    ------
    UnreadableClip
        A file that is missing, or no video or picture.
    """
    check_file(path)
    if is_still(path):
        return _read_still_moment(path)
    with open_stream(path) as opened:
        notes: dict[str, Any] = {**opened.stream.metadata, **opened.container.metadata}
    return _read_video_moment(notes, zone=zone)


def _read_video_moment(notes: Mapping[str, Any], *, zone: tzinfo | None) -> datetime | None:
    for name in (_WITH_OFFSET, _IN_UTC):
        with suppress(KeyError, ValueError):  # not there, or no time
            # Python 3.11 and later read the offsets +0200 and Z
            moment = datetime.fromisoformat(str(notes[name]).strip())
            with suppress(OverflowError, OSError):  # beyond the computer's own calendar
                return moment.astimezone(zone) if name == _IN_UTC and moment.tzinfo else moment
    return None


def _read_still_moment(path: Path) -> datetime | None:
    """Read the camera's local time; a damaged picture has none here, and is refused where it is read as a picture."""
    try:
        with Image.open(path) as image:
            exif = image.getexif()
    except Exception:
        exif = Image.Exif()
        with suppress(Exception):  # a decoder may raise almost any error for damaged bytes
            heif = pillow_heif.open_heif(str(path))
            exif.load(heif[heif.primary_index].info.get("exif") or b"")
    with suppress(Exception):
        found = re.match(r"(\d{4}):(\d{2}):(\d{2}) (.*)", str(exif.get_ifd(_EXIF).get(_EXIF_TAKEN, "")))
        if found:
            day = datetime(int(found[1]), int(found[2]), int(found[3]))
            with suppress(ValueError):  # a camera that notes no time of day
                return datetime.combine(day, time.fromisoformat(found[4].strip(" \0")))
            return day
    return None
