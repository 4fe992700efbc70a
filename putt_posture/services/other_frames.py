"""Another frame of a clip stands for the lesson: the strip of frames to choose from, and the lesson with a chosen one.

Pictures of a clip are shown only where faces may be shown: in a lesson with hidden heads the strip has times alone.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.clips import read_clip, read_frames_at
from putt_posture.detection.other_frame import detect_at_times
from putt_posture.drawing import hide_faces
from putt_posture.drawing.stills import as_jpeg
from putt_posture.errors import NotAllowed, UsageError
from putt_posture.services.correcting import CorrectedLesson, StillPicture
from putt_posture.values import VIEW_TITLES, Clip, Given, Progress, View

__all__ = ["StripFrame", "draw_strip_picture", "find_clip", "list_strip", "need_clip", "open_at_other_times"]

STRIP_FRAMES: Final = 24
_STRIP_SIDE: Final = 240
_STRIP_BYTES: Final = 20_000
_STILL_BYTES: Final = 600_000
_SAME_S: Final = 0.02


@frozen(kw_only=True)
class StripFrame:
    """A frame of the strip.

    Attributes
    ----------
    time_s : float
        Clip time, seconds.
    setup : bool
        Whether it is the moment of a setup that was found.
    """

    time_s: float
    setup: bool


def list_strip(opened: CorrectedLesson, clips: Mapping[View, Path], view: View) -> tuple[StripFrame, ...]:
    """Return frames spread over a clip, and the moments of all setups that were found, in the order of time.

    Parameters
    ----------
    opened : CorrectedLesson
    clips : mapping of View to Path
    view : View

    Returns
    -------
    tuple of StripFrame
        Empty for a still, and where the clip is not there any more.
    """
    clip = find_clip(opened, clips, view)
    if clip is None or clip.kind == "still":
        return ()
    moments = [each.moment_s for each in opened.found.views[view].setups]
    spread = np.linspace(0.0, max(clip.duration_s - 1 / max(clip.rate_hz, 1.0), 0.0), STRIP_FRAMES)
    others = [float(each) for each in spread if min(abs(each - moment) for moment in moments) > _SAME_S]
    frames = [StripFrame(time_s=each, setup=True) for each in moments]
    frames += [StripFrame(time_s=round(each, 3), setup=False) for each in others]
    return tuple(sorted(frames, key=lambda frame: frame.time_s))


def draw_strip_picture(opened: CorrectedLesson, clips: Mapping[View, Path], view: View, time_s: float) -> bytes:
    """Return a small picture of a clip, as JPEG.

    Parameters
    ----------
    opened : CorrectedLesson
    clips : mapping of View to Path
    view : View
    time_s : float
        Clip time, seconds.

    Raises
    ------
    NotAllowed
        If faces are hidden in the lesson.
    UsageError
        If the clip is not there.
    """
    if opened.faces_hidden:
        raise NotAllowed("Heads are hidden in this lesson, so no pictures of its clips are shown.")
    clip = need_clip(opened, clips, view)
    return as_jpeg(read_frames_at(clip, [time_s], max_side=_STRIP_SIDE)[0].picture, most_bytes=_STRIP_BYTES)


def open_at_other_times(
    opened: CorrectedLesson,
    clips: Mapping[View, Path],
    times_s: Mapping[View, float],
    *,
    progress: Progress | None = None,
) -> CorrectedLesson:
    """Return a lesson in which other frames stand for it, open to be put right by hand.

    Parameters
    ----------
    opened : CorrectedLesson
    clips : mapping of View to Path
    times_s : mapping of View to seconds
        The chosen clip time of each view that changes.
    progress : callable, optional

    Returns
    -------
    CorrectedLesson
        Of the views that change nothing is by hand any more but what is said of the camera. Where heads are hidden
        they are hidden in the new stills too.

    Raises
    ------
    UsageError
        If a clip is not there, is a still, or has no such time.
    StudentNotFound, SetupNotFound
        If the student is not seen there, or it is no address.
    """
    measuring = opened.measuring
    detections = dict(measuring.detections)
    for view, time_s in times_s.items():
        detections[view] = detect_at_times(
            need_clip(opened, clips, view),
            detections[view],
            [time_s],
            without_putter=measuring.without_putter,
            progress=progress,
        )
    lesson = evolve(measuring, detections=detections).measure_quickly()[0]
    looked_at = {view: evolve(each, finds=lesson.views[view].finds) for view, each in detections.items()}
    shown = hide_faces(lesson) if opened.faces_hidden else lesson
    stills = dict(opened.stills)
    for view in times_s:
        looked_at[view] = evolve(looked_at[view], still=shown.views[view].still)
        width, height = lesson.views[view].landmarks.size_px
        picture = as_jpeg(shown.views[view].still.picture, most_bytes=_STILL_BYTES)
        stills[view] = StillPicture(jpeg=picture, box_px=(0, 0, width, height))
    again = evolve(measuring, detections=looked_at)
    said = {view: opened.given[view] for view in times_s}
    camera = {view: Given(roll_deg=each.roll_deg, distance_cm=each.distance_cm) for view, each in said.items()}
    return evolve(
        opened,
        measuring=again,
        found=again.measure_quickly()[0],
        given={**opened.given, **camera},
        stills=stills,
    )


def find_clip(opened: CorrectedLesson, clips: Mapping[View, Path], view: View) -> Clip | None:
    """Return the clip of a view; None where it is not there, or is another than the one that was measured.

    Parameters
    ----------
    opened : CorrectedLesson
    clips : mapping of View to Path
    view : View
    """
    path, measured = clips.get(view), opened.found.views[view].clip
    if path is None or not path.is_file():
        return None
    rate = measured.rate_hz * measured.time_stretch if measured.time_stretch != 1 else None
    clip = read_clip(path, view=view, capture_rate_hz=rate)
    if clip.sha256 != measured.sha256:
        return None
    return evolve(clip, shown_name=measured.name, notes=measured.notes)


def need_clip(opened: CorrectedLesson, clips: Mapping[View, Path], view: View) -> Clip:
    """Return the clip of a view.

    Parameters
    ----------
    opened : CorrectedLesson
    clips : mapping of View to Path
    view : View

    Raises
    ------
    UsageError
        If it is not there, or is a still.
    """
    clip = find_clip(opened, clips, view)
    if clip is None or clip.kind == "still":
        raise UsageError(
            f"{VIEW_TITLES[view]}: the clip is not there any more, or is a still, so no other frame can be chosen. Put "
            "right by hand what is in the still."
        )
    return clip
