"""The overlay clips of two result folders joined into one for each view, in step at impact."""

import tempfile
from pathlib import Path

from putt_posture.clips import read_clip
from putt_posture.drawing.clips_in_step import write_side_by_side
from putt_posture.drawing.overlay_clip import BEFORE_S, HALF_SPEED
from putt_posture.drawing.stroke_times import find_time_stretch
from putt_posture.errors import UnreadableClip
from putt_posture.pages.stroke_section import clip_name
from putt_posture.values import VIEWS, ComparedLesson, Comparison, OverlayClip, View

__all__ = ["join_overlays"]


def join_overlays(comparison: Comparison, folders: tuple[Path, Path]) -> dict[View, bytes]:
    """Return the overlay clips of both lessons side by side, MP4, for each view that has a clip in both folders.

    Parameters
    ----------
    comparison : Comparison
    folders : (Path, Path)
        The result folders of the lessons before and after.
    """
    joined: dict[View, bytes] = {}
    for view in VIEWS:
        sides = [
            _find_overlay(lesson, folder / clip_name(view), view)
            for lesson, folder in zip((comparison.before, comparison.after), folders, strict=True)
        ]
        if sides[0] is None or sides[1] is None:
            continue
        with tempfile.TemporaryDirectory(prefix="putt-posture-clips-") as private:
            out = Path(private) / clip_name(view)
            try:
                write_side_by_side(out, sides[0], sides[1], private=True)
            except UnreadableClip:
                continue
            joined[view] = out.read_bytes()
    return joined


def _find_overlay(lesson: ComparedLesson, path: Path, view: View) -> tuple[Path, OverlayClip] | None:
    """Return the overlay clip of the stroke that stands for a lesson, with its events as `plan_overlay` places them."""
    strokes = lesson.record.strokes
    if strokes is None or view not in strokes.shown or not path.is_file():
        return None
    stroke = strokes.of[view][strokes.shown[view]]
    times = next((each.times_s for each in stroke.paths.values() if len(each.times_s)), None)
    if times is None or not stroke.events["start"]:
        return None
    try:
        clip = read_clip(path, view=view)
    except UnreadableClip:
        return None
    stretch = find_time_stretch(stroke)
    wanted = float(stroke.events["start"].value) - BEFORE_S * stretch
    start = float(min(times, key=lambda each: abs(each - wanted)))
    events = {name: float(each.value) for name, each in stroke.events.items() if each}
    size = clip.width, clip.height
    overlay = OverlayClip(
        view=view, number=stroke.number, start_s=start, end_s=start + clip.duration_s * stretch * HALF_SPEED,
        speed=HALF_SPEED, time_stretch=stretch, size_px=size, box_px=(0, 0, *size), picture_px=size,
        events_s={name: (at - start) / stretch / HALF_SPEED for name, at in events.items()}, heads_hidden=False,
    )  # fmt: skip
    return path, overlay
