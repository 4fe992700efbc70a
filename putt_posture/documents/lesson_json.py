"""A lesson, its fit, its arcs and its club spec as JSON documents.

Angles are degrees, lengths centimetres, times seconds of clip time, picture points pixels from the top left. A number
that is absent is null, with the reason beside it; NaN is never written. Private functions collect values as they are,
and each public one converts its whole document once, by `as_document`.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, Final

from attrs import evolve

from putt_posture.documents.json_values import (
    as_document,
    by_hand_as_json,
    document_as_text,
    estimate_as_json,
    measure_as_json,
    picked,
)
from putt_posture.documents.schemas import check_document, load_schema
from putt_posture.documents.strokes_json import strokes_as_json
from putt_posture.documents.versions import VERSIONS
from putt_posture.drawing.ghost import find_ghost_crop
from putt_posture.drawing.placing import Crop
from putt_posture.drawing.step import choose_drawn, find_step_crop, wanted_of_number
from putt_posture.drawing.stills import find_still_crop
from putt_posture.drawing.stroke_stills import find_stroke_crop, seen_stroke_of
from putt_posture.figures import inches
from putt_posture.measures import LENGTH_CONVENTION, MEASURES
from putt_posture.values import (
    Arc,
    ArcComparison,
    ClubSpec,
    Fit,
    Lesson,
    Student,
    ViewResult,
)

__all__ = [
    "SCHEMA_VERSION",
    "SPEC_VERSION",
    "arcs_as_json",
    "fit_as_json",
    "lesson_as_json",
    "lesson_as_text",
    "schema",
    "spec_as_json",
    "student_as_json",
    "validate",
]

_ALONG_THE_ARC: Final = ("distance_cm", "inside_cm", "inside_sd_cm", "face_deg", "face_sd_deg")
_EVERY: Final = 5
"""The most points of an arc: one for about every half centimetre is more than enough to draw it again."""
SPEC_VERSION: Final = VERSIONS["spec_sheet"]
SCHEMA_VERSION: Final = VERSIONS["measures"]


def fit_as_json(fit: Fit) -> dict[str, Any]:
    """Return length and lie with the evidence for them; degrees and centimetres.

    Parameters
    ----------
    fit : Fit
    """
    return as_document(_fit(fit))


def arcs_as_json(comparison: ArcComparison) -> dict[str, Any]:
    """Return two arcs with their windows as plain dicts, lists, strings and numbers.

    Parameters
    ----------
    comparison : ArcComparison
    """
    return as_document(_arcs(comparison))


def spec_as_json(spec: ClubSpec) -> dict[str, Any]:
    """Return a spec as plain dicts, lists, strings and numbers.

    Parameters
    ----------
    spec : ClubSpec
    """
    document = {
        "schema": SPEC_VERSION,
        "length": spec.length,
        "convention": f"Length {LENGTH_CONVENTION}.",
        **picked(spec, "stock_length_in", "current_length_cm", "length_change", "advice"),
        "advice_says": spec.advice_sentence,
        "stock_change_in": spec.stock_change_in,
        "swing_weight_change_points": spec.swing_weight_change,
        **picked(spec, "feel", "lie", "current_lie_deg", "lie_change"),
        "bending": spec.bend_sentence,
        **picked(spec, "loft", "grip"),
        "checks": [picked(each, "name", "limit", "clause", "keeps", "says") for each in spec.checks],
        "notes": spec.notes,
    }
    return as_document(document)


def lesson_as_json(lesson: Lesson, *, made_on: date | None = None) -> dict[str, Any]:
    """Return the document of `measures.json` as plain dicts, lists, strings and numbers.

    Parameters
    ----------
    lesson : Lesson
    made_on : date, optional
        Day that is written into the document; None writes none.
    """
    document = {
        "schema": SCHEMA_VERSION,
        "made_on": made_on,
        "student": _student(lesson.student),
        "views": {
            view: _view(result) | {"still": find_still_crop(lesson, view)} for view, result in lesson.views.items()
        },
        "faces_hidden": bool(lesson.faces_hidden),
        **picked(lesson, "without_putter", "step"),
        "pictures": {
            "ghost": find_ghost_crop(lesson),
            "steps": dict(_step_crops(lesson)),
            "strokes": dict(_stroke_crops(lesson)),
        },
        "measures": {name: measure_as_json(lesson.posture[name]) for name in MEASURES},
        "fit": _fit(lesson.fit),
        "arcs": None if lesson.arcs is None else _arcs(lesson.arcs),
        "strokes": None if lesson.strokes is None else strokes_as_json(lesson.strokes),
        "interview": lesson.interview,
        "findings": lesson.findings,
        "steps": lesson.steps,
        "plan": lesson.plan,
        **picked(lesson, "warnings", "versions"),
    }
    return as_document(document)


def lesson_as_text(lesson: Lesson, *, made_on: date | None = None) -> str:
    """Return the text of `measures.json`: indented, UTF-8 letters as they are, a line feed at the end.

    Parameters
    ----------
    lesson : Lesson
    made_on : date or None
        Day that is written into the document; None writes none.
    """
    return document_as_text(lesson_as_json(lesson, made_on=made_on))


def schema() -> Mapping[str, Any]:
    """Return the JSON Schema of `measures.json`."""
    return load_schema("measures")


def validate(document: object) -> None:
    """Check that a document matches the schema.

    Parameters
    ----------
    document : object
        As parsed JSON.

    Raises
    ------
    UsageError
        If it does not; the sentence names the first place that differs.
    """
    check_document(document, "measures", what="The measures do")


def student_as_json(student: Student) -> dict[str, Any]:
    """Return a student as a plain dict.

    Parameters
    ----------
    student : Student
    """
    return as_document(_student(student))


def _student(student: Student) -> dict[str, Any]:
    return picked(
        student, "name", "stature_cm", "handed", "sex", "wrist_floor_cm", "putter_length_cm", "putter_lie_deg"
    )


def _fit(fit: Fit) -> dict[str, Any]:
    length, lie = ({**estimate_as_json(each), **by_hand_as_json(each)} for each in (fit.putter_length, fit.lie))
    return {
        "putter_length": {**length, "inches": inches(fit.putter_length.value) if fit.putter_length else None},
        "stock_length_in": fit.stock_length_in,
        "lie": lie,
        "convention": f"Length {LENGTH_CONVENTION}.",
        **picked(fit, "setup", "toe_lift", "evidence", "disagreements", "assumptions", "curves"),
    }


def _arcs(comparison: ArcComparison) -> dict[str, Any]:
    return {
        "before": _thinned(comparison.before),
        "after": _thinned(comparison.after),
        "depth_change": comparison.depth_change,
        "windows": [{"before": one, "after": two} for one, two in comparison.windows],
        "says": comparison.says,
    }


def _thinned(arc: Arc) -> Arc:
    return evolve(arc, **{name: getattr(arc, name)[::_EVERY] for name in _ALONG_THE_ARC})


def _view(result: ViewResult) -> dict[str, Any]:
    clip, scene, scale = result.clip, result.scene, result.scene.px_per_cm
    return {
        "file": clip.name,
        **picked(clip, "sha256", "kind", "width", "height", "duration_s", "rate_hz", "time_stretch", "variable_rate"),
        **picked(clip, "codec", "pixel_format", "transfer", "mirrored", "rotation_deg"),
        "setup_times_s": [setup.moment_s for setup in result.setups],
        "setups": result.setups,
        "still_time_s": result.still.time_s,
        "px_per_cm": scale.value,
        "px_per_cm_standard_uncertainty": scale.standard_uncertainty,
        "scale_source": scene.scale_source,
        "scale_method": scale.absent or scale.method,
        **picked(scene, "roll", "yaw"),
        "distance": scene.distance_cm,
        "forward": scene.forward,
        "ground_v_px": scene.ground_v_px.value,
        "still_index": result.still_index,
        **picked(scene, "shaft_px", "ball_px", "given"),
        "landmark_model": result.landmarks.model,
        "notes": (*clip.notes, *result.landmarks.notes),
        "warnings": scene.warnings,
    }


def _stroke_crops(lesson: Lesson) -> Iterator[tuple[str, Crop]]:
    """Yield the names of the stills of strokes, each with the part of the picture it shows."""
    for view in lesson.views:
        found, crop = seen_stroke_of(lesson, view), find_stroke_crop(lesson, view)
        if found is not None and crop is not None:
            kept = zip(found[1].event_names, found[1].stills, strict=True)
            yield from ((f"{view}_{event}", crop) for event, still in kept if not still.erased)


def _step_crops(lesson: Lesson) -> Iterator[tuple[str, Crop]]:
    """Yield the measures that are drawn for a step of the rebuild, each with the part of the picture it shows."""
    for step in lesson.steps:
        number = choose_drawn(step)
        if number is not None:
            crop = find_step_crop(lesson, number.quantity, wanted=wanted_of_number(number))
            if crop is not None:
                yield number.quantity, crop
