"""The versions of the documents that are stored, and the steps that bring older ones forward.

Each step is one function. It takes a document of one version and returns it as the next version would have written it;
no number changes. Documents of each released version are kept with the tests, which bring them forward. Stored
documents stay as they are and are brought forward each time they are read.
"""

import re
from collections.abc import Callable, Mapping
from typing import Any, Final, Literal

from putt_posture.errors import UsageError

__all__ = ["VERSIONS", "DocumentKind", "bring_forward"]

DocumentKind = Literal["measures", "seen", "spec_sheet"]
VERSIONS: Final[Mapping[DocumentKind, int]] = {"measures": 4, "seen": 4, "spec_sheet": 1}
"""The versions that this program writes: of `measures.json`, of what was seen in `landmarks.npz`, and of
`spec_sheet.json`."""

_Document = dict[str, Any]
_Step = Callable[[_Document], _Document]
_STEPS: Final[dict[tuple[DocumentKind, int], _Step]] = {}
_OLDEST: Final[Mapping[DocumentKind, int]] = {"measures": 2, "seen": 1, "spec_sheet": 1}
"""The versions that the first release, 0.1.0, wrote."""


def _step(kind: DocumentKind, *, to: int) -> Callable[[_Step], _Step]:
    """Register a step to a version from the one before it."""

    def register(function: _Step) -> _Step:
        _STEPS[kind, to] = function
        return function

    return register


def bring_forward(document: Any, kind: DocumentKind, *, where: str) -> _Document:
    """Return a document as this program would have written it.

    Parameters
    ----------
    document : Any
        As `read_json` returns it.
    kind : DocumentKind
        Which of the stored documents it is.
    where : str
        What it was read from, for the message.

    Returns
    -------
    dict
        Of the version in `VERSIONS`; it is not yet checked against its schema.

    Raises
    ------
    UsageError
        If it has no version, or one that is newer than the program or was never released.
    """
    version = document.get("schema") if isinstance(document, dict) else None
    newest = VERSIONS[kind]
    if type(version) is not int or version < _OLDEST[kind]:
        raise UsageError(
            f"{where} has schema {version!r}, and this program reads schemas {_OLDEST[kind]} to {newest}. "
            "Measure the clips again."
        )
    if version > newest:
        raise UsageError(
            f"{where} has schema {version}, which is newer than this program (it reads up to {newest}). "
            "Install a newer putt_posture."
        )
    for to in range(version + 1, newest + 1):
        try:
            document = {**_STEPS[kind, to](document), "schema": to}
        except (KeyError, TypeError, AttributeError, ValueError, IndexError) as error:
            raise UsageError(
                f"{where} is damaged: it says schema {to - 1} and does not match it ({type(error).__name__}). "
                "Measure the clips again."
            ) from None
    return dict(document)


@_step("measures", to=3)
def _add_what_is_by_hand(document: _Document) -> _Document:
    """Say that nothing is known to be by hand, and that nothing was said, named or searched for."""
    unsaid: _Document = {"by_hand": [], "automatic": None}
    fit = {**document["fit"]}
    for name in ("putter_length", "lie"):
        fit[name] = {**fit[name], **unsaid}
    views = {
        view: {**each, "setups": [{"doubt": "", **setup} for setup in each["setups"]]}
        for view, each in document["views"].items()
    }
    measures = {name: {**each, **unsaid} for name, each in document["measures"].items()}
    unsaid_by_student = {"misses": "", "weak_putts": None, "putter_story": "", "limits": "", "notes": ""}
    unknown: _Document = {"interview": unsaid_by_student, "findings": None, "steps": [], "plan": None}
    unknown |= {"without_putter": False, "step": None}
    pictures = {**document["pictures"], "steps": {}}
    return {**document, "views": views, "fit": fit, "measures": measures, "pictures": pictures, **unknown}


@_step("measures", to=4)
def _call_arcs_what_they_are(document: _Document) -> _Document:
    """Call the arcs of two setups ``arcs``, since a stroke is what was measured; say that no stroke was looked for."""
    kept = {name: value for name, value in document.items() if name != "stroke"}
    pictures = {**document["pictures"], "strokes": {}}
    return {**kept, "arcs": document.get("stroke"), "strokes": None, "pictures": pictures}


