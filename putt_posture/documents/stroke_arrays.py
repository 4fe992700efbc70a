"""What was seen of strokes as plain arrays of `landmarks.npz` and entries of its document, and read back.

Of each stroke of a view, counted from 1, there are the series of its N frames under ``VIEW.stroke_1.`` and, where the
large model looked at its E events, their landmarks under ``VIEW.stroke_1.at_``. What is no series stands in the
document. The pictures of the events are files of their own.
"""

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from putt_posture.documents.json_values import as_json, as_value, measure_as_json
from putt_posture.values import LANDMARK_NAMES, Estimate, Landmarks, SeenStroke, SeenStrokes, View

__all__ = [
    "AT_EVENTS",
    "MOST_STROKES",
    "SERIES",
    "Arrays",
    "find_strokes",
    "read_seen_strokes",
    "seen_strokes_as_json",
    "strokes_as_arrays",
]

MOST_STROKES: Final = 200
"""The most strokes of one clip: half an hour of practice."""
_MARKS: Final = len(LANDMARK_NAMES)
SERIES: Final[Mapping[str, tuple[str, tuple[int | str, ...]]]] = {
    "times_s": ("<f8", ("N",)),
    "points_px": ("<f8", ("N", _MARKS, 2)),
    "visibility": ("<f8", ("N", _MARKS)),
    "depth": ("<f8", ("N", _MARKS)),
    "camera_px": ("<f8", ("N", 2, 3)),
    "shaft_px": ("<f8", ("N", 2, 2)),
    "putter_head_px": ("<f8", ("N", 2)),
    "putter_head_sd_px": ("<f8", ("N",)),
    "ball_px": ("<f8", ("N", 2)),
    "ball_sd_px": ("<f8", ("N",)),
}
"""Kind of number and shape of each series of a stroke of N frames, named as in `SeenStroke`."""
AT_EVENTS: Final[Mapping[str, tuple[str, tuple[int | str, ...]]]] = {
    "at_times_s": ("<f8", ("E",)),
    "at_setup_index": ("<i8", ("E",)),
    "at_points_px": ("<f8", ("E", _MARKS, 2)),
    "at_visibility": ("<f8", ("E", _MARKS)),
    "at_depth": ("<f8", ("E", _MARKS)),
    "at_masks": ("|u1", ("E", "h", "w")),
    "at_outlines": ("|u1", ("E", "h", "w")),
    "at_mask_box_px": ("<i8", (4,)),
}
"""The same of the landmarks of E events, named as in `Landmarks`."""
_NAME: Final = re.compile(r"(?P<view>[a-z_]+)\.stroke_(?P<number>[1-9][0-9]{0,2})\.(?P<array>[a-z_]+)")


class Arrays(Protocol):
    """Arrays by name, of a file or in memory."""

    def __getitem__(self, name: str, /) -> NDArray[Any]:
        """Return one small array.

        Parameters
        ----------
        name : str
        """
        ...

    def large(self, name: str, /) -> NDArray[Any]:
        """Return one array that may be large.

        Parameters
        ----------
        name : str
        """
        ...


def strokes_as_arrays(seen: SeenStrokes) -> dict[str, NDArray[np.generic]]:
    """Return the series of the strokes of one view by their names in `landmarks.npz`.

    Parameters
    ----------
    seen : SeenStrokes
    """
    arrays: dict[str, NDArray[np.generic]] = {}
    for number, stroke in enumerate(seen.strokes, start=1):
        of = f"{seen.view}.stroke_{number}"
        arrays |= {f"{of}.{name}": np.asarray(getattr(stroke, name), dtype=kind) for name, (kind, _) in SERIES.items()}
        if stroke.at_events is not None:
            arrays |= {
                f"{of}.{name}": np.asarray(getattr(stroke.at_events, name.removeprefix("at_")), dtype=kind)
                for name, (kind, _) in AT_EVENTS.items()
            }
    return arrays


