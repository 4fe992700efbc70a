"""What the page of corrections is sent, and what it sends: points and numbers as JSON.

Points are pixels of the full-size upright picture, from its top left. The page draws what it is sent, and works out
nothing of it.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import Any, Final

import cattrs
import numpy as np

from putt_posture.documents.json_values import as_json, as_value, read_json
from putt_posture.drawing.ghost import GhostLines
from putt_posture.errors import PuttPostureError, UsageError
from putt_posture.figures import format_both, format_margin
from putt_posture.measures import MEASURES
from putt_posture.measures.by_hand import FIT_LENGTH, FIT_LIE
from putt_posture.services.correcting import Corrected, CorrectedLesson
from putt_posture.shown_units import in_shown_unit, texts_in_shown_unit
from putt_posture.values import LANDMARK_NAMES, VIEW_TITLES, Estimate, Given, Lesson, View, ViewResult

__all__ = ["DRAGGED", "as_given", "describe_corrected", "describe_opened"]

DRAGGED: Final = tuple(
    f"{side}_{part}"
    for part in (
        "eye", "ear", "shoulder", "elbow", "wrist", "index", "pinky", "hip", "knee", "ankle", "heel", "foot_index",
    )
    for side in ("left", "right")
)  # fmt: skip
"""The joints that can be dragged: those that a measure reads."""
LIMBS: Final = (
    ("eye", "ear"), ("ear", "shoulder"), ("shoulder", "elbow"), ("elbow", "wrist"), ("wrist", "index"),
    ("index", "pinky"), ("shoulder", "hip"), ("hip", "knee"), ("knee", "ankle"), ("ankle", "heel"),
    ("heel", "foot_index"),
)  # fmt: skip
"""Parts that are joined by a line, on each side."""
MOST_BYTES: Final = 100_000
"""Of what the page sends at once; a lesson with every joint of both views placed takes 6 kB."""

_Translate = Callable[[str], str]
_SIDES: Final = ("left", "right")


def as_given(body: bytes, opened: CorrectedLesson) -> dict[View, Given]:
    """Read what the page sends: ``{"given": {view: the fields of Given}}``.

    Parameters
    ----------
    body : bytes
    opened : CorrectedLesson
        For the views that there are.

    Raises
    ------
    UsageError
        If it is not that.
    """
    where = "What the page sent"
    if len(body) > MOST_BYTES:
        raise UsageError(f"{where} is {len(body)} bytes long; at most {MOST_BYTES} were needed. Load the page again.")
    document = read_json(body, where=where)
    sent = document.get("given") if isinstance(document, dict) else None
    views = opened.found.views
    if not isinstance(sent, dict) or not set(sent) <= set(views):
        raise UsageError(f"{where} is not what is given in the views of this lesson. Load the page again.")
    try:
        return {view: as_value(sent[view], Given) for view in views if view in sent}
    except cattrs.BaseValidationError as error:
        says = next(_find_sentences(error), f"{where} has a point or a number that is none. Load the page again.")
        raise UsageError(says) from None


def _find_sentences(error: BaseException) -> Iterator[str]:
    """Yield the sentences of the project's own errors in a group of errors."""
    if isinstance(error, PuttPostureError):
        yield str(error)
    for each in getattr(error, "exceptions", ()):
        yield from _find_sentences(each)


def describe_opened(opened: CorrectedLesson, *, address: str, _: _Translate, query: str = "") -> dict[str, Any]:
    """Describe an open lesson: what was found in each view, and what can be moved.

    Parameters
    ----------
    opened : CorrectedLesson
    address : str
        Of the lesson's page, to which the names of its pictures are added.
    _ : callable
        Puts a text into the language of the page.
    query : str
        What follows the names of the pictures in their addresses.
    """
    described = {
        "views": {
            view: {
                "title": _(VIEW_TITLES[view]),
                "size": list(result.landmarks.size_px),
                "still": _still(opened, view, address=address, query=query),
                "found": _describe_view(result, opened.found),
                "names": {name: _(name.replace("_", " ").replace("foot index", "toe")) for name in DRAGGED},
                "parts": {name: _part(name) for name in DRAGGED},
                "limbs": [[f"{side}_{one}", f"{side}_{two}"] for one, two in LIMBS for side in _SIDES]
                + [[f"left_{part}", f"right_{part}"] for part in ("shoulder", "hip")],
                "time_s": float(result.still.time_s),
                "setups": [_setup(opened, view, number) for number in range(len(result.setups))],
            }
            for view, result in opened.found.views.items()
        },
        "given": {view: as_json(each) for view, each in opened.given.items()},
        "nothing": as_json(Given()),
        "without_putter": opened.found.without_putter,
        "says": list(opened.says),
    }
    shown: dict[str, Any] = texts_in_shown_unit(described)
    return shown


def describe_corrected(corrected: Corrected, opened: CorrectedLesson, *, _: _Translate) -> dict[str, Any]:
    """Describe a lesson after a change: where everything is, numbers, findings, putter and ghost.

    Parameters
    ----------
    corrected : Corrected
    opened : CorrectedLesson
    _ : callable
        Puts a text into the language of the page.
    """
    lesson, found = corrected.lesson, opened.found
    findings = lesson.findings
    described = {
        "views": {view: _describe_view(result, lesson) for view, result in lesson.views.items()},
        "rows": [*_rows(corrected, found, _=_), *_fit_rows(corrected, found, _=_)],
        "findings": {
            "lead": "" if findings is None else findings.lead,
            "found": []
            if findings is None
            else [{"title": each.title, "change": each.change, "certainty": each.certainty} for each in findings.found],
        },
        "ghost": None if corrected.ghost is None else _ghost(corrected.ghost),
        "warnings": [each for each in lesson.warnings if each not in found.warnings],
    }
    shown: dict[str, Any] = texts_in_shown_unit(described)
    return shown


