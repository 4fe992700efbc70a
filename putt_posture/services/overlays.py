"""The overlay clips of the stroke that stands for a lesson, as files beside its report.

They go with the result folder and not into the archive: a filmed clip is kept there only with consent for showing the
face, and as nobody can check every frame of a drawn one, it is made again from the clip that is kept.
"""

from collections.abc import Mapping
from pathlib import Path

from attrs import evolve

from putt_posture.clips import read_clip
from putt_posture.drawing.overlay_clip import FilmedStroke, draw_overlay_clip
from putt_posture.errors import ClipError, UsageError
from putt_posture.values import VIEW_TITLES, Lesson, Progress, View, ignore_progress

__all__ = ["draw_overlays", "draw_overlays_again"]


def draw_overlays(lesson: Lesson, *, progress: Progress | None = None) -> tuple[Lesson, dict[View, bytes]]:
    """Draw the overlay clip of the shown stroke of each view; heads are hidden where they are hidden in the lesson.

    Parameters
    ----------
    lesson : Lesson
        Just measured, so that its clips are there.
    progress : callable, optional
        Called with what is going on and the share done, 0 to 1.

    Returns
    -------
    lesson : Lesson
        With a warning for each clip that could not be made.
    overlays : dict of View to bytes
        MP4.
    """
    tell, strokes = progress or ignore_progress, lesson.strokes
    if not strokes:
        return lesson, {}
    overlays: dict[View, bytes] = {}
    says: list[str] = []
    for place, (view, index) in enumerate(strokes.shown.items()):
        result, stroke = lesson.views[view], strokes.of[view][index]
        if result.strokes is None:
            continue
        tell(f"Drawing the clip of the stroke, {VIEW_TITLES[view].lower()}", place / len(strokes.shown))
        scale = result.scene.px_per_cm
        filmed = FilmedStroke(
            clip=result.clip,
            stroke=stroke,
            seen=result.strokes.strokes[stroke.number - 1],
            px_per_cm=scale.value if scale else None,
        )
        try:
            overlays[view], _ = draw_overlay_clip(filmed, hide_head=lesson.faces_hidden)
        except (ClipError, UsageError) as error:
            says.append(f"{VIEW_TITLES[view]}: no clip of the stroke was made. {error}")
    return (evolve(lesson, warnings=(*lesson.warnings, *says)) if says else lesson), overlays


def draw_overlays_again(
    lesson: Lesson, clips: Mapping[View, Path], *, progress: Progress | None = None
) -> dict[View, bytes]:
    """Draw the overlay clips of a lesson that was stored, of those views whose clips are there unchanged.

    Parameters
    ----------
    lesson : Lesson
    clips : mapping of View to Path
    progress : callable, optional

    Returns
    -------
    dict of View to bytes
        MP4.
    """
    views = dict(lesson.views)
    for view, path in clips.items():
        if view in views and path.is_file() and read_clip(path, view=view).sha256 == views[view].clip.sha256:
            views[view] = evolve(views[view], clip=evolve(views[view].clip, path=path))
    there = {view for view in views if views[view] is not lesson.views[view]}
    if not there or not lesson.strokes:
        return {}
    shown = {view: index for view, index in lesson.strokes.shown.items() if view in there}
    _, overlays = draw_overlays(
        evolve(lesson, views=views, strokes=evolve(lesson.strokes, shown=shown)), progress=progress
    )
    return overlays
