"""What was seen in the clips of a lesson, and what was given by hand, as the JSON document inside `landmarks.npz`.

Landmarks and outlines are in the arrays of the same file. Together they are all that measuring needs, so that a lesson
can be measured again without its clips and pictures. Points are pixels of the full-size upright picture, lengths
centimetres, angles degrees, times seconds of clip time.
"""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from attrs import fields, frozen

from putt_posture.documents.json_values import as_json, as_value, read_json
from putt_posture.documents.schemas import check_document
from putt_posture.documents.stroke_arrays import seen_strokes_as_json
from putt_posture.documents.versions import VERSIONS, bring_forward
from putt_posture.errors import UsageError
from putt_posture.values import Clip, Given, Lesson, LessonRecord, PictureFinds, Setup, View, ViewResult, WantedSetup

__all__ = ["SEEN_VERSION", "SeenInView", "read_seen", "seen_as_text"]

SEEN_VERSION: Final = VERSIONS["seen"]
_NOT_KEPT: Final = ("path", "view", "sha256", "shown_name")
"""Fields of a clip that are left out, as `measures.json` has them."""


@frozen(kw_only=True, eq=False)
class SeenInView:
    """What was seen in one view, without landmarks and outlines.

    Attributes
    ----------
    clip : Clip
        Its name is known; where the file was is not, and its path is none.
    setups : tuple of Setup
    still_time_s : float
        Clip time of the still, seconds.
    notes, landmark_notes : tuple of str
        Sentences for the coach; the second about the landmarks alone.
    given : Given
    finds : PictureFinds or None
    strokes : mapping or None
        What is no series of the strokes, as `seen_strokes_as_json` made it; None where none was looked for.
    """

    clip: Clip
    setups: tuple[Setup, ...]
    still_time_s: float
    notes: tuple[str, ...]
    landmark_notes: tuple[str, ...]
    given: Given
    finds: PictureFinds | None
    strokes: Mapping[str, Any] | None = None


def seen_as_text(lesson: Lesson) -> str:
    """Return the document as text without line feeds.

    Parameters
    ----------
    lesson : Lesson
    """
    document = {
        "schema": SEEN_VERSION,
        "wanted": None if lesson.wanted is None else as_json(lesson.wanted),
        "coach_text": lesson.coach_text,
        "views": {view: _view(result) for view, result in lesson.views.items()},
    }
    return json.dumps(document, ensure_ascii=False, allow_nan=False)


def _view(result: ViewResult) -> dict[str, Any]:
    clip = as_json({each.name: getattr(result.clip, each.name) for each in fields(Clip) if each.name not in _NOT_KEPT})
    return {
        "clip": clip,
        "setups": [as_json(each) for each in result.setups],
        "still": {"time_s": float(result.still.time_s), "scale": float(result.still.scale)},
        "notes": as_json(list(result.notes)),
        "landmark_notes": as_json(list(result.landmarks.notes)),
        "given": as_json(result.given),
        "finds": None if result.finds is None else as_json(result.finds),
        "strokes": None if result.strokes is None else seen_strokes_as_json(result.strokes),
    }


def read_seen(
    text: bytes | None,
    *,
    record: LessonRecord,
    measures: Mapping[str, Any],
    strokes: Mapping[View, Sequence[int]],
    where: str,
) -> tuple[dict[View, SeenInView], WantedSetup | None, str]:
    """Read the document of `landmarks.npz`.

    Parameters
    ----------
    text : bytes or None
        None where the program that stored the lesson wrote none; then it is taken from `measures` as far as possible.
    record : LessonRecord
        The lesson that it belongs to.
    measures : mapping
        The document of `measures.json`, as `read_document` returns it.
    strokes : mapping of View to sequence of int
        Of each stroke that has arrays beside it, at how many of its events the large model looked.
    where : str
        What it was read from, in the plural, for the message: ``The landmarks of report``.

    Returns
    -------
    seen : dict of View to SeenInView
    wanted : WantedSetup or None
    coach_text : str
        The coach's own file; empty for the shipped values.

    Raises
    ------
    UsageError
        If it is not such a document, a newer version wrote it, or it does not belong to the lesson.
    """
    place = f"What was seen in {where[0].lower()}{where[1:]}"
    found: Any = {"schema": 1, "measures": measures} if text is None else read_json(text, where=place)
    document = bring_forward(found, "seen", where=place)
    check_document(document, "seen", what=f"{place} is damaged. It does")
    if set(document["views"]) != set(record.views):
        raise UsageError(f"{place} is damaged: its views are not those of the lesson. Measure the clips again.")
    seen: dict[View, SeenInView] = {}
    for view, known in record.views.items():
        entry = document["views"][view]
        told = {"path": Path("clip"), "shown_name": known.file or "clip", "sha256": known.sha256, "view": view}
        clip = as_value({**entry["clip"], **told}, Clip)
        size = clip.width, clip.height
        if size != known.size_px or len(entry["setups"]) != known.setups:
            raise UsageError(f"{place} is damaged: it is of another clip than the lesson. Measure the clips again.")
        told_strokes = [
            len(each["event_names"]) if each["landmark_model"] else 0
            for each in (entry["strokes"] or {"strokes": ()})["strokes"]
        ]
        if told_strokes != list(strokes.get(view, ())):
            raise UsageError(
                f"{place} is damaged: its strokes are not those of the arrays beside it. Measure the clips again."
            )
        try:
            seen[view] = SeenInView(
                clip=clip,
                setups=tuple(as_value(each, Setup) for each in entry["setups"]),
                still_time_s=entry["still"]["time_s"],
                notes=tuple(entry["notes"]),
                landmark_notes=tuple(entry["landmark_notes"]),
                given=as_value(entry["given"], Given),
                finds=None if entry["finds"] is None else as_value(_with_nan(entry["finds"]), PictureFinds),
                strokes=entry["strokes"],
            )
        except UsageError as error:
            raise UsageError(f"{place} is damaged: {str(error).rstrip('.')}. Measure the clips again.") from None
    wanted = document["wanted"]
    return seen, None if wanted is None else as_value(wanted, WantedSetup), document["coach_text"]


def _with_nan(finds: Mapping[str, Any]) -> dict[str, Any]:
    """Return finds in which unknown numbers are NaN again instead of null."""

    def known(entry: Mapping[str, Any] | None) -> dict[str, Any] | None:
        if entry is None:
            return None
        # Null means unknown, and so does the default of the field: NaN, or None for a place.
        return {name: value for name, value in entry.items() if value is not None}

    return {**finds, "shaft": known(finds["shaft"]), "ball": known(finds["ball"])}
