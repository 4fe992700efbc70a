"""What is put right by hand: points dragged on the still, of a lesson at hand or of a filed one."""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, Protocol, cast

from attrs import frozen
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.errors import NotInArchive, UsageError
from putt_posture.figures import format_time
from putt_posture.server.by_hand import MOST_BYTES, as_given, describe_corrected, describe_opened
from putt_posture.server.rendering import answer_json, render, translate
from putt_posture.server.state import state_of
from putt_posture.services.correcting import (
    CorrectedLesson,
    correct,
    find_filed_state,
    keep_corrected,
    keep_filed_corrected,
    open_filed_for_correcting,
    open_folder_for_correcting,
)
from putt_posture.services.other_frames import draw_strip_picture, list_strip, open_at_other_times
from putt_posture.values import VIEW_TITLES, View

__all__ = ["ROUTES"]

_TIME: Final = re.compile(r"[0-9]{1,5}(\.[0-9]{1,20})?")


class _Place(Protocol):
    """Where a lesson is that is put right: a draft, or the archive."""

    address: str
    """Of the page of the lesson."""

    def key(self) -> object:
        """Return what tells this state of the lesson from others."""

    def open(self) -> CorrectedLesson:
        """Open the lesson."""

    def clips(self) -> dict[View, Path]:
        """Return the clips that are there."""

    def keep(self, opened: CorrectedLesson, body: bytes) -> str:
        """Keep what is given by hand, and return a sentence."""


@frozen
class _DraftPlace:
    """A lesson at hand: its result folder."""

    request: Request

    @property
    def id(self) -> str:
        return str(self.request.path_params["draft"])

    @property
    def address(self) -> str:
        return f"/lessons/{self.id}"

    def key(self) -> object:
        drafts = state_of(self.request).drafts
        drafts.load(self.id)
        document = drafts.result_folder(self.id) / "measures.json"
        if not document.is_file():
            raise UsageError("This lesson was not measured yet. Measure its clips first.")
        return "draft", self.id, document.stat().st_mtime_ns

    def open(self) -> CorrectedLesson:
        return open_folder_for_correcting(state_of(self.request).drafts.result_folder(self.id))

    def clips(self) -> dict[View, Path]:
        drafts = state_of(self.request).drafts
        folder = drafts.clips_folder(self.id)
        return {view: folder / name for view, name in drafts.load(self.id).clips.items()}

    def keep(self, opened: CorrectedLesson, body: bytes) -> str:
        folder = state_of(self.request).drafts.result_folder(self.id)
        keep_corrected(opened, as_given(body, opened), folder, clips=self.clips())
        return translate(self.request)("It is kept: numbers, report and pictures are made anew.")


@frozen
class _FiledPlace:
    """A lesson of the archive: its result that counts."""

    request: Request

    @property
    def number(self) -> int:
        said = str(self.request.path_params["lesson"])
        if not said.isascii() or not said.isdecimal() or len(said) > 12:
            raise NotInArchive(f"There is no lesson {said!r:.20}.")
        return int(said)

    @property
    def address(self) -> str:
        return f"/filed/{self.number}"

    def key(self) -> object:
        state = state_of(self.request)
        with state.open_archive() as archive:
            return "filed", find_filed_state(archive, self.number, today=state.today())

    def open(self) -> CorrectedLesson:
        state = state_of(self.request)
        with state.open_archive() as archive:
            return open_filed_for_correcting(archive, self.number, today=state.today())

    def clips(self) -> dict[View, Path]:
        return {}  # other frames are chosen while a lesson is at hand

    def keep(self, opened: CorrectedLesson, body: bytes) -> str:
        state = state_of(self.request)
        with state.open_archive() as archive:
            done = keep_filed_corrected(archive, self.number, as_given(body, opened), today=state.today())
        if not done:
            return done.says
        return translate(self.request)("It is filed beside the first result, and counts in its place.")


def show(place: _Place, request: Request) -> Response:
    """Show the page.

    Parameters
    ----------
    place : _Place
    request : Request
    """
    with state_of(request).opened.use(place.key(), place.open) as opened:
        views = [(view, VIEW_TITLES[view]) for view in opened.found.views]
        says, title = opened.says, opened.title
    draft = state_of(request).drafts.load(place.id) if isinstance(place, _DraftPlace) else None
    return render(
        request, "by_hand.html.jinja", address=place.address, views=views, says=says, title=title, draft=draft,
        texts=_texts(translate(request)),
    )  # fmt: skip


def show_found(place: _Place, request: Request) -> Response:
    """Send what was found, and the lesson as it is kept.

    Parameters
    ----------
    place : _Place
    request : Request
    """
    _ = translate(request)
    with _use(place, request) as opened:
        described = describe_opened(opened, address=f"{place.address}/by-hand", _=_, query=request.url.query)
        now = describe_corrected(correct(opened, opened.given), opened, _=_)
    return answer_json(request, {**described, "now": now, "colours": dict(PART_COLOURS)})


