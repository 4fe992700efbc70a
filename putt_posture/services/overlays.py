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
from putt_posture.pages.stroke_section import clip_name
from putt_posture.records import KeptLesson
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
        filmed = FilmedStroke.of(result.clip, stroke, result.strokes, scale=result.scene.px_per_cm)
        try:
            overlays[view], _ = draw_overlay_clip(filmed, hide_head=lesson.faces_hidden)
        except (ClipError, UsageError) as error:
            says.append(f"{VIEW_TITLES[view]}: no clip of the stroke was made. {error}")
    return (evolve(lesson, warnings=(*lesson.warnings, *says)) if says else lesson), overlays


def draw_overlays_again(
    lesson: Lesson, clips: Mapping[View, Path], *, kept: KeptLesson | None = None, progress: Progress | None = None
) -> dict[View, bytes]:
    """Draw the overlay clips of a lesson that was stored, of those views whose clips are there unchanged.

    Parameters
    ----------
    lesson : Lesson
    clips : mapping of View to Path
    kept : KeptLesson, optional
        The same lesson as it is stored: where a clip is not there, the overlay clip that it holds counts further, if it
        shows the same stroke with the same events.
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
    if not lesson.strokes:
        return {}
    still = {
        view: kept.read(clip_name(view))
        for view in lesson.strokes.shown.keys() - there
        if kept is not None and _shows_the_same(kept, lesson, view)
    }
    if not there:
        return still
    shown = {view: index for view, index in lesson.strokes.shown.items() if view in there}
    _, overlays = draw_overlays(
        evolve(lesson, views=views, strokes=evolve(lesson.strokes, shown=shown)), progress=progress
    )
    return still | overlays


def _shows_the_same(kept: KeptLesson, lesson: Lesson, view: View) -> bool:
    """Tell whether a stored lesson holds the overlay clip of the stroke that is shown now, with the same events."""
    was, now = kept.record.strokes, lesson.strokes
    if clip_name(view) not in kept.names or kept.record.faces_hidden != lesson.faces_hidden:
        return False
    if was is None or now is None or view not in was.shown or view not in now.shown:
        return False
    one, two = (each.of[view][each.shown[view]] for each in (was, now))
    times = [{name: each.value for name, each in stroke.events.items() if each} for stroke in (one, two)]
    return one.number == two.number and times[0] == times[1]
