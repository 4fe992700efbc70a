"""A lesson as a JSON document, and the schema that the document keeps.

Angles are degrees, lengths centimetres, times seconds of clip time, picture points pixels from the top left. A number
that is absent is null, with the reason beside it; there is never a NaN.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from putt_posture.report.crop import Crop
from putt_posture.report.estimate_json import estimate_as_json, measure_as_json, number_as_json, plain
from putt_posture.report.fit_json import fit_as_json
from putt_posture.report.ghost import find_ghost_crop
from putt_posture.report.json_text import document_as_text
from putt_posture.report.schemas import check_document, load_schema
from putt_posture.report.stills import find_still_crop
from putt_posture.report.stroke_json import stroke_as_json
from putt_posture.values import MEASURES, Lesson, Setup, Student, ViewResult

__all__ = ["SCHEMA_VERSION", "lesson_as_json", "lesson_as_text", "schema", "student_as_json", "validate"]

SCHEMA_VERSION: Final = 2


def lesson_as_json(lesson: Lesson, *, made_on: date | None = None) -> dict[str, Any]:
    """Return the document of `measures.json` as plain dicts, lists, strings and numbers.

    Parameters
    ----------
    lesson : Lesson
    made_on : date, optional
        The day to print on the report.
    """
    ghost = find_ghost_crop(lesson)
    return {
        "schema": SCHEMA_VERSION,
        "made_on": made_on.isoformat() if made_on else None,
        "student": student_as_json(lesson.student),
        "views": {
            view: _view(result) | {"still": _place(find_still_crop(lesson, view))}
            for view, result in lesson.views.items()
        },
        "faces_hidden": bool(lesson.faces_hidden),
        "pictures": {"ghost": None if ghost is None else _place(ghost)},
        "measures": {name: measure_as_json(lesson.posture[name]) for name in MEASURES},
        "fit": fit_as_json(lesson.fit),
        "stroke": None if lesson.stroke is None else stroke_as_json(lesson.stroke),
        "warnings": [plain(each) for each in lesson.warnings],
        "versions": {plain(name): plain(version) for name, version in lesson.versions.items()},
    }


def lesson_as_text(lesson: Lesson, *, made_on: date | None = None) -> str:
    """Return the text of `measures.json`: indented, UTF-8 letters as they are, a line feed at the end."""
    return document_as_text(lesson_as_json(lesson, made_on=made_on))


def schema() -> Mapping[str, Any]:
    """Return the JSON Schema of `measures.json`."""
    return load_schema("measures")


def validate(document: object) -> None:
    """Check that a document keeps the schema.

    Raises
    ------
    UsageError
        If it does not; the sentence names the first place that differs.
    """
    check_document(document, "measures", what="The measures do")


def student_as_json(student: Student) -> dict[str, Any]:
    """Return a student as a plain dict."""
    return {
        "name": None if student.name is None else plain(student.name),
        "stature_cm": number_as_json(student.stature_cm),
        "handed": student.handed,
        "sex": student.sex,
        "wrist_floor_cm": number_as_json(student.wrist_floor_cm),
        "putter_length_cm": number_as_json(student.putter_length_cm),
        "putter_lie_deg": number_as_json(student.putter_lie_deg),
    }


def _view(result: ViewResult) -> dict[str, Any]:
    clip, scene = result.clip, result.scene
    return {
        "file": plain(clip.path.name),
        "sha256": clip.sha256,
        "kind": clip.kind,
        "width": int(clip.width),
        "height": int(clip.height),
        "duration_s": number_as_json(clip.duration_s),
        "rate_hz": number_as_json(clip.rate_hz),
        "time_stretch": number_as_json(clip.time_stretch),
        "variable_rate": bool(clip.variable_rate),
        "codec": clip.codec,
        "pixel_format": clip.pixel_format,
        "transfer": clip.transfer,
        "mirrored": bool(clip.mirrored),
        "rotation_deg": int(clip.rotation_deg),
        "setup_times_s": [number_as_json(setup.moment_s) for setup in result.setups],
        "setups": [_setup(setup) for setup in result.setups],
        "still_time_s": number_as_json(result.still.time_s),
        "px_per_cm": number_as_json(scene.px_per_cm.value),
        "px_per_cm_standard_uncertainty": number_as_json(scene.px_per_cm.standard_uncertainty),
        "scale_source": scene.scale_source,
        "scale_method": plain(scene.px_per_cm.absent or scene.px_per_cm.method),
        "roll": estimate_as_json(scene.roll),
        "yaw": estimate_as_json(scene.yaw),
        "distance": estimate_as_json(scene.distance_cm),
        "forward": int(scene.forward),
        "ground_v_px": number_as_json(scene.ground_v_px.value),
        "still_index": int(result.still_index),
        "shaft_px": None
        if scene.shaft_px is None
        else [[number_as_json(u), number_as_json(v)] for u, v in scene.shaft_px],
        "ball_px": None if scene.ball_px is None else [number_as_json(each) for each in scene.ball_px],
        "given": [plain(each) for each in scene.given],
        "landmark_model": plain(result.landmarks.model),
        "notes": [plain(each) for each in (*clip.notes, *result.landmarks.notes)],
        "warnings": [plain(each) for each in scene.warnings],
    }


def _place(crop: Crop) -> dict[str, Any]:
    return {"box_px": [int(each) for each in crop.box_px], "size": [int(each) for each in crop.size]}


def _setup(setup: Setup) -> dict[str, Any]:
    return {
        "moment_s": number_as_json(setup.moment_s),
        "times_s": [number_as_json(each) for each in setup.times_s],
        "window_s": [number_as_json(each) for each in setup.window_s],
        "stroke_s": None if setup.stroke_s is None else [number_as_json(each) for each in setup.stroke_s],
        "chosen_by": setup.chosen_by,
        "reason": plain(setup.reason),
        "doubt": plain(setup.doubt),
    }