def _still(opened: CorrectedLesson, view: View, *, address: str, query: str) -> dict[str, Any] | None:
    still = opened.stills.get(view)
    if still is None:
        return None
    url = f"{address}/stills/{view}.jpg"
    return {"url": f"{url}?{query}" if query else url, "box": list(still.box_px)}


def _setup(opened: CorrectedLesson, view: View, number: int) -> dict[str, Any]:
    result = opened.found.views[view]
    setup = result.setups[number]
    return {
        "moment_s": setup.moment_s,
        "from_s": setup.window_s[0],
        "to_s": setup.window_s[1],
        "doubt": setup.doubt,
        "still": bool(result.landmarks.setup_index[result.still_index] == number),
    }


def _describe_view(result: ViewResult, lesson: Lesson) -> dict[str, Any]:
    scene, index = result.scene, result.still_index
    marks = lesson.posture.marks.get(result.landmarks.view, {})
    spread = np.sqrt((result.joint_errors_px**2).sum(axis=0) + (result.joint_offsets_px**2).sum(axis=0))
    return {
        "points": {name: _point(result.joints.point(name)[index]) for name in DRAGGED},
        "spread": {name: _point(spread[LANDMARK_NAMES.index(name)]) for name in DRAGGED},
        "marks": {name: _line(points) for name, points in marks.items()},
        "shaft": None if scene.shaft_px is None else _line(scene.shaft_px),
        "ball": None if scene.ball_px is None else _point(scene.ball_px),
        "ground_v": scene.ground_v_px.value,
        "why": {"shaft": scene.shaft_why_not, "ball": scene.ball_why_not},
        "by_hand": list(scene.given),
        "roll_deg": scene.roll.value,
        "yaw_deg": scene.yaw.value,
        "forward": scene.forward,
        "px_per_cm": scene.px_per_cm.value,
        "scale_method": scene.px_per_cm.method,
    }


def _rows(corrected: Corrected, found: Lesson, *, _: _Translate) -> Iterable[dict[str, Any]]:
    for name, measure in MEASURES.items():
        was, now = found.posture[name], corrected.lesson.posture[name]
        yield _row(
            str(name), _(measure.title), was, now, part=measure.part, signed=measure.signed,
            by_hand=str(name) in corrected.by_hand, views=measure.views,
        )  # fmt: skip


def _fit_rows(corrected: Corrected, found: Lesson, *, _: _Translate) -> Iterable[dict[str, Any]]:
    for name, title, part in (
        (FIT_LENGTH, _("Suggested length of the putter"), "putter_length"),
        (FIT_LIE, _("Suggested lie"), "lie"),
    ):
        was, now = (getattr(lesson.fit, part) for lesson in (found, corrected.lesson))
        yield _row(name, title, was, now, part="fit", signed=False, by_hand=name in corrected.by_hand, views=())


def _row(
    name: str,
    title: str,
    was: Estimate,
    now: Estimate,
    *,
    part: str,
    signed: bool,
    by_hand: bool,
    views: tuple[View, ...],
) -> dict[str, Any]:
    length = part == "fit" and now.unit == "cm"
    return {
        "name": name,
        "title": title,
        "part": part,
        "views": list(views),
        "by_hand": by_hand,
        "found": _say(was, signed=signed, length=length),
        "now": _say(now, signed=signed, length=length),
        "value": float(now.value) if now else None,
        "found_value": float(was.value) if was else None,
        "unit": now.unit,
    }


def _say(estimate: Estimate, *, signed: bool, length: bool) -> str:
    if not estimate:
        return estimate.absent or ""
    return format_both(estimate) if length else format_margin(in_shown_unit(estimate), signed=signed)


def _ghost(ghost: GhostLines) -> dict[str, Any]:
    return {
        "outlines": [_line(line, digits=1) for line in ghost.outlines],
        "putter": _line(ghost.putter),
        "head": _line(ghost.head),
        "ball": _point(ghost.ball),
        "radius": ghost.ball_radius_px,
    }


def _line(points: Iterable[Any], *, digits: int = 2) -> list[list[float] | None]:
    return [_point(each, digits=digits) for each in points]


def _point(point: Any, *, digits: int = 2) -> list[float] | None:
    u, v = (float(each) for each in point)
    return [round(u, digits), round(v, digits)] if np.isfinite([u, v]).all() else None


def _part(name: str) -> str:
    """Return the part of the body that a joint belongs to, for its colour."""
    return _PARTS[name.split("_", 1)[1]]


_PARTS: Final = {
    "eye": "head", "ear": "head", "shoulder": "trunk", "hip": "trunk", "elbow": "arms", "wrist": "arms",
    "index": "arms", "pinky": "arms", "knee": "legs", "ankle": "legs", "heel": "legs", "foot_index": "legs",
}  # fmt: skip
