"""What was measured as files in memory, without a page: numbers, what was seen, and the stills without marks.

All pages of a lesson can be made from these, by the same method (`putt_posture.services.pages_when_asked`).
"""

import io
from collections.abc import Iterator
from datetime import date
from typing import Final

from putt_posture.documents.arrays import ARRAYS, write_arrays
from putt_posture.documents.json_values import document_as_text
from putt_posture.documents.lesson_json import lesson_as_json, spec_as_json, validate
from putt_posture.documents.lesson_reading import DOCUMENT
from putt_posture.documents.schemas import check_document
from putt_posture.documents.stroke_series import STROKE_SERIES, series_as_csv
from putt_posture.documents.tables import document_as_csv
from putt_posture.drawing.stills import as_jpeg, find_still_crop
from putt_posture.drawing.stroke_stills import cut_stroke_stills
from putt_posture.values import Lesson

__all__ = ["PLAIN_BYTES", "has_erased_stills", "lesson_as_document", "measured_as_files"]

PLAIN_BYTES: Final = 900_000
"""Most bytes of a still without marks."""
STROKE_PLAIN_BYTES: Final = 120_000
"""Most bytes of a still of the stroke without lines, from which the one with lines is drawn again."""


def measured_as_files(lesson: Lesson, *, made_on: date | None = None) -> dict[str, bytes]:
    """Return what was measured as files in memory, by name with forward slashes.

    These are ``measures.json``, ``measures.csv``, ``landmarks.npz`` and, where the lesson has them, ``strokes.csv``,
    ``spec_sheet.json`` and the stills without marks (``stills/…_plain.jpg``). Where a picture was erased, there are no
    stills.

    Parameters
    ----------
    lesson : Lesson
    made_on : date, optional
        The day that the document says.
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
    return files if has_erased_stills(lesson) else files | dict(_plain_stills(lesson))


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


def _plain_stills(lesson: Lesson) -> Iterator[tuple[str, bytes]]:
    for view, result in lesson.views.items():
        picture = find_still_crop(lesson, view).cut(result)
        yield f"stills/{view}_plain.jpg", as_jpeg(picture, most_bytes=PLAIN_BYTES)
        for event, cut in cut_stroke_stills(lesson, view).items():
            yield f"stills/stroke_{view}_{event}_plain.jpg", as_jpeg(cut, most_bytes=STROKE_PLAIN_BYTES)
