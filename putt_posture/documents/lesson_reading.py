"""From the document of `measures.json` back to values; units and axes as there."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, cast

from putt_posture.documents.consistency import check_consistency
from putt_posture.documents.json_values import measure_as_json, read_json
from putt_posture.documents.lesson_json import SCHEMA_VERSION, validate
from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, LessonRecord, Point, Student, View, ViewRecord, absent

__all__ = ["read_record"]


def read_record(text: str | bytes, *, where: str) -> LessonRecord:
    """Read the text of a `measures.json`.

    Parameters
    ----------
    text : str or bytes
    where : str
        What it was read from, for the message.

    Raises
    ------
    UsageError
        If it is no such document, one that another version of the program wrote, or one in which a field cannot be;
        the sentence names the field.
    """
    document = read_json(text, where=where)
    version = document.get("schema") if isinstance(document, dict) else None
    if version != SCHEMA_VERSION:
        raise UsageError(
            f"{where} keeps schema {version!r}, and this program reads schema {SCHEMA_VERSION}. "
            "Measure the clips again with this program, or read it with the one that wrote it."
        )
    document = _with_later_measures(document)
    try:
        validate(document)
    except UsageError as error:
        raise UsageError(f"{where} is damaged. {error}") from None
    check_consistency(document, where=where)
    return _record(document)


def _with_later_measures(document: dict[str, Any]) -> dict[str, Any]:
    """Return a document with an absent entry for each measure that there was not yet when it was written."""
    measures, versions = document.get("measures"), document.get("versions")
    version = versions.get("putt_posture") if isinstance(versions, dict) else None
    if not isinstance(measures, dict) or not isinstance(version, str):
        return document  # damaged, as the schema says
    reason = f"Version {version} of the program, which measured this lesson, did not know it yet."
    later = MEASURES.keys() - MEASURES.known_to(version) - measures.keys()
    added = {name: measure_as_json(absent(reason, unit=MEASURES[name].unit)) for name in later}
    return {**document, "measures": {**measures, **added}}


def _record(document: Mapping[str, Any]) -> LessonRecord:
    fit, ghost = document["fit"], document["pictures"]["ghost"]
    return LessonRecord(
        made_on=None if document["made_on"] is None else date.fromisoformat(document["made_on"]),
        student=Student(**document["student"]),
        measures={name: _estimate(document["measures"][name]) for name in MEASURES},
        putter_length=_estimate(fit["putter_length"]),
        lie=_estimate(fit["lie"]),
        stock_length_in=fit["stock_length_in"],
        views={cast(View, view): _view(cast(View, view), entry) for view, entry in document["views"].items()},
        warnings=tuple(document["warnings"]),
        versions=document["versions"],
        faces_hidden=document["faces_hidden"],
        ghost_box_px=None if ghost is None else tuple(ghost["box_px"]),
    )


def _estimate(entry: Mapping[str, Any]) -> Estimate:
    if entry["absent"] is not None:
        return absent(entry["absent"], unit=entry["unit"], view=entry["view"], method=entry["method"])
    return Estimate(
        value=entry["value"],
        standard_uncertainty=entry["standard_uncertainty"],
        unit=entry["unit"],
        view=entry["view"],
        frames=entry["frames"],
        method=entry["method"],
        floor=entry.get("floor"),
        raw_value=entry.get("raw_value"),
        budget=entry.get("budget", {}),
        repeats=tuple(entry.get("repeats", ())),
    )


def _view(view: View, entry: Mapping[str, Any]) -> ViewRecord:
    if entry["px_per_cm"] is None:
        scale = absent(entry["scale_method"] or "There is no scale.", unit="px/cm", view=view)
    else:
        scale = Estimate(
            value=entry["px_per_cm"],
            standard_uncertainty=entry["px_per_cm_standard_uncertainty"],
            unit="px/cm",
            view=view,
            method=entry["scale_method"],
        )
    return ViewRecord(
        view=view,
        file=entry["file"],
        sha256=entry["sha256"],
        kind=entry["kind"],
        size_px=(entry["width"], entry["height"]),
        setups=len(entry["setups"]),
        px_per_cm=scale,
        scale_source=entry["scale_source"],
        roll=_estimate(entry["roll"]),
        yaw=_estimate(entry["yaw"]),
        distance_cm=_estimate(entry["distance"]),
        forward=entry["forward"],
        ground_v_px=entry["ground_v_px"],
        still_index=entry["still_index"],
        still_box_px=tuple(entry["still"]["box_px"]),
        still_size=tuple(entry["still"]["size"]),
        landmark_model=entry["landmark_model"],
        shaft_px=None if entry["shaft_px"] is None else (_point(entry["shaft_px"][0]), _point(entry["shaft_px"][1])),
        ball_px=None if entry["ball_px"] is None else _point(entry["ball_px"]),
    )


def _point(place: Sequence[float]) -> Point:
    return place[0], place[1]