def seen_strokes_as_json(seen: SeenStrokes) -> dict[str, Any]:
    """Return what is no series of the strokes of one view as an entry of the document of what was seen.

    Parameters
    ----------
    seen : SeenStrokes
    """
    return {
        "strokes": [_stroke_as_json(each) for each in seen.strokes],
        **as_json({"why_none": seen.why_none, "notes": list(seen.notes), "to_other_s": seen.to_other_s}),
    }


def find_strokes(names: Iterable[str], view: View) -> dict[int, bool]:
    """Find the strokes of a view among the names of arrays.

    Parameters
    ----------
    names : iterable of str
    view : View

    Returns
    -------
    dict of int to bool
        The number of each stroke, in order, and whether the large model looked at its events.
    """
    found: dict[int, bool] = {}
    for name in names:
        told = _NAME.fullmatch(name)
        if told is not None and told["view"] == view:
            number = int(told["number"])
            found[number] = found.get(number, False) or told["array"] in AT_EVENTS
    return dict(sorted(found.items()))


def read_seen_strokes(
    entry: Mapping[str, Any] | None, arrays: Arrays, *, view: View, size_px: tuple[int, int]
) -> SeenStrokes | None:
    """Read the strokes of a view back, to the last digit; without pictures.

    Parameters
    ----------
    entry : mapping or None
        As `seen_strokes_as_json` made it; None where no stroke was looked for.
    arrays : Arrays
        With the arrays that `strokes_as_arrays` made, checked.
    view : View
    size_px : (int, int)
        Width and height of the full-size picture.
    """
    if entry is None:
        return None
    strokes = tuple(
        _read_stroke(each, arrays, view=view, of=f"{view}.stroke_{number}", size_px=size_px)
        for number, each in enumerate(entry["strokes"], start=1)
    )
    return SeenStrokes(
        view=view,
        strokes=strokes,
        why_none=entry["why_none"],
        notes=tuple(entry["notes"]),
        to_other_s=_or_unknown(entry.get("to_other_s")),
    )


def _or_unknown(value: float | None) -> float:
    return math.nan if value is None else value


def _stroke_as_json(stroke: SeenStroke) -> dict[str, Any]:
    at_events = stroke.at_events
    told = {
        "address_s": stroke.address_s,
        "stroke_s": stroke.stroke_s,
        "shift_s": stroke.shift_s,
        "camera_sd_px": stroke.camera_sd_px,
        "kind": stroke.kind,
        "why": stroke.why,
        "event_names": stroke.event_names,
        "landmark_model": "" if at_events is None else at_events.model,
        "landmark_notes": () if at_events is None else at_events.notes,
        "notes": stroke.notes,
    }
    return {**as_json(told), "ball_leaves_s": measure_as_json(stroke.ball_leaves_s)}


def _read_stroke(
    entry: Mapping[str, Any], arrays: Arrays, *, view: View, of: str, size_px: tuple[int, int]
) -> SeenStroke:
    at_events = None
    if entry["landmark_model"]:
        read: dict[str, Any] = {name.removeprefix("at_"): arrays.large(f"{of}.{name}") for name in AT_EVENTS}
        left, top, right, bottom = (int(each) for each in read.pop("mask_box_px"))
        at_events = Landmarks(
            view=view,
            **read,
            mask_box_px=(left, top, right, bottom),
            size_px=size_px,
            model=entry["landmark_model"],
            notes=tuple(entry["landmark_notes"]),
        )
    (address, still), (starts, ends) = entry["address_s"], entry["stroke_s"]
    series: dict[str, Any] = {name: arrays[f"{of}.{name}"] for name in SERIES}
    return SeenStroke(
        view=view,
        **series,
        address_s=(address, still),
        stroke_s=(starts, ends),
        shift_s=_or_unknown(entry.get("shift_s")),
        camera_sd_px=entry["camera_sd_px"],
        ball_leaves_s=as_value(entry["ball_leaves_s"], Estimate),
        kind=entry["kind"],
        why=entry["why"],
        at_events=at_events,
        event_names=tuple(entry["event_names"]),
        notes=tuple(entry["notes"]),
    )
