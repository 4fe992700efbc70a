"""A stored lesson with the faces hidden, and the student's outline in its still."""

import json
from collections.abc import Iterator
from typing import Final

import numpy as np
from attrs import evolve
from PIL import Image

from putt_posture.documents.arrays import ARRAYS, open_arrays
from putt_posture.documents.json_values import document_as_text
from putt_posture.documents.lesson_reading import DOCUMENT
from putt_posture.drawing import hide_heads
from putt_posture.drawing.stills import as_jpeg, as_png
from putt_posture.errors import UsageError
from putt_posture.landmarks import find_head, find_heads
from putt_posture.measures import MEASURES
from putt_posture.pages.measured_files import PLAIN_BYTES
from putt_posture.records.alike import ALIKE
from putt_posture.records.html_files import Redrawn, hide_faces_in_page
from putt_posture.records.kept import FILES_WITHOUT_PICTURES, KeptLesson
from putt_posture.records.picture_files import read_picture
from putt_posture.values import STROKE_EVENTS, Floats, Head, KeptView, Picture, Point, View

__all__ = ["hide_faces_in", "leave_out_hands", "load_view"]

_FACELESS: Final = FILES_WITHOUT_PICTURES | {ARRAYS}
"""Files without a face; the outlines in the arrays are only shapes."""
_SMALL: Final = 64
"""Width, in pixels, of the small pictures by which two pictures are compared."""
SMALL_HEAD: Final = 0.25
"""Radius, as a share of the student's head, below which a head may be a hand (judged): a person who stands between the
camera and the student has a larger head in the picture, also a child."""
_ON_BODY: Final = 0.8
"""Share of such a disc that has to lie within the student's outline."""
_ACROSS: Final = 17
"""Points across the disc that are looked at."""
_Box = tuple[int, int, int, int]


def load_view(lesson: KeptLesson, view: View) -> KeptView | None:
    """Load one view; None if the lesson does not have it or was kept without pictures.

    Parameters
    ----------
    lesson : KeptLesson
    view : View

    Raises
    ------
    UsageError
        If a file is damaged.
    """
    still = f"stills/{view}_plain.jpg"
    record = lesson.record.views.get(view)
    if record is None or not {still, ARRAYS} <= lesson.names:
        return None
    picture = read_picture(lesson.read(still), name=still, where=lesson.title, size=record.still_size)
    arrays = open_arrays(lesson.read(ARRAYS), record=lesson.record, where=f"The landmarks of {lesson.title}")
    u0, v0, u1, v1 = (int(each) for each in arrays[f"{view}.mask_box_px"])
    return KeptView(
        record=record,
        still=picture,
        outline=arrays.row(f"{view}.outlines", record.still_index),
        outline_box_px=(u0, v0, u1, v1),
        joints_px=arrays.row(f"{view}.joints_px", record.still_index),
    )


def hide_faces_in(lesson: KeptLesson) -> KeptLesson:
    """Return a stored lesson with every head in its pictures hidden.

    The pictures are always searched, even if the document says that faces are hidden: the student's head is hidden
    where the landmarks put it, and so is every other head that is found. Left out are `report.pdf`, which cannot be
    changed, every picture whose place in the still is not known or that does not match the plain still, and every file
    that `measure` does not write. The stored files do not change.

    Parameters
    ----------
    lesson : KeptLesson

    Raises
    ------
    UsageError
        If a file is damaged.
    InstallationError
        The pose model, which looks for other people, cannot be opened.
    """
    pictures: dict[str, Redrawn] = {}
    for view in lesson.record.views:
        if (seen := load_view(lesson, view)) is not None:
            pictures |= _redraw_view(lesson, view, seen)
    changed = {
        name: as_png(each.after) if name.endswith(".png") else as_jpeg(each.after, most_bytes=PLAIN_BYTES)
        for name, each in pictures.items()
    }
    if DOCUMENT in lesson.names:
        changed[DOCUMENT] = _flag(lesson.read(DOCUMENT))
    if "report.html" in lesson.names:
        page = hide_faces_in_page(lesson.read("report.html").decode("utf-8"), list(pictures.values()))
        changed |= {} if page is None else {"report.html": page.encode("utf-8")}
    names = frozenset(changed) | (lesson.names & _FACELESS)

    def read(name: str) -> bytes:
        if name not in names:
            raise UsageError(f"{lesson.title} with the faces hidden holds no {name}. Ask for one of its files.")
        return changed[name] if name in changed else lesson.read(name)

    return evolve(lesson, record=evolve(lesson.record, faces_hidden=True), names=names, read=read)


