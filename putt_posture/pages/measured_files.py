"""What was measured as files in memory, without a page: numbers, what was seen, and the stills without marks.

All pages of a lesson can be made from these, by the same method (`putt_posture.services.pages_when_asked`).
"""

import io
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Final

from attrs import field, frozen

from putt_posture.documents.arrays import ARRAYS, write_arrays
from putt_posture.documents.json_values import document_as_text
from putt_posture.documents.lesson_json import lesson_as_json, spec_as_json, validate
from putt_posture.documents.lesson_reading import DOCUMENT
from putt_posture.documents.schemas import check_document
from putt_posture.documents.stroke_series import STROKE_SERIES, series_as_csv
from putt_posture.documents.tables import document_as_csv
from putt_posture.drawing.placing import Crop
from putt_posture.drawing.stills import as_jpeg, find_still_crop
from putt_posture.drawing.stroke_stills import find_stroke_crop, frames_of_stroke
from putt_posture.values import Frame, Lesson

__all__ = ["PLAIN_BYTES", "KeptStill", "has_erased_stills", "lesson_as_document", "measured_as_files"]

PLAIN_BYTES: Final = 900_000
"""Most bytes of a still without marks."""
STROKE_PLAIN_BYTES: Final = 120_000
"""Most bytes of a still of the stroke without lines, from which the one with lines is drawn again."""


@frozen(kw_only=True)
class KeptStill:
    """A still without marks as it was kept: the part of the picture that it shows, and its JPEG."""

    box_px: tuple[int, int, int, int]
    jpeg: bytes = field(repr=False)


def measured_as_files(
    lesson: Lesson, *, made_on: date | None = None, kept: Mapping[str, KeptStill] | None = None
) -> dict[str, bytes]:
    """Return what was measured as files in memory, by name with forward slashes.

    These are ``measures.json``, ``measures.csv``, ``landmarks.npz`` and, where the lesson has them, ``strokes.csv``,
    ``spec_sheet.json`` and the stills without marks (``stills/…_plain.jpg``). Where a picture was erased, there are no
    stills.

    Parameters
    ----------
    lesson : Lesson
    made_on : date, optional
        The day that the document says.
    kept : mapping of str to KeptStill, optional
        Stills by name as they were kept, which are not compressed once more where the same part is shown.
    """
    arrays = io.BytesIO()
    write_arrays(lesson, arrays)
    document = lesson_as_document(lesson, made_on=made_on)
    validate(document)
    files = {
        DOCUMENT: document_as_text(document).encode("utf-8"),
        "measures.csv": document_as_csv(document).encode("utf-8"),
        ARRAYS: arrays.getvalue(),
    }
    if lesson.strokes:
        files[STROKE_SERIES] = series_as_csv(lesson.strokes).encode("utf-8")
    if lesson.spec is not None:
        spec = spec_as_json(lesson.spec)
        check_document(spec, "spec_sheet", what="The numbers of the spec sheet do")
        files["spec_sheet.json"] = document_as_text(spec).encode("utf-8")
    return files if has_erased_stills(lesson) else files | dict(_plain_stills(lesson, kept or {}))


def lesson_as_document(lesson: Lesson, *, made_on: date | None = None) -> dict[str, object]:
    """Return the document of a lesson; it mentions no drawing where a still was erased.

    Parameters
    ----------
    lesson : Lesson
    made_on : date, optional
    """
    document = lesson_as_json(lesson, made_on=made_on)
    if has_erased_stills(lesson):
        document["pictures"] = {"ghost": None, "steps": {}, "strokes": {}}
    return document


def has_erased_stills(lesson: Lesson) -> bool:
    """Tell whether a still at address was erased, so that there is nothing to draw on.

    Parameters
    ----------
    lesson : Lesson
    """
    return any(result.still.erased for result in lesson.views.values())


def _plain_stills(lesson: Lesson, kept: Mapping[str, KeptStill]) -> Iterator[tuple[str, bytes]]:
    def pack(name: str, crop: Crop, frame: Frame, most_bytes: int) -> tuple[str, bytes]:
        if name in kept and kept[name].box_px == crop.box_px:
            return name, kept[name].jpeg
        return name, as_jpeg(crop.cut_frame(frame), most_bytes=most_bytes)

    for view, result in lesson.views.items():
        yield pack(f"stills/{view}_plain.jpg", find_still_crop(lesson, view), result.still, PLAIN_BYTES)
        crop = find_stroke_crop(lesson, view)
        if crop is None:
            continue
        for event, frame in frames_of_stroke(lesson, view).items():
            yield pack(f"stills/stroke_{view}_{event}_plain.jpg", crop, frame, STROKE_PLAIN_BYTES)
