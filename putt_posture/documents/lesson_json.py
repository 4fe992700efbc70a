"""A lesson, its fit, its arcs and its club spec as JSON documents.

Angles are degrees, lengths centimetres, times seconds of clip time, picture points pixels from the top left. A number
that is absent is null, with the reason beside it; there is never a NaN.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from attrs import fields

from putt_posture.documents.json_values import (
    document_as_text,
    estimate_as_json,
    measure_as_json,
    number_as_json,
    plain,
)
from putt_posture.documents.schemas import check_document, load_schema
from putt_posture.drawing.ghost import find_ghost_crop
from putt_posture.drawing.placing import Crop
from putt_posture.drawing.stills import find_still_crop
from putt_posture.figures import inches
from putt_posture.measures import LENGTH_CONVENTION, MEASURES
from putt_posture.values import (
    Arc,
    ClubSpec,
    Fit,
    Floats,
    Lesson,
    PutterCurves,
    Setup,
    StrokeComparison,
    Student,
    ViewResult,
    Window,
)

__all__ = [
    "SCHEMA_VERSION",
    "SPEC_VERSION",
    "fit_as_json",
    "lesson_as_json",
    "lesson_as_text",
    "schema",
    "spec_as_json",
    "stroke_as_json",
    "student_as_json",
    "validate",
]

_MARKS: Final = ("suggested_cm", "current_cm")
_EVERY: Final = 5
"""Of the points of an arc: one every half centimetre or so is more than enough to draw it again."""
SPEC_VERSION: Final = 1
SCHEMA_VERSION: Final = 2


def fit_as_json(fit: Fit) -> dict[str, Any]:
    """Return the length and lie with all that speaks for them; degrees and centimetres."""
    length = estimate_as_json(fit.putter_length)
    return {
        "putter_length": length | {"inches": inches(fit.putter_length.value) if fit.putter_length else None},
        "stock_length_in": fit.stock_length_in,
        "lie": estimate_as_json(fit.lie),
        "convention": f"Length {LENGTH_CONVENTION}.",
        "setup": {name: estimate_as_json(each) for name, each in fit.setup.items()},
        "toe_lift": None if fit.toe_lift is None else estimate_as_json(fit.toe_lift),
        "evidence": [
            {
                "name": each.name,
                "title": each.title,
                "length": estimate_as_json(each.length),
                "says": plain(each.says),
            }
            for each in fit.evidence
        ],
        "disagreements": [plain(each) for each in fit.disagreements],
        "assumptions": [plain(each) for each in fit.assumptions],
        "curves": None if fit.curves is None else _curves_as_json(fit.curves),
    }


def stroke_as_json(comparison: StrokeComparison) -> dict[str, Any]:
    """Return two arcs with their windows as plain dicts, lists, strings and numbers."""
    return {
        "before": _arc(comparison.before),
        "after": _arc(comparison.after),
        "depth_change": estimate_as_json(comparison.depth_change),
        "windows": [{"before": _window(one), "after": _window(two)} for one, two in comparison.windows],
        "says": comparison.says,
    }


def spec_as_json(spec: ClubSpec) -> dict[str, Any]:
    """Return a spec as plain dicts, lists, strings and numbers."""
    return {
        "schema": SPEC_VERSION,
        "length": estimate_as_json(spec.length),
        "convention": f"Length {LENGTH_CONVENTION}.",
        "stock_length_in": spec.stock_length_in,
        "current_length_cm": spec.current_length_cm,
        "length_change": estimate_as_json(spec.length_change),
        "advice": spec.advice,
        "advice_says": plain(spec.advice_sentence),
        "stock_change_in": spec.stock_change_in,
        "swing_weight_change_points": spec.swing_weight_change,
        "feel": list(spec.feel),
        "lie": estimate_as_json(spec.lie),
        "current_lie_deg": spec.current_lie_deg,
        "lie_change": estimate_as_json(spec.lie_change),
        "bending": plain(spec.bend_sentence),
        "loft": spec.loft,
        "grip": spec.grip,
        "checks": [
            {"name": each.name, "limit": each.limit, "clause": each.clause, "keeps": each.keeps, "says": each.says}
            for each in spec.checks
        ],
        "notes": list(spec.notes),
    }


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


def _curves_as_json(curves: PutterCurves) -> dict[str, Any]:
    names = [each.name for each in fields(PutterCurves) if each.name not in _MARKS]
    arrays = {name: [number_as_json(float(value)) for value in getattr(curves, name)] for name in names}
    return arrays | {name: number_as_json(getattr(curves, name)) for name in _MARKS}


def _arc(arc: Arc) -> dict[str, Any]:
    return {
        "lean": estimate_as_json(arc.lean),
        "radius": estimate_as_json(arc.radius),
        "half_stroke_cm": float(arc.half_stroke_cm),
        "depth": estimate_as_json(arc.depth),
        "face": estimate_as_json(arc.face),
        "distance_cm": _thinned(arc.distance_cm),
        "inside_cm": _thinned(arc.inside_cm),
        "inside_sd_cm": _thinned(arc.inside_sd_cm),
        "face_deg": _thinned(arc.face_deg),
        "face_sd_deg": _thinned(arc.face_sd_deg),
        "assumptions": list(arc.assumptions),
    }


def _window(window: Window | None) -> dict[str, float] | None:
    if window is None:
        return None
    return {
        "putt_cm": float(window.putt_cm),
        "capture_deg": window.capture_deg,
        "length_cm": window.length_cm,
        "low_cm": window.low_cm,
        "high_cm": window.high_cm,
        "share": window.share,
        "low_share": window.low_share,
        "high_share": window.high_share,
    }


def _thinned(values: Floats) -> list[float]:
    return [float(each) for each in values[::_EVERY]]


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