def _redraw_view(lesson: KeptLesson, view: View, seen: KeptView) -> dict[str, Redrawn]:
    """Hide the heads in every picture of a view; returns no picture if the student's head is not known."""
    box = seen.record.still_box_px
    student = _find_student(lesson, view, seen)
    if student is None:
        return {}
    heads = [*leave_out_hands(_find_others(seen.still, box), student, seen), student]
    files = {f"stills/{view}_plain.jpg": box, f"stills/{view}.png": box}
    ghost = lesson.record.ghost_box_px
    if view == "down_the_line" and ghost is not None:
        files["stills/ghost.png"] = ghost
    steps = lesson.record.step_boxes_px
    files |= {f"stills/step_{name}.jpg": at for name, at in steps.items() if MEASURES[name].still_view == view}
    redrawn = dict(_redraw_stroke(lesson, view, seen))
    for name, place in files.items():
        if name not in lesson.names:
            continue
        before = read_picture(lesson.read(name), name=name, where=lesson.title)
        if not _is_alike(before, place, seen.still, box):
            continue
        # The ghost may show more of the picture than the still. Its own white head, inside the still, is not hidden.
        found = [] if _holds(box, place) else leave_out_hands(_find_others(before, place), student, seen)
        beyond = [head for head in found if not _inside(head, box)]
        after = hide_heads(before, [*heads, *beyond], corner=_corner(place), scale=_scale(before, place))
        redrawn[name] = Redrawn(before=before, after=after)
    return redrawn


def _redraw_stroke(lesson: KeptLesson, view: View, seen: KeptView) -> Iterator[tuple[str, Redrawn]]:
    """Hide the heads in the stills of the stroke of a view, each where the student's head was at that event."""
    strokes, boxes = lesson.record.strokes, lesson.record.stroke_boxes_px
    events = [event for event in STROKE_EVENTS if f"{view}_{event}" in boxes]
    if not events or strokes is None or view not in strokes.shown:
        return
    scale = seen.record.px_per_cm
    arrays = open_arrays(lesson.read(ARRAYS), record=lesson.record, where=f"The landmarks of {lesson.title}")
    number = strokes.of[view][strokes.shown[view]].number
    if len(events) > (arrays.strokes()[view][number - 1 : number] or (0,))[0]:
        return  # where the heads are is not known
    of = f"{view}.stroke_{number}"
    corner = _corner(tuple(int(each) for each in arrays[f"{of}.at_mask_box_px"]))  # type: ignore[arg-type]
    for row, event, ending in ((row, event, each) for row, event in enumerate(events) for each in ("", "_plain")):
        name, place = f"stills/stroke_{view}_{event}{ending}.jpg", boxes[f"{view}_{event}"]
        if name not in lesson.names:
            continue
        before = read_picture(lesson.read(name), name=name, where=lesson.title)
        student = find_head(
            arrays.row(f"{of}.at_points_px", row),
            px_per_cm=scale.value if scale else None,
            outline=arrays.row(f"{of}.at_masks", row),
            outline_corner_px=corner,
        )
        if student is None or not _is_alike(before, place, seen.still, seen.record.still_box_px):
            continue
        others = leave_out_hands(_find_others(before, place), student, seen)
        after = hide_heads(before, [*others, student], corner=_corner(place), scale=_scale(before, place))
        yield name, Redrawn(before=before, after=after)


