"""The overlay clips of two lessons joined into one for each view, in step at impact.

A result folder holds its overlay clips. Of a lesson of the archive they are drawn from the clips that are kept, as far
as these may be shown today. Where heads are to be hidden they are hidden in the joined clip too.
"""

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from attrs import evolve, field, frozen

from putt_posture.clips import read_clip
from putt_posture.detection.detect import Detection
from putt_posture.detection.loading import load_detections
from putt_posture.documents import ARRAYS
from putt_posture.drawing.clips_in_step import write_side_by_side
from putt_posture.drawing.overlay_clip import FilmedStroke, hide_overlay_heads, plan_overlay, write_overlay_clip
from putt_posture.errors import UnreadableClip, UsageError
from putt_posture.pages.stroke_section import clip_name
from putt_posture.records import KeptLesson, load_strokes
from putt_posture.values import VIEWS, OverlayClip, View

__all__ = ["ShownLesson", "join_overlays"]

_OFF_S: Final = 0.2
"""How far the length of an overlay clip may be from what its stroke has, s; more, and it is of another stroke."""
_Overlay = tuple[Path, OverlayClip]


@frozen(kw_only=True, eq=False)
class ShownLesson:
    """A lesson as far as it may be shown, with the clips of it that are there.

    Attributes
    ----------
    lesson : KeptLesson
    clips : mapping of View to Path
        As filmed; empty for a result folder.
    """

    lesson: KeptLesson
    clips: Mapping[View, Path] = field(factory=dict)


def join_overlays(before: ShownLesson, after: ShownLesson, *, hide_heads: bool) -> dict[View, bytes]:
    """Return the overlay clips of both lessons side by side, MP4, for each view in which both can be shown.

    Parameters
    ----------
    before, after : ShownLesson
    hide_heads : bool
        Whether heads are hidden even where they may be shown.
    """
    pair = before, after
    views = [view for view in VIEWS if all(_has_overlay(each, view) for each in pair)]
    if not views:
        return {}
    seen = [load_detections(each.lesson).detections for each in pair]
    joined: dict[View, bytes] = {}
    for view in views:
        with tempfile.TemporaryDirectory(prefix="putt-posture-clips-") as private:
            one, two = (
                _find(each, found[view], Path(private) / f"{when}.mp4", hide_heads=hide_heads)
                for each, found, when in zip(pair, seen, ("before", "after"), strict=True)
            )
            if one is None or two is None:
                continue
            out = Path(private) / clip_name(view)
            try:
                write_side_by_side(out, one, two, private=True)
            except UnreadableClip:  # damaged on the way; the comparison does not depend on it
                continue
            joined[view] = out.read_bytes()
    return joined


def _has_overlay(shown: ShownLesson, view: View) -> bool:
    """Tell whether a lesson shows a stroke in a view, and something is there to show it moving."""
    strokes, names = shown.lesson.record.strokes, shown.lesson.names
    return (
        strokes is not None
        and view in strokes.shown
        and ARRAYS in names
        and (clip_name(view) in names or view in shown.clips)
    )


def _find(shown: ShownLesson, detection: Detection, private: Path, *, hide_heads: bool) -> _Overlay | None:
    """Return the overlay clip of the stroke that stands for a lesson; what is not there as wanted is written."""
    strokes, lesson, view = load_strokes(shown.lesson), shown.lesson, detection.clip.view
    if not strokes or detection.strokes is None:
        return None
    stroke, scale = strokes.of[view][strokes.shown[view]], lesson.record.views[view].px_per_cm
    filmed = FilmedStroke.of(detection.clip, stroke, detection.strokes, scale=scale)
    try:
        if clip_name(view) in lesson.names:
            return _from_folder(lesson, filmed, private, hide=hide_heads)
        path = shown.clips[view]
        if read_clip(path, view=view).sha256 != detection.clip.sha256:
            return None
        filmed = evolve(filmed, clip=evolve(detection.clip, path=path))
        hide = hide_heads or lesson.record.faces_hidden
        return private, write_overlay_clip(private, filmed, hide_head=hide, private=True)
    except (UnreadableClip, UsageError):
        return None


def _from_folder(lesson: KeptLesson, filmed: FilmedStroke, private: Path, *, hide: bool) -> _Overlay | None:
    """Return the overlay clip that a result folder holds; None where it is not of this stroke.

    Where heads are to be hidden they are, even if the document says that they are hidden.
    """
    view = filmed.stroke.view
    there = private.with_name(f"{private.stem}_as_kept.mp4")
    there.write_bytes(lesson.read(clip_name(view)))
    overlay = plan_overlay(filmed, hide_head=lesson.record.faces_hidden)
    clip = read_clip(there, view=view)
    if (clip.width, clip.height) != overlay.size_px or abs(clip.duration_s - overlay.shown_at(overlay.end_s)) > _OFF_S:
        return None
    if not hide:
        return there, overlay
    return private, hide_overlay_heads(there, private, overlay, filmed.seen, px_per_cm=filmed.px_per_cm, private=True)
