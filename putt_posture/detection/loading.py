"""What was seen in the clips of a stored lesson, loaded whole, so that it is measured again without clips."""

from collections.abc import Mapping

import numpy as np
from attrs import evolve, field, frozen
from PIL import Image

from putt_posture.detection.detect import Detection
from putt_posture.documents.arrays import ARRAYS, StoredArrays, open_arrays
from putt_posture.documents.lesson_reading import DOCUMENT, read_document
from putt_posture.documents.seen_json import SeenInView, read_seen
from putt_posture.documents.stroke_arrays import read_seen_strokes
from putt_posture.errors import UsageError
from putt_posture.records import KeptLesson
from putt_posture.records.picture_files import read_picture
from putt_posture.values import (
    Floats,
    Frame,
    Given,
    Landmarks,
    LessonRecord,
    Picture,
    SeenStrokes,
    Student,
    View,
    WantedSetup,
)

__all__ = ["StoredDetections", "load_detections"]


@frozen(kw_only=True, eq=False)
class StoredDetections:
    """All that a stored lesson was measured from.

    Attributes
    ----------
    detections : mapping of View to Detection
        Their stills are those that were kept, else black and marked as erased.
    given : mapping of View to Given
        What was typed, drawn and placed by hand.
    wanted : WantedSetup or None
    coach_text : str
        The coach's own file that the lesson followed; empty for the shipped values.
    student : Student
    faces_hidden : bool
        Whether the heads in the stills are hidden.
    """

    detections: Mapping[View, Detection] = field(repr=False)
    given: Mapping[View, Given]
    wanted: WantedSetup | None
    coach_text: str
    student: Student
    faces_hidden: bool


def load_detections(lesson: KeptLesson) -> StoredDetections:
    """Load what was seen in the clips of a stored lesson.

    `measure_detections` gives the same numbers from it as it gave from the clips, to the last digit. Of a lesson that
    version 0.1.0 stored, how coarse the picture was is not known and taken as sharp, which may narrow uncertainties.

    Parameters
    ----------
    lesson : KeptLesson
        With `measures.json` and `landmarks.npz`; its stills without marks are used where they are there.

    Returns
    -------
    StoredDetections

    Raises
    ------
    UsageError
        If the lesson was kept without landmarks and outlines, or what is kept is damaged.
    """
    if ARRAYS not in lesson.names:
        raise UsageError(
            f"{lesson.title} was kept without landmarks and outlines, so that it cannot be measured again. Measure its "
            "clips, if you have them."
        )
    document = read_document(lesson.read(DOCUMENT), where=f"{DOCUMENT} of {lesson.title}")
    place = f"The landmarks of {lesson.title}"
    arrays = open_arrays(lesson.read(ARRAYS), record=lesson.record, where=place)
    arrays.check_whole()
    seen, wanted, coach_text = read_seen(
        arrays.seen(), strokes=arrays.strokes(), record=lesson.record, measures=document, where=place
    )
    return StoredDetections(
        detections={view: _load_view(lesson, arrays, view, entry) for view, entry in seen.items()},
        given={view: entry.given for view, entry in seen.items()},
        wanted=wanted,
        coach_text=coach_text,
        student=lesson.record.student,
        faces_hidden=lesson.record.faces_hidden,
    )


def _load_view(lesson: KeptLesson, arrays: StoredArrays, view: View, entry: SeenInView) -> Detection:
    record = lesson.record

    def array(name: str) -> Floats:
        return arrays[f"{view}.{name}"]

    left, top, right, bottom = (int(each) for each in array("mask_box_px"))
    width, height = record.views[view].size_px
    masks, outlines = (arrays.large(f"{view}.{name}") for name in ("masks", "outlines"))
    landmarks = Landmarks(
        view=view,
        times_s=array("times_s"),
        setup_index=array("setup_index").astype(np.int64),
        points_px=array("points_px"),
        visibility=array("visibility"),
        depth=array("depth"),
        masks=masks,
        mask_box_px=(left, top, right, bottom),
        size_px=(width, height),
        model=str(array("model")),
        outlines=outlines,
        notes=entry.landmark_notes,
    )
    return Detection(
        clip=entry.clip,
        setups=entry.setups,
        landmarks=landmarks,
        still=_load_still(lesson, record, view, entry),
        still_index=record.views[view].still_index,
        notes=entry.notes,
        finds=entry.finds,
        strokes=_with_stills(
            lesson, view, read_seen_strokes(entry.strokes, arrays, view=view, size_px=(width, height))
        ),
    )


def _load_still(lesson: KeptLesson, record: LessonRecord, view: View, entry: SeenInView) -> Frame:
    """Return the still in a picture of the full size, black around what was kept of it."""
    width, height = record.views[view].size_px
    name = f"stills/{view}_plain.jpg"
    if name not in lesson.names:
        black = np.broadcast_to(np.uint8(0), (height, width, 3))
        return Frame(time_s=entry.still_time_s, picture=black, erased=True)
    picture = read_picture(lesson.read(name), name=name, where=lesson.title, size=record.views[view].still_size)
    whole = _in_full_size(picture, record.views[view].still_box_px, (width, height))
    return Frame(time_s=entry.still_time_s, picture=whole)


def _with_stills(lesson: KeptLesson, view: View, seen: SeenStrokes | None) -> SeenStrokes | None:
    """Return strokes with the stills of the one that stands for the lesson, as far as they were kept."""
    strokes, record = lesson.record.strokes, lesson.record
    if seen is None or not strokes or view not in strokes.shown:
        return seen
    shown = strokes.of[view][strokes.shown[view]].number - 1
    if not 0 <= shown < len(seen.strokes):
        return seen
    stroke, size = seen.strokes[shown], record.views[view].size_px
    names = {event: f"stills/stroke_{view}_{event}_plain.jpg" for event in stroke.event_names}
    if stroke.at_events is None or not lesson.names & set(names.values()):
        return seen
    black = np.broadcast_to(np.uint8(0), (size[1], size[0], 3))
    stills = []
    for event, time_s in zip(stroke.event_names, stroke.at_events.times_s, strict=True):
        box = record.stroke_boxes_px.get(f"{view}_{event}")
        if names[event] not in lesson.names or box is None:
            stills.append(Frame(time_s=float(time_s), picture=black, erased=True))
            continue
        picture = read_picture(lesson.read(names[event]), name=names[event], where=lesson.title)
        stills.append(Frame(time_s=float(time_s), picture=_in_full_size(picture, box, size)))
    of_view = [evolve(each, stills=tuple(stills)) if each is stroke else each for each in seen.strokes]
    return evolve(seen, strokes=tuple(of_view))


def _in_full_size(picture: Picture, box: tuple[int, int, int, int], size: tuple[int, int]) -> Picture:
    """Return a picture of the full size, black around the part that was kept."""
    left, top, right, bottom = box
    whole = np.zeros((size[1], size[0], 3), dtype=np.uint8)
    shown = Image.fromarray(picture).resize((right - left, bottom - top), Image.Resampling.LANCZOS)
    whole[top:bottom, left:right] = np.asarray(shown)
    return whole
