"""Checks of a `measures.json` that its schema cannot make: fields that belong together.

Every document that the program writes passes. Documents that were damaged or made by hand are refused: their numbers
would break a page or a picture later, when the folder they came from is gone.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any, Final

from putt_posture.body import check_student
from putt_posture.disk.marks import DRAWN_STEPS
from putt_posture.documents.json_values import MOST_FRAMES, MOST_STILL_PIXELS
from putt_posture.documents.strokes_json import faults_of_strokes
from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES
from putt_posture.values import Student

__all__ = ["check_consistency"]

_FIRST_YEAR: Final = 1990
"""No phone took a clip before this year."""
_LAST_YEAR: Final = 2999
_SHOWN_RANGE_CM: Final = (30.0, 10_000.0)
"""Least and greatest length that the longer side of a picture can show: a person does not fit into less, and in more a
person is too small to be measured."""
_BEYOND: Final = 1.0
"""How far outside of the picture ground, shaft and ball may lie, in widths and heights of the picture."""
_LONGEST_SUGGESTED_CM: Final = 300.0
"""Twice the longest putter that is possible (`LONGEST_PUTTER_CM`), so that an unusual suggestion is not refused."""
_LARGEST_MEASURE: Final = 1e6
"""In degrees, centimetres or per cent. It is far more than any body has. It is also so far below the limit of the
schema that a change between two lessons, with its interval, is within that limit."""
_STEEPEST_ROLL_DEG: Final = 60.0
"""A picture that is turned more lies on its side."""
_Entry = Mapping[str, Any]


def check_consistency(document: _Entry, *, where: str) -> None:
    """Check a document that matches the schema.

    Parameters
    ----------
    document : mapping
        As `read_json` returns it.
    where : str
        What it was read from, for the message.

    Raises
    ------
    UsageError
        The sentence names the field.
    """
    fault = next(_find_faults(document), None)
    if fault is not None:
        raise UsageError(f"{where} is damaged: {fault}. Measure the clips again.")


def _find_faults(document: _Entry) -> Iterator[str]:
    yield from _faults_of_day(document["made_on"])
    try:
        check_student(Student(**document["student"]))
    except UsageError as error:
        yield f"student: {str(error).rstrip('.')}"
    for view, entry in document["views"].items():
        place = f"views/{view}"
        yield from _faults_of_still(entry["still"], entry, place=f"{place}/still")
        yield from _faults_of_setups(entry, place=place)
        yield from _faults_of_scene(entry, place=place)
    yield from _faults_of_ghost(document)
    yield from _faults_of_step_pictures(document)
    yield from _faults_of_stroke_pictures(document)
    yield from _faults_of_estimates(document)
    yield from _faults_of_length(document["fit"]["putter_length"]["value"])
    yield from _faults_of_rows(document)
    yield from faults_of_strokes(document)


def _faults_of_day(day: str | None) -> Iterator[str]:
    if day is None:
        return
    try:
        year = date.fromisoformat(day).year
    except ValueError:
        yield f"made_on is {day}, which is not a day"
        return
    if not _FIRST_YEAR <= year <= _LAST_YEAR:
        yield f"made_on is {day}, and a day from {_FIRST_YEAR} to {_LAST_YEAR} was needed"


def _faults_of_still(still: _Entry, view: _Entry, *, place: str) -> Iterator[str]:
    """Compare the part of the picture that a still shows with the picture, and the size of the still with that part."""
    left, top, right, bottom = still["box_px"]
    wide, high = still["size"]
    if not (left < right <= view["width"] and top < bottom <= view["height"]):
        yield (
            f"{place}/box_px is {left} {top} {right} {bottom}, which is not a part of a picture of "
            f"{view['width']} × {view['height']} pixels"
        )
        return
    if wide * high > MOST_STILL_PIXELS:
        yield f"{place}/size is {wide} × {high} pixels, and {MOST_STILL_PIXELS:,} pixels is the most"
    across, along = right - left, bottom - top
    # Each side of the still is rounded to whole pixels.
    if abs(wide * along - high * across) > across + along:
        yield f"{place}/size is {wide} × {high}, which differs in shape from box_px"


def _faults_of_ghost(document: _Entry) -> Iterator[str]:
    ghost = document["pictures"]["ghost"]
    if ghost is None:
        return
    view = document["views"].get("down_the_line")
    if view is None:
        yield "pictures/ghost is there, and it is drawn over the view down the line, which is not"
        return
    yield from _faults_of_still(ghost, view, place="pictures/ghost")


def _faults_of_step_pictures(document: _Entry) -> Iterator[str]:
    for name, drawn in document["pictures"]["steps"].items():
        place = f"pictures/steps/{name}"
        view = document["views"].get(MEASURES[name].still_view) if name in DRAWN_STEPS else None
        if view is None:
            yield f"{place} is there, and no view of the lesson shows that step"
        else:
            yield from _faults_of_still(drawn, view, place=place)


def _faults_of_stroke_pictures(document: _Entry) -> Iterator[str]:
    for name, drawn in document["pictures"]["strokes"].items():
        place, shown = f"pictures/strokes/{name}", (document["strokes"] or {"shown": {}})["shown"]
        view = next((each for each in document["views"] if name.startswith(each)), None)
        if view not in shown:
            yield f"{place} is there, and no stroke is shown in that view"
        else:
            yield from _faults_of_still(drawn, document["views"][view], place=place)


def _faults_of_setups(view: _Entry, *, place: str) -> Iterator[str]:
    setups = view["setups"]
    frames = sum(len(each["times_s"]) for each in setups)
    if frames > MOST_FRAMES:
        yield f"{place}/setups have {frames} frames, and {MOST_FRAMES} is the most"
    if view["still_index"] >= frames:
        yield f"{place}/still_index is {view['still_index']}, and the setups have {frames} frames, counted from 0"
    if len(view["setup_times_s"]) != len(setups):
        yield f"{place}/setup_times_s has {len(view['setup_times_s'])} times for {len(setups)} setups"
    for number, each in enumerate(setups):
        for name in ("window_s", "stroke_s"):
            if each[name] is not None and each[name][0] > each[name][1]:
                yield f"{place}/setups/{number}/{name} ends before it begins"


def _faults_of_scene(view: _Entry, *, place: str) -> Iterator[str]:
    size = view["width"], view["height"]
    scale, sd = view["px_per_cm"], view["px_per_cm_standard_uncertainty"]
    if (scale is None) != (sd is None):
        yield f"{place}/px_per_cm and its standard uncertainty are not both numbers or both null"
    if scale is not None:
        shown, (least, most) = max(size) / scale, _SHOWN_RANGE_CM
        if not least <= shown <= most:
            yield (
                f"{place}/px_per_cm is {scale:g}, so that the picture would show {shown:.4g} cm, and from {least:g} to "
                f"{most:g} cm is possible"
            )
    roll = view["roll"]["value"]
    if roll is not None and abs(roll) > _STEEPEST_ROLL_DEG:
        yield f"{place}/roll is {roll:g}°, and at most {_STEEPEST_ROLL_DEG:g}° to either side is possible"
    points = {"ball_px": [view["ball_px"]], "shaft_px": view["shaft_px"], "ground_v_px": [[0, view["ground_v_px"]]]}
    for name, places in points.items():
        if view[name] is not None and not all(_is_near(point, size) for point in places):
            yield f"{place}/{name} lies far outside of the picture of {size[0]} × {size[1]} pixels"


def _is_near(point: Sequence[float], size: Sequence[int]) -> bool:
    return all(-_BEYOND * side <= each <= (1 + _BEYOND) * side for each, side in zip(point, size, strict=True))


def _faults_of_estimates(document: _Entry) -> Iterator[str]:
    """Find measures of a view that is not there, and measures too large for the pages and pictures made later."""
    views = document["views"]
    measures = {f"measures/{name}": each for name, each in document["measures"].items()}
    scenes = {
        f"views/{view}/{name}": each[name] for view, each in views.items() for name in ("roll", "yaw", "distance")
    }
    for place, each in (measures | scenes).items():
        if each["view"] is not None and each["view"] not in views and each["absent"] is None:
            yield f"{place}/view is {each['view']}, and there is no such view"
        for name in ("value", "standard_uncertainty", "low", "high"):
            if each[name] is not None and abs(each[name]) > _LARGEST_MEASURE:
                yield f"{place}/{name} is {each[name]:g}, and at most {_LARGEST_MEASURE:g} is possible"


def _faults_of_length(length_cm: float | None) -> Iterator[str]:
    if length_cm is not None and not 0 < length_cm <= _LONGEST_SUGGESTED_CM:
        yield f"fit/putter_length/value is {length_cm:g} cm, which is not a possible putter length"


def _faults_of_rows(document: _Entry) -> Iterator[str]:
    """Find rows of numbers that belong together and differ in length."""
    tables: dict[str, Mapping[str, Any]] = {}
    if document["fit"]["curves"] is not None:
        tables["fit/curves"] = document["fit"]["curves"]
    for name in ("before", "after"):
        if document.get("arcs") is not None:
            arc = document["arcs"][name]
            tables[f"arcs/{name}"] = {each: row for each, row in arc.items() if each != "assumptions"}
    for place, table in tables.items():
        rows = {name: row for name, row in table.items() if isinstance(row, list)}
        lengths = {len(row) for row in rows.values()}
        if len(lengths) > 1:
            (first, *_), (last, *_) = (
                [name for name, row in rows.items() if len(row) == length] for length in (max(lengths), min(lengths))
            )
            yield f"{place}/{last} has {min(lengths)} numbers, and {first} has {max(lengths)}"
