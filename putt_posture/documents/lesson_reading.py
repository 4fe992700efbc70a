"""Reading `measures.json` back into value objects, with the same units and axes."""

from collections.abc import Mapping
from typing import Any, Final

from attrs import evolve

from putt_posture.documents.consistency import check_consistency
from putt_posture.documents.json_values import as_value, measure_as_json, read_json
from putt_posture.documents.lesson_json import validate
from putt_posture.documents.strokes_json import read_strokes
from putt_posture.documents.versions import bring_forward
from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES
from putt_posture.values import LessonRecord, absent

__all__ = ["DOCUMENT", "read_document", "read_record", "record_of"]

DOCUMENT: Final = "measures.json"
"""The name of its file."""


def read_record(text: str | bytes, *, where: str) -> LessonRecord:
    """Read the text of a `measures.json`.

    Parameters
    ----------
    text : str or bytes
        Bytes are UTF-8.
    where : str
        What it was read from, for the message.

    Raises
    ------
    UsageError
        If it is not such a document, a newer version of the program wrote it, or a field in it is impossible; the
        sentence names the field.
    """
    return record_of(read_document(text, where=where))


def read_document(text: str | bytes, *, where: str) -> dict[str, Any]:
    """Read the text of a `measures.json` as plain values, brought forward to the schema of this program.

    Parameters
    ----------
    text : str or bytes
        Bytes are UTF-8.
    where : str
        What it was read from, for the message.

    Returns
    -------
    dict
        It matches the schema, and its fields belong together.

    Raises
    ------
    UsageError
        As `read_record` does.
    """
    document = _with_later_measures(bring_forward(read_json(text, where=where), "measures", where=where))
    try:
        validate(document)
    except UsageError as error:
        raise UsageError(f"{where} is damaged. {error}") from None
    check_consistency(document, where=where)
    return document


def _with_later_measures(document: dict[str, Any]) -> dict[str, Any]:
    """Return a document with an absent entry for each measure that did not exist when it was written."""
    measures, versions = document.get("measures"), document.get("versions")
    version = versions.get("putt_posture") if isinstance(versions, dict) else None
    if not isinstance(measures, dict) or not isinstance(version, str):
        return document  # damaged; the schema check says so
    reason = f"Version {version} of the program, which measured this lesson, did not know it yet."
    later = MEASURES.keys() - MEASURES.known_to(version) - measures.keys()
    added = {name: measure_as_json(absent(reason, unit=MEASURES[name].unit)) for name in later}
    return {**document, "measures": {**measures, **added}}


def record_of(document: Mapping[str, Any]) -> LessonRecord:
    """Return the record of a document.

    Parameters
    ----------
    document : mapping
        As `read_document` returns it.
    """
    fit, ghost = document["fit"], document["pictures"]["ghost"]
    record = as_value(
        {
            **document,
            "measures": {name: document["measures"][name] for name in MEASURES},
            **{name: fit[name] for name in ("putter_length", "lie", "stock_length_in")},
            "views": {view: _view(view, entry) for view, entry in document["views"].items()},
            "ghost_box_px": None if ghost is None else ghost["box_px"],
            "strokes": None,
            "stroke_boxes_px": {name: each["box_px"] for name, each in document["pictures"]["strokes"].items()},
            "step_boxes_px": {name: each["box_px"] for name, each in document["pictures"]["steps"].items()},
        },
        LessonRecord,
    )
    strokes = read_strokes(document["strokes"], version=record.versions.get("putt_posture", ""))
    return evolve(record, strokes=strokes)


def _view(view: str, entry: Mapping[str, Any]) -> dict[str, Any]:
    """Return the entry of a view by the names of `ViewRecord`."""
    known = entry["px_per_cm"] is not None
    return {
        **entry,
        "view": view,
        "size_px": [entry["width"], entry["height"]],
        "setups": len(entry["setups"]),
        "px_per_cm": {
            "value": entry["px_per_cm"],
            "standard_uncertainty": entry["px_per_cm_standard_uncertainty"],
            "unit": "px/cm",
            "view": view,
            "method": entry["scale_method"] if known else "",
            "absent": None if known else entry["scale_method"] or "There is no scale.",
        },
        "distance_cm": entry["distance"],
        "still_box_px": entry["still"]["box_px"],
        "still_size": entry["still"]["size"],
    }