def show_still(place: _Place, request: Request) -> Response:
    """Send the still of a view without marks.

    Parameters
    ----------
    place : _Place
    request : Request
    """
    view = cast(View, request.path_params["view"])
    with _use(place, request) as opened:
        still = opened.stills.get(view)
    if still is None:
        raise NotInArchive("There is no picture of this view that may be shown.")
    return Response(still.jpeg, media_type="image/jpeg")


def measure(place: _Place, request: Request, body: bytes) -> Response:
    """Measure with what is given by hand.

    Parameters
    ----------
    place : _Place
    request : Request
    body : bytes
    """
    with _use(place, request) as opened:
        corrected = correct(opened, as_given(body, opened))
        return answer_json(request, describe_corrected(corrected, opened, _=translate(request)))


def keep(place: _Place, request: Request, body: bytes) -> Response:
    """Keep what is given by hand.

    Parameters
    ----------
    place : _Place
    request : Request
    body : bytes
    """
    with _use(place, request) as opened:
        says = place.keep(opened, body)
    return answer_json(request, {"says": says, "address": place.address})


def show_strip(place: _Place, request: Request) -> Response:
    """Send the frames of a clip from which another can be chosen.

    Parameters
    ----------
    place : _Place
    request : Request
    """
    view = _view_of(request)
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


def show_strip_picture(place: _Place, request: Request) -> Response:
    """Send a small picture of a clip.

    Parameters
    ----------
    place : _Place
    request : Request
    """
    time_s = _read_time(request.path_params["time"])
    with state_of(request).opened.use(place.key(), place.open) as opened:
        pass
    picture = draw_strip_picture(opened, place.clips(), _view_of(request), time_s)
    return Response(picture, media_type="image/jpeg")


@contextmanager
def _use(place: _Place, request: Request) -> Iterator[CorrectedLesson]:
    """Use the lesson, at other times of its clips where the address names some: ``?at=down_the_line:4.2``."""
    opened, key = state_of(request).opened, place.key()
    times = {}
    for said in request.query_params.getlist("at")[: len(VIEW_TITLES)]:
        view, _, time_s = said.partition(":")
        if view not in VIEW_TITLES:
            raise UsageError(f"There is no view {view!r:.30}. Load the page again.")
        times[cast(View, view)] = _read_time(time_s)

    def open_there() -> CorrectedLesson:
        with opened.use(key, place.open) as at_first:
            return open_at_other_times(at_first, place.clips(), times)

    whole = (key, tuple(sorted(times.items()))) if times else key
    with opened.use(whole, open_there if times else place.open) as lesson:
        yield lesson


def _view_of(request: Request) -> View:
    view = request.path_params["view"]
    if view not in VIEW_TITLES:
        raise NotInArchive(f"There is no view {view!r:.30}.")
    return cast(View, view)


def _read_time(text: str) -> float:
    if not _TIME.fullmatch(text):
        raise UsageError(f"{text!r:.30} is no time of a clip. Give seconds, such as 4.2.")
    return float(text)


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


def _with(place: Callable[[Request], Any], act: Callable[[Any, Request], Response]) -> Callable[[Request], Response]:
    """Return a route that is asked for something."""

    def act_there(request: Request) -> Response:
        return act(place(request), request)

    return act_there


def _with_body(place: Callable[[Request], Any], act: Callable[[Any, Request, bytes], Response]) -> Any:
    """Return a route that is sent something, and answers in the thread pool."""

    async def act_with_body(request: Request) -> Response:
        parts, size = [], 0
        async for part in request.stream():
            size += len(part)
            if size > MOST_BYTES:
                raise UsageError(f"The page sent more than {MOST_BYTES} bytes. Load it again.")
            parts.append(part)
        return await run_in_threadpool(act, place(request), request, b"".join(parts))

    return act_with_body


def _routes(base: str, place: Callable[[Request], Any]) -> tuple[BaseRoute, ...]:
    return (
        Route(base, _with(place, show)),
        Route(f"{base}/found", _with(place, show_found)),
        Route(f"{base}/stills/{{view}}.jpg", _with(place, show_still)),
        Route(f"{base}/strip/{{view}}", _with(place, show_strip)),
        Route(f"{base}/strip/{{view}}/{{time}}.jpg", _with(place, show_strip_picture)),
        Route(f"{base}/measure", _with_body(place, measure), methods=["POST"]),
        Route(f"{base}/keep", _with_body(place, keep), methods=["POST"]),
    )


ROUTES: Final[tuple[BaseRoute, ...]] = (
    *_routes("/lessons/{draft}/by-hand", _DraftPlace),
    *_routes("/filed/{lesson}/by-hand", _FiledPlace),
)
