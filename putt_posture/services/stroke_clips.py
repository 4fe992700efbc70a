"""The strokes of a lesson that is open: their overlay clips, and single frames to place an event by hand.

Pictures of a clip are shown only where faces may be shown. Where heads are hidden in a lesson they are hidden in its
overlay clips, and single frames are not shown at all. The clips of a filed lesson are there as far as the archive gives
them out today (`open_lesson`).
"""

import tempfile
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Final

from attrs import evolve

from putt_posture.archive import Archive, load_first_and_newest, load_lesson, load_permission, open_lesson
from putt_posture.drawing.overlay_clip import FilmedStroke, draw_frame, draw_overlay_clip
from putt_posture.drawing.stills import as_jpeg
from putt_posture.errors import NotAllowed, NotInArchive
from putt_posture.services.correcting import CorrectedLesson
from putt_posture.services.other_frames import find_clip, need_clip
from putt_posture.values import VIEWS, Lesson, OverlayClip, Stroke, View

__all__ = ["draw_stroke_clip", "draw_stroke_frame", "filed_clips", "has_clip", "views_with_filed_clips"]

_FRAME_BYTES: Final = 90_000
_CLIPS: Final = "clips/"


def has_clip(opened: CorrectedLesson, clips: Mapping[View, Path], view: View) -> bool:
    """Tell whether the clip of a view is there, the one that was measured.

    Parameters
    ----------
    opened : CorrectedLesson
    clips : mapping of View to Path
    view : View
    """
    clip = find_clip(opened, clips, view)
    return clip is not None and clip.kind == "video"


def views_with_filed_clips(archive: Archive, number: int, *, today: date) -> frozenset[View]:
    """Return the views of a filed lesson whose clips are kept and may be shown today.

    Parameters
    ----------
    archive : Archive
    number : int
        The lesson's, of any of its results: the clips are kept with the first.
    today : date

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures does not count today.
    """
    first, _ = load_first_and_newest(archive, number)
    filed = load_lesson(archive, first)
    if load_permission(archive, filed.student).check_showing(today) != "pictures":
        return frozenset()
    return frozenset(_names_of_clips(filed.names))


@contextmanager
def filed_clips(archive: Archive, number: int, *, today: date) -> Iterator[dict[View, Path]]:
    """Yield the clips of a filed lesson, as far as they may be shown today, in a private folder that is erased after.

    Parameters
    ----------
    archive, number, today
        As for `views_with_filed_clips`.
    """
    first, _ = load_first_and_newest(archive, number)
    with tempfile.TemporaryDirectory(prefix="putt-posture-clips-") as folder:
        clips: dict[View, Path] = {}
        if views_with_filed_clips(archive, number, today=today):
            kept = open_lesson(archive, first, today=today)
            for view, name in _names_of_clips(kept.names).items():
                clips[view] = Path(folder) / name.removeprefix(_CLIPS)
                clips[view].write_bytes(kept.read(name))
        yield clips


def _names_of_clips(names: Collection[str]) -> dict[View, str]:
    found = {view: [name for name in names if name.startswith(f"{_CLIPS}{view}.")] for view in VIEWS}
    return {view: of_view[0] for view, of_view in found.items() if of_view}


def draw_stroke_clip(
    opened: CorrectedLesson, lesson: Lesson, clips: Mapping[View, Path], view: View, number: int
) -> tuple[bytes, OverlayClip]:
    """Return the overlay clip of one stroke as MP4, heads hidden where they are hidden in the lesson.

    Parameters
    ----------
    opened : CorrectedLesson
    lesson : Lesson
        The same lesson, with the events as they count.
    clips : mapping of View to Path
    view : View
    number : int
        Which stroke of the clip, from 1.

    Raises
    ------
    NotInArchive
        If there is no such stroke.
    UsageError
        If the clip is not there.
    """
    return draw_overlay_clip(_filmed(opened, lesson, clips, view, number), hide_head=opened.faces_hidden)


def draw_stroke_frame(
    opened: CorrectedLesson, lesson: Lesson, clips: Mapping[View, Path], view: View, number: int, *, time_s: float
) -> bytes:
    """Return the frame of a stroke nearest to a time with its lines, as JPEG, cut as in its overlay clip.

    Parameters
    ----------
    opened, lesson, clips, view, number
        As for `draw_stroke_clip`.
    time_s : float
        Clip time, s.

    Raises
    ------
    NotAllowed
        If faces are hidden in the lesson.
    NotInArchive, UsageError
        As `draw_stroke_clip`.
    """
    if opened.faces_hidden:
        raise NotAllowed("Heads are hidden in this lesson, so no pictures of its clips are shown.")
    picture = draw_frame(_filmed(opened, lesson, clips, view, number), time_s=time_s)
    return as_jpeg(picture, most_bytes=_FRAME_BYTES)


def _filmed(
    opened: CorrectedLesson, lesson: Lesson, clips: Mapping[View, Path], view: View, number: int
) -> FilmedStroke:
    result = lesson.views.get(view)
    seen = None if result is None else result.strokes
    if result is None or seen is None or not 1 <= number <= len(seen.strokes):
        raise NotInArchive(f"There is no stroke {number} in this view.")
    clip = evolve(need_clip(opened, clips, view), time_stretch=result.clip.time_stretch)
    return FilmedStroke.of(clip, _measured(lesson, view, number), seen, scale=result.scene.px_per_cm)


def _measured(lesson: Lesson, view: View, number: int) -> Stroke:
    strokes = () if lesson.strokes is None else lesson.strokes.of.get(view, ())
    found = next((each for each in strokes if each.number == number), None)
    if found is None:
        raise NotInArchive(f"Stroke {number} in this view was not measured.")
    return found