def _find_student(lesson: KeptLesson, view: View, seen: KeptView) -> Head | None:
    row, scale = seen.record.still_index, seen.record.px_per_cm
    arrays = open_arrays(lesson.read(ARRAYS), record=lesson.record, where=f"The landmarks of {lesson.title}")
    return find_head(
        arrays.row(f"{view}.points_px", row),
        px_per_cm=scale.value if scale else None,
        outline=seen.outline,
        outline_corner_px=_corner(seen.outline_box_px),
    )


def _find_others(picture: Picture, box: _Box) -> list[Head]:
    """Find heads in a part of the full-size picture, in full-size pixels."""
    scale, (left, top) = _scale(picture, box), _corner(box)
    return [
        Head(centre_px=(left + u / scale, top + v / scale), radius_px=head.radius_px / scale)
        for head in find_heads(picture)
        for u, v in [head.centre_px]
    ]


def leave_out_hands(heads: list[Head], student: Head, seen: KeptView) -> list[Head]:
    """Return the heads without what is a part of the student's own body.

    With its head hidden, the pose model may take the student for several small people, and a hand for a head. Such a
    disc is small and lies within the student's outline, where no person behind them can be seen.

    Parameters
    ----------
    heads : list of Head
        As the pose model found them, in full-size pixels.
    student : Head
    seen : KeptView
        With the student's outline.
    """
    return [head for head in heads if not _is_hand(head, student, seen)]


def _is_hand(head: Head, student: Head, seen: KeptView) -> bool:
    if head.radius_px >= SMALL_HEAD * student.radius_px:
        return False
    aside, down = np.meshgrid(*[np.linspace(-head.radius_px, head.radius_px, _ACROSS)] * 2)
    disc = np.hypot(aside, down) <= head.radius_px
    (u, v), (left, top) = head.centre_px, _corner(seen.outline_box_px)
    columns, rows = ((each[disc] + at).astype(int) for each, at in ((aside, u - left), (down, v - top)))
    high, wide = seen.outline.shape
    known = (columns >= 0) & (columns < wide) & (rows >= 0) & (rows < high)
    return bool((seen.outline[rows[known], columns[known]] > 0).sum() >= _ON_BODY * disc.sum())


def _flag(document: bytes) -> bytes:
    content = json.loads(document)
    return document if content["faces_hidden"] else document_as_text(content | {"faces_hidden": True}).encode("utf-8")


def _is_alike(picture: Picture, place: _Box, still: Picture, box: _Box) -> bool:
    """Tell whether a picture matches the plain still where they overlap; drawings cover less than half of it."""
    left, top, right, bottom = (
        *(max(one, other) for one, other in zip(place[:2], box[:2], strict=True)),
        *(min(one, other) for one, other in zip(place[2:], box[2:], strict=True)),
    )
    if left >= right or top >= bottom:
        return False
    both = (left, top, right, bottom)
    gaps = np.abs(_thumbnail(picture, place, both) - _thumbnail(still, box, both)).max(axis=2)
    return bool(np.median(gaps) <= ALIKE)


def _thumbnail(picture: Picture, place: _Box, part: _Box) -> Floats:
    """Return the part of the full-size picture at some place, small and square."""
    high, wide = picture.shape[:2]
    across, down = wide / (place[2] - place[0]), high / (place[3] - place[1])
    box = (
        max((part[0] - place[0]) * across, 0.0),
        max((part[1] - place[1]) * down, 0.0),
        min((part[2] - place[0]) * across, float(wide)),
        min((part[3] - place[1]) * down, float(high)),
    )
    small = Image.fromarray(picture).resize((_SMALL, _SMALL), Image.Resampling.BOX, box=box)
    return np.asarray(small, dtype=np.float64)


def _scale(picture: Picture, box: _Box) -> float:
    return float(picture.shape[1] / (box[2] - box[0]))


def _corner(box: _Box) -> Point:
    return float(box[0]), float(box[1])


def _holds(box: _Box, part: _Box) -> bool:
    return box[0] <= part[0] and box[1] <= part[1] and part[2] <= box[2] and part[3] <= box[3]


def _inside(head: Head, box: _Box) -> bool:
    return all(
        low + head.radius_px <= each <= high - head.radius_px
        for each, low, high in zip(head.centre_px, box[:2], box[2:], strict=True)
    )
