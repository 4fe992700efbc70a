"""The stroke of a lesson: its clips, and its events dragged along the time bar; of a draft or of a filed lesson."""

import re
from collections.abc import Callable, Mapping
from typing import Any, Final

from attrs import evolve
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from putt_posture.errors import NotInArchive, UsageError
from putt_posture.server.by_hand import as_given
from putt_posture.server.giving import send_bytes
from putt_posture.server.places import (
    DraftPlace,
    FiledPlace,
    LessonPlace,
    at_place,
    at_place_with_body,
    keep_given,
    read_time,
    view_of,
)
from putt_posture.server.rendering import answer_json, render, translate
from putt_posture.server.state import state_of
from putt_posture.server.strokes import describe_strokes, draw_stroke_charts
from putt_posture.services.correcting import CorrectedLesson, measure_for_page
from putt_posture.services.stroke_clips import draw_stroke_clip, draw_stroke_frame
from putt_posture.values import STROKE_EVENTS, Given, PlacedEvent, View

__all__ = ["ROUTES"]

_PLACED: Final = re.compile(rf"({'|'.join(STROKE_EVENTS)}):([0-9.]{{1,20}})")


def show(place: LessonPlace, request: Request) -> Response:
    """Show the page.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    """
    with state_of(request).opened.use(place.key(), place.open) as opened:
        says, title = opened.says, opened.title
        looked_for = opened.found.strokes is not None
    draft = state_of(request).drafts.load(place.id) if isinstance(place, DraftPlace) else None
    return render(
        request, "stroke_page.html.jinja", address=place.address, says=says, title=title, draft=draft,
        looked_for=looked_for, texts=_texts(translate(request)),
    )  # fmt: skip


def show_found(place: LessonPlace, request: Request) -> Response:
    """Send the strokes as they are kept.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    """
    with state_of(request).opened.use(place.key(), place.open) as opened:
        return _answer(place, request, opened, opened.given)


def measure(place: LessonPlace, request: Request, body: bytes) -> Response:
    """Measure with events placed by hand.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    body : bytes
    """
    with state_of(request).opened.use(place.key(), place.open) as opened:
        return _answer(place, request, opened, as_given(body, opened))


def draw(place: LessonPlace, request: Request, body: bytes) -> Response:
    """Send the pictures of times and paths with events placed by hand.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    body : bytes
    """
    number = request.query_params.get("stroke", "")
    with state_of(request).opened.use(place.key(), place.open) as opened:
        lesson = measure_for_page(opened, as_given(body, opened))
    charts = draw_stroke_charts(lesson, number=int(number) if number.isascii() and number.isdecimal() else None)
    return answer_json(request, charts)


def keep(place: LessonPlace, request: Request, body: bytes) -> Response:
    """Keep the events placed by hand.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    body : bytes
    """
    with state_of(request).opened.use(place.key(), place.open) as opened:
        return keep_given(place, request, opened, body)


def show_clip(place: LessonPlace, request: Request) -> Response:
    """Send the overlay clip of a stroke, or the part of it that was asked for.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    """
    state, view, number = state_of(request), view_of(request), int(request.path_params["number"])
    with state.opened.use(place.key(), place.open) as opened:
        lesson = measure_for_page(opened, _with_placed(request, opened.given, view, number))

    def draw_it() -> bytes:
        with place.moving_clips() as clips:
            return draw_stroke_clip(opened, lesson, clips, view, number)[0]

    key = (place.key(), view, number, request.query_params.get("by-hand", ""))
    with state.moving.use(key, draw_it) as clip:
        return send_bytes(request, clip, media_type="video/mp4")


def show_frame(place: LessonPlace, request: Request) -> Response:
    """Send one frame of a stroke with its lines.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    """
    view, number = view_of(request), int(request.path_params["number"])
    time_s = read_time(request.path_params["time"])
    with state_of(request).opened.use(place.key(), place.open) as opened:
        lesson = measure_for_page(opened, _with_placed(request, opened.given, view, number))
    with place.moving_clips() as clips:
        picture = draw_stroke_frame(opened, lesson, clips, view, number, time_s=time_s)
    return Response(picture, media_type="image/jpeg")


def _answer(place: LessonPlace, request: Request, opened: CorrectedLesson, given: Mapping[View, Given]) -> Response:
    lesson = measure_for_page(opened, given)
    described = describe_strokes(
        opened, lesson, moving=place.moving(opened), address=f"{place.address}/stroke", _=translate(request)
    )
    return answer_json(request, described)


def _with_placed(request: Request, given: Mapping[View, Given], view: View, number: int) -> dict[View, Given]:
    """Return what is given with the events of one stroke as an address names them: ``?by-hand=top:2.5,impact:2.9``."""
    if view not in given:
        raise NotInArchive("There is no such view in this lesson.")
    said = request.query_params.get("by-hand", "")
    found = [_PLACED.fullmatch(each) for each in said.split(",")[: len(STROKE_EVENTS)]] if said else []
    if not all(found):
        raise UsageError(f"{said!r:.60} is no list of events. Load the page again.")
    others = tuple(each for each in given[view].event_times if each.stroke != number)
    placed = tuple(
        PlacedEvent(stroke=number, event=each[1], time_s=read_time(each[2]))  # type: ignore[arg-type]
        for each in found
        if each is not None
    )
    return {**given, view: evolve(given[view], event_times=(*others, *placed))}


def _texts(_: Callable[[str], str]) -> dict[str, str]:
    """Return the texts that the script of the page shows."""
    return {
        "measuring": _("Measuring …"),
        "measured": _("Measured with events by hand: {count}."),
        "nothing": _("All events are as found."),
        "not_measured": _("This was not measured, and the numbers are those before it."),
        "lost": _("The program on the computer cannot be reached. Nothing is lost: try again when it runs."),
        "keeping": _("Keeping …"),
        "not_kept": _("What was moved is not kept yet."),
        "by_hand": _("by hand"),
        "at": _("{event} at {time} s"),
        "not_found": _("not found"),
        "no_clip": _("The clip is not here any more, so no moving picture can be shown."),
        "frame_at": _("{event}: the frame at {time} s"),
        "stroke_times": _("Times"),
        "stroke_from_front": _("Paths from the front"),
        "stroke_from_behind": _("Paths from behind"),
        "stroke_from_above": _("Paths from above"),
        "play": _("Play"),
        "pause": _("Pause"),
    }


def _routes(base: str, place: Callable[[Request], Any]) -> tuple[BaseRoute, ...]:
    return (
        Route(base, at_place(place, show)),
        Route(f"{base}/found", at_place(place, show_found)),
        Route(f"{base}/measure", at_place_with_body(place, measure), methods=["POST"]),
        Route(f"{base}/charts", at_place_with_body(place, draw), methods=["POST"]),
        Route(f"{base}/keep", at_place_with_body(place, keep), methods=["POST"]),
        Route(f"{base}/clips/{{view}}/{{number:int}}.mp4", at_place(place, show_clip)),
        Route(f"{base}/frames/{{view}}/{{number:int}}/{{time}}.jpg", at_place(place, show_frame)),
    )


ROUTES: Final[tuple[BaseRoute, ...]] = (
    *_routes("/lessons/{draft}/stroke", DraftPlace),
    *_routes("/filed/{lesson}/stroke", FiledPlace),
)
