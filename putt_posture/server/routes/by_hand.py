"""What is put right by hand: points dragged on the still, of a lesson at hand or of a filed one."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, Final, cast

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.errors import NotInArchive, UsageError
from putt_posture.figures import format_time
from putt_posture.server.by_hand import as_given, describe_corrected, describe_opened
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
from putt_posture.services.correcting import (
    CorrectedLesson,
    correct,
)
from putt_posture.services.other_frames import draw_strip_picture, list_strip, open_at_other_times
from putt_posture.values import VIEW_TITLES, View

__all__ = ["ROUTES"]


def show(place: LessonPlace, request: Request) -> Response:
    """Show the page.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    """
    with state_of(request).opened.use(place.key(), place.open) as opened:
        views = [(view, VIEW_TITLES[view]) for view in opened.found.views]
        says, title = opened.says, opened.title
    draft = state_of(request).drafts.load(place.id) if isinstance(place, DraftPlace) else None
    return render(
        request, "by_hand.html.jinja", address=place.address, views=views, says=says, title=title, draft=draft,
        texts=_texts(translate(request)),
    )  # fmt: skip


def show_found(place: LessonPlace, request: Request) -> Response:
    """Send what was found, and the lesson as it is kept.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    """
    _ = translate(request)
    with _use(place, request) as opened:
        described = describe_opened(opened, address=f"{place.address}/by-hand", _=_, query=request.url.query)
        now = describe_corrected(correct(opened, opened.given), opened, _=_)
    return answer_json(request, {**described, "now": now, "colours": dict(PART_COLOURS)})


def show_still(place: LessonPlace, request: Request) -> Response:
    """Send the still of a view without marks.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    """
    view = cast(View, request.path_params["view"])
    with _use(place, request) as opened:
        still = opened.stills.get(view)
    if still is None:
        raise NotInArchive("There is no picture of this view that may be shown.")
    return Response(still.jpeg, media_type="image/jpeg")


def measure(place: LessonPlace, request: Request, body: bytes) -> Response:
    """Measure with what is given by hand.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    body : bytes
    """
    with _use(place, request) as opened:
        corrected = correct(opened, as_given(body, opened))
        return answer_json(request, describe_corrected(corrected, opened, _=translate(request)))


def keep(place: LessonPlace, request: Request, body: bytes) -> Response:
    """Keep what is given by hand.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    body : bytes
    """
    with _use(place, request) as opened:
        return keep_given(place, request, opened, body)


def show_strip(place: LessonPlace, request: Request) -> Response:
    """Send the frames of a clip from which another can be chosen.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    """
    view = view_of(request)
    with state_of(request).opened.use(place.key(), place.open) as opened:
        frames = list_strip(opened, place.clips(), view) if view in opened.found.views else ()
        hidden = opened.faces_hidden
    base = f"{place.address}/by-hand/strip/{view}"
    return answer_json(
        request,
        [
            {
                "time_s": each.time_s,
                "time": format_time(each.time_s),
                "setup": each.setup,
                "url": None if hidden else f"{base}/{each.time_s:.3f}.jpg",
            }
            for each in frames
        ],
    )


def show_strip_picture(place: LessonPlace, request: Request) -> Response:
    """Send a small picture of a clip.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    """
    time_s = read_time(request.path_params["time"])
    with state_of(request).opened.use(place.key(), place.open) as opened:
        pass
    picture = draw_strip_picture(opened, place.clips(), view_of(request), time_s)
    return Response(picture, media_type="image/jpeg")


@contextmanager
def _use(place: LessonPlace, request: Request) -> Iterator[CorrectedLesson]:
    """Use the lesson, at other times of its clips where the address names some: ``?at=down_the_line:4.2``."""
    opened, key = state_of(request).opened, place.key()
    times = {}
    for said in request.query_params.getlist("at")[: len(VIEW_TITLES)]:
        view, _, time_s = said.partition(":")
        if view not in VIEW_TITLES:
            raise UsageError(f"There is no view {view!r:.30}. Load the page again.")
        times[cast(View, view)] = read_time(time_s)

    def open_there() -> CorrectedLesson:
        with opened.use(key, place.open) as at_first:
            return open_at_other_times(at_first, place.clips(), times)

    whole = (key, tuple(sorted(times.items()))) if times else key
    with opened.use(whole, open_there if times else place.open) as lesson:
        yield lesson


def _texts(_: Callable[[str], str]) -> dict[str, str]:
    """Return the texts that the scripts of the page show."""
    return {
        "butt": _("butt end of the grip"),
        "sole": _("sole of the putter"),
        "ball": _("ball"),
        "ground": _("ground beside the feet"),
        "length": _("end of the known length"),
        "target": _("point on the target line"),
        "back": _("back line, point"),
        "by_hand": _("by hand"),
        "moved": _("{name} moved to {u}, {v}."),
        "as_found": _("{name} is as found."),
        "measuring": _("Measuring …"),
        "measured": _("Measured with {count} by hand."),
        "nothing": _("Nothing is by hand: these are the numbers as found."),
        "not_measured": _("This was not measured, and the numbers are those before it."),
        "lost": _("The program on the computer cannot be reached. Nothing is lost: try again when it runs."),
        "keeping": _("Keeping …"),
        "not_kept": _("What was moved is not kept yet."),
        "length_needed": _("Type how many centimetres the known length has, for example 30."),
        "no_picture": _("No picture of this view may be shown; points and lines can be moved without it."),
        "no_findings": _("Nothing to change was found."),
        "no_ghost": _("The wanted setup cannot be drawn over this still."),
        "looking": _("Looking at this frame … it takes some seconds."),
        "setup": _("setup found"),
        "frame": _("Frame at {time}"),
        "likely": _("likely"),
        "no_number": _("no number"),
    }


def _routes(base: str, place: Callable[[Request], Any]) -> tuple[BaseRoute, ...]:
    return (
        Route(base, at_place(place, show)),
        Route(f"{base}/found", at_place(place, show_found)),
        Route(f"{base}/stills/{{view}}.jpg", at_place(place, show_still)),
        Route(f"{base}/strip/{{view}}", at_place(place, show_strip)),
        Route(f"{base}/strip/{{view}}/{{time}}.jpg", at_place(place, show_strip_picture)),
        Route(f"{base}/measure", at_place_with_body(place, measure), methods=["POST"]),
        Route(f"{base}/keep", at_place_with_body(place, keep), methods=["POST"]),
    )


ROUTES: Final[tuple[BaseRoute, ...]] = (
    *_routes("/lessons/{draft}/by-hand", DraftPlace),
    *_routes("/filed/{lesson}/by-hand", FiledPlace),
)
