"""What was measured of the strokes of a lesson, as a part of `measures.json`.

Times are seconds of clip time, durations seconds of real time, lengths centimetres, angles degrees. The paths are not
in it: they are the rows of `strokes.csv`.
"""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from putt_posture.documents.json_values import as_json, as_value, measure_as_json
from putt_posture.measures import STROKE_MEASURES
from putt_posture.values import STROKE_EVENTS, Estimate, MeasureName, Stroke, Strokes, absent

__all__ = ["faults_of_strokes", "read_strokes", "strokes_as_json"]

_LARGEST: Final = 1e6
"""In any unit. It is far more than any stroke has."""
_Entry = Mapping[str, Any]


def strokes_as_json(strokes: Strokes) -> dict[str, Any]:
    """Return the events and numbers of strokes as plain dicts, lists, strings and numbers.

    Parameters
    ----------
    strokes : Strokes
    """
    return {
        "of": {view: [_stroke(each) for each in of_view] for view, of_view in strokes.of.items()},
        "numbers": _numbers(strokes.numbers),
        "scatter": {name: as_json(each) for name, each in strokes.scatter.items()},
        "with_hands": dict(strokes.with_hands),
        "shown": {view: int(index) for view, index in strokes.shown.items()},
        "together": bool(strokes.together),
        "counted": int(strokes.counted),
        "warnings": as_json(list(strokes.warnings)),
        "why_none": as_json(strokes.why_none),
    }


def read_strokes(entry: _Entry | None, *, version: str) -> Strokes | None:
    """Read strokes back; without their paths.

    Parameters
    ----------
    entry : mapping or None
        As `strokes_as_json` made it, of a document that was checked; None where no stroke was looked for.
    version : str
        Of the program that measured it. Measures that it did not know are absent, with that reason.
    """
    if entry is None:
        return None
    reason = f"Version {version} of the program, which measured this lesson, did not know it yet."
    later = {name: absent(reason, unit=each.unit) for name, each in STROKE_MEASURES.items()}
    numbers = later | _read_numbers(entry["numbers"])
    strokes = as_value({**entry, "of": {}, "numbers": {}}, Strokes)
    return Strokes(
        of={view: tuple(map(_read_stroke, of_view)) for view, of_view in entry["of"].items()},
        numbers={name: numbers[name] for name in STROKE_MEASURES},
        scatter=strokes.scatter,
        with_hands=strokes.with_hands,
        shown=strokes.shown,
        together=strokes.together,
        counted=strokes.counted,
        warnings=strokes.warnings,
        why_none=strokes.why_none,
    )


def faults_of_strokes(document: _Entry) -> Iterator[str]:
    """Find what does not belong together in the strokes of a document that matches the schema.

    Parameters
    ----------
    document : mapping
        Of `measures.json`.

    Yields
    ------
    str
        A fault, with its place.
    """
    strokes = document["strokes"]
    if strokes is None:
        return
    yield from _faults_of_numbers(strokes["numbers"], place="strokes/numbers")
    for name, scatter in strokes["scatter"].items():
        if name not in STROKE_MEASURES or scatter["unit"] != STROKE_MEASURES[name].unit:
            yield f"strokes/scatter/{name} is not the scatter of a measure of a stroke"
        if scatter["low"] > scatter["high"]:
            yield f"strokes/scatter/{name} has an interval that ends before it begins"
    for view, of_view in strokes["of"].items():
        place = f"strokes/of/{view}"
        if view not in document["views"]:
            yield f"{place} is there, and there is no such view"
        if [each["number"] for each in of_view] != sorted({each["number"] for each in of_view}):
            yield f"{place} is not in the order of the clip"
        for index, each in enumerate(of_view):
            if each["view"] != view:
                yield f"{place}/{index}/view is {each['view']}"
            yield from _faults_of_numbers(each["numbers"], place=f"{place}/{index}/numbers")
    for view, index in strokes["shown"].items():
        if index >= len(strokes["of"].get(view, ())):
            yield f"strokes/shown/{view} is {index}, and there is no such stroke"
    if not strokes["why_none"] and not any(strokes["of"].values()):
        yield "strokes/of holds no stroke, and strokes/why_none does not say why"


def _stroke(stroke: Stroke) -> dict[str, Any]:
    return {
        "view": stroke.view,
        "number": int(stroke.number),
        "kind": stroke.kind,
        "why": as_json(stroke.why),
        "events": {name: measure_as_json(stroke.events[name]) for name in STROKE_EVENTS},
        "numbers": _numbers(stroke.numbers),
        "with_hands": dict(stroke.with_hands),
        "doubts": as_json(list(stroke.doubts)),
    }


def _numbers(numbers: Mapping[MeasureName, Estimate]) -> dict[str, Any]:
    return {name: measure_as_json(each) for name, each in numbers.items()}


def _read_stroke(entry: _Entry) -> Stroke:
    return Stroke(
        view=entry["view"],
        number=entry["number"],
        kind=entry["kind"],
        why=entry["why"],
        events={name: as_value(entry["events"][name], Estimate) for name in STROKE_EVENTS},
        numbers=_read_numbers(entry["numbers"]),
        paths={},
        with_hands=dict(entry.get("with_hands", {})),
        doubts=tuple(entry["doubts"]),
    )


def _read_numbers(entries: Mapping[str, _Entry]) -> dict[MeasureName, Estimate]:
    return {STROKE_MEASURES[name].name: as_value(each, Estimate) for name, each in entries.items()}


def _faults_of_numbers(numbers: Mapping[str, _Entry], *, place: str) -> Iterator[str]:
    for name, each in numbers.items():
        record = STROKE_MEASURES.get(MeasureName(name))
        if record is None:
            yield f"{place}/{name} is not a measure of a stroke"
        elif each["unit"] != record.unit:
            yield f"{place}/{name}/unit is {each['unit']}, and {record.unit} was needed"
        for part in ("value", "standard_uncertainty", "low", "high"):
            if each[part] is not None and abs(each[part]) > _LARGEST:
                yield f"{place}/{name}/{part} is {each[part]:g}, and at most {_LARGEST:g} is possible"