_CLIP: Final = (
    "kind", "width", "height", "duration_s", "rate_hz", "rotation_deg", "mirrored", "codec",
    "pixel_format", "transfer", "time_stretch", "variable_rate",
)  # fmt: skip
_ROLL: Final = ("value", "standard_uncertainty", "unit", "view", "frames", "method", "absent")
_NOT_FOUND: Final = "it was not found when the lesson was measured"
_DRAWN_AT_PX: Final = 0.0
"""Where the ends of a scale object are put if only its length and the scale were kept."""


@_step("seen", to=2)
def _say_what_was_seen(document: _Document) -> _Document:
    """Gather what was seen from `measures.json`, which held part of it; schema 2 keeps all of it.

    The document of schema 1 is ``{"schema": 1, "measures": …}`` with that of `measures.json`. The picture is taken as
    sharp, which is usual. A find that was drawn over by hand was replaced, so it stays unknown.
    """
    measures = document["measures"]
    length = measures["measures"]["putter_length"]
    return {
        "wanted": None,
        "coach_text": "",
        "views": {view: _view_as_seen(view, each, length) for view, each in measures["views"].items()},
    }


@_step("seen", to=3)
def _add_lines_by_hand(document: _Document) -> _Document:
    """Say that neither back nor target line was drawn by hand."""
    undrawn: _Document = {"back_px": [], "target_px": None}
    views = {view: {**each, "given": {**each["given"], **undrawn}} for view, each in document["views"].items()}
    return {**document, "views": views}


@_step("seen", to=4)
def _add_strokes(document: _Document) -> _Document:
    """Say that no event was placed by hand and no stroke was looked for."""
    views = {
        view: {**each, "given": {**each["given"], "event_times": []}, "strokes": None}
        for view, each in document["views"].items()
    }
    return {**document, "views": views}


def _view_as_seen(view: str, entry: Mapping[str, Any], length: Mapping[str, Any]) -> _Document:
    names = entry["given"]
    return {
        "clip": {name: entry[name] for name in _CLIP} | {"notes": []},
        "setups": entry["setups"],
        "still": {"time_s": entry["still_time_s"], "scale": 1.0},
        "notes": entry["notes"],
        "landmark_notes": [],
        "given": {
            "scale_object": _scale_object(entry) if "scale object" in names else None,
            "roll_deg": entry["roll"]["value"] if "camera roll" in names else None,
            "distance_cm": entry["distance"]["value"] if "camera distance" in names else None,
            "shaft_px": entry["shaft_px"] if "shaft" in names else None,
            "ball_px": entry["ball_px"] if "ball" in names else None,
            "ground_px": None,
            "landmarks": [],
            "setup_times_s": [],
        },
        "finds": {
            "resolution_px": 1.0,
            "roll": {name: entry["roll"][name] for name in _ROLL},
            "shaft": _shaft_as_found(view, entry, length),
            "butt_lent": view == "down_the_line" and "by the face-on picture" in length["method"],
            "ball": _ball_as_found(entry),
            "ball_warnings": [],
        },
    }


def _shaft_as_found(view: str, entry: Mapping[str, Any], length: Mapping[str, Any]) -> _Document:
    ends = None if "shaft" in entry["given"] else entry["shaft_px"]
    side = view == "down_the_line" and ends is not None
    return {
        "ends_px": ends,
        "butt_seen": side and "judged" not in length["method"] and "by the face-on" not in length["method"],
        "sole_seen": side and entry["scale_source"] == "putter",
        "butt_above_cm": None,
        "butt_sd_cm": length.get("budget", {}).get("ends of the putter", 0.0) if side else 0.0,
        "sole_sd_cm": 0.0,
        "angle_sd_deg": None,
        "grip_share": None,
        "why_not": _NOT_FOUND if ends is None else "",
    }


def _ball_as_found(entry: Mapping[str, Any]) -> _Document | None:
    if "ball" in entry["given"] or entry["shaft_px"] is None:
        return None
    centre = entry["ball_px"]
    return {
        "centre_px": centre,
        "diameter_px": None,
        "sd_px": None,
        "score": 0.0,
        "why_not": _NOT_FOUND if centre is None else "",
    }


def _scale_object(entry: Mapping[str, Any]) -> list[Any]:
    """Return a length and two ends that give the stored scale; their true place in the picture is not known."""
    found = re.search(r"an object of ([0-9.e+]+) cm", entry["scale_method"])
    if found is None:
        raise ValueError(entry["scale_method"])
    length_cm = float(found[1])
    start = [_DRAWN_AT_PX, _DRAWN_AT_PX]
    return [length_cm, [start, [_DRAWN_AT_PX + entry["px_per_cm"] * length_cm, _DRAWN_AT_PX]]]
