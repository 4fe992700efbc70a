"""Numbers while the student moves: the page, the stream of its camera's frames, and the moment that is held.

Frames are worked on and forgotten; only what is held goes into the lesson, as a clip that is measured like any other.
"""

import asyncio
import hashlib
import json
import threading
from collections.abc import Mapping
from contextlib import suppress
from typing import Any, Final, cast

import anyio
from attrs import evolve
from starlette.concurrency import run_in_threadpool
from starlette.requests import HTTPConnection, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect, WebSocketState

from putt_posture.clips.motion_jpeg import MOTION_JPEG_SUFFIX
from putt_posture.errors import PuttPostureError, UsageError
from putt_posture.live import LiveLesson, LiveOutcome, LivePipeline, decode_frame
from putt_posture.server.access import check_draft, open_to_phones
from putt_posture.server.drafts import Draft
from putt_posture.server.guards import takes_body
from putt_posture.server.live_exchange import (
    MOST_HELD_BYTES,
    HeldMessage,
    as_document,
    read_frame_message,
    read_held_message,
)
from putt_posture.server.phrases import in_page_words, texts_in_page_words
from putt_posture.server.rendering import render, translate
from putt_posture.server.state import ServerState, state_of
from putt_posture.services import check_hold, join_held, prepare_live
from putt_posture.services.coach_files import open_coach_file
from putt_posture.shown_units import show_lengths_in
from putt_posture.values import VIEW_TITLES, VIEWS, Handed, Point

__all__ = ["ROUTES"]

MOST_AT_ONCE: Final = 2
"""So many cameras are followed at once: each takes a processor and 400 MB."""
_going_on: Final = threading.BoundedSemaphore(MOST_AT_ONCE)
_TOO_MANY: Final = "Other cameras are live already. Close their pages first."


@open_to_phones
def show(request: Request) -> Response:
    """Show the page.

    Parameters
    ----------
    request : Request
    """
    draft = _draft(request)
    return render(
        request,
        "live.html.jinja",
        draft=draft,
        views=[(view, VIEW_TITLES[view]) for view in VIEWS],
        is_guest=draft.student is None,
        secure=_is_secure(request),
    )


@open_to_phones
async def follow(socket: WebSocket) -> None:
    """Take frames and answer with the student and the numbers.

    Parameters
    ----------
    socket : WebSocket
        The query has ``view``, ``handed`` and ``putter`` (``with`` or ``without``).
    """
    await socket.accept()
    if not _going_on.acquire(blocking=False):
        await _end(socket, translate(cast(Request, socket))(_TOO_MANY))
        return
    try:
        lesson = await run_in_threadpool(_lesson, socket)
        await _Exchange(socket, lesson).run()
        await _end(socket)
    except PuttPostureError as error:
        await _end(socket, in_page_words(str(error), translate(cast(Request, socket))))
    finally:
        _going_on.release()


@open_to_phones
@takes_body(MOST_HELD_BYTES)
async def hold(request: Request) -> Response:
    """Take the pictures of a still moment into the lesson.

    Parameters
    ----------
    request : Request
    """
    draft = await run_in_threadpool(_draft, request)
    upload = await run_in_threadpool(_keep, state_of(request), draft, await request.body())
    return JSONResponse({"upload": upload}, status_code=201)


def _keep(state: ServerState, draft: Draft, body: bytes) -> str:
    """Keep what was held as a clip of the draft; return the upload under which it is checked."""
    message = read_held_message(body)
    if draft.student is not None:
        with state.open_archive() as archive:
            check_hold(archive, draft.student, today=state.today())
    clip = join_held(message.held)
    upload = state.uploads.begin(
        draft=draft.id,
        view=message.view,
        size=len(clip),
        name=f"held{MOTION_JPEG_SUFFIX}",
        digest=hashlib.sha256(clip).hexdigest(),
    )
    receiver = state.uploads.receive(upload.id, offset=0)
    try:
        receiver.write(clip)
    finally:
        receiver.close()
    state.drafts.change(draft.id, **_learned(draft, message))
    state.uploads.check_when_whole(upload.id)
    return upload.id


def _learned(draft: Draft, message: HeldMessage) -> Mapping[str, Any]:
    """Return what the page says of the lesson: with or without a putter, and which way a guest putts."""
    learned: dict[str, Any] = {"without_putter": message.without_putter}
    if draft.student is None:
        learned["who"] = evolve(draft.who, handed=message.handed)
    return learned


class _Exchange:
    """One page and its pipeline."""

    def __init__(self, socket: WebSocket, lesson: LiveLesson) -> None:
        self._socket = socket
        self._say = translate(cast(Request, socket))
        self._units = state_of(socket).units
        self._loop = asyncio.get_running_loop()
        self._ready = asyncio.Event()
        self._newest: LiveOutcome | None = None
        self._last_ms = -float("inf")
        self._lesson = lesson

    async def run(self) -> None:
        """Go on until the page leaves, or the pipeline stops."""
        pipeline = LivePipeline(self._lesson, self._take)
        pipeline.start()
        tasks = [asyncio.create_task(self._receive(pipeline)), asyncio.create_task(self._send())]
        try:
            done, _ = await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
            for task in done:
                task.result()
        except (WebSocketDisconnect, RuntimeError):
            pass  # the page was closed, or left while something was sent
        finally:
            for task in tasks:
                task.cancel()
            with anyio.CancelScope(shield=True):  # also where the server itself stops
                await asyncio.gather(*tasks, return_exceptions=True)
                await run_in_threadpool(pipeline.close)

    def _take(self, outcome: LiveOutcome) -> None:
        """Keep the newest outcome for the page; called in a thread of the pipeline."""

        def keep() -> None:
            if self._newest is None or not self._newest.error:
                self._newest = outcome
            self._ready.set()

        with suppress(RuntimeError):  # the server is closing
            self._loop.call_soon_threadsafe(keep)

    async def _receive(self, pipeline: LivePipeline) -> None:
        while True:
            message = await self._socket.receive()
            if message["type"] == "websocket.disconnect":
                return
            if message.get("bytes") is not None:
                self._offer(pipeline, message["bytes"])
            elif message.get("text") is not None:
                pipeline.choose(_read_choice(message["text"]))

    def _offer(self, pipeline: LivePipeline, data: bytes) -> None:
        frame = read_frame_message(data)
        if frame.time_ms <= self._last_ms:  # overtaken on the way
            return
        self._last_ms = frame.time_ms
        pipeline.offer(lambda: decode_frame(frame.jpeg, time_s=frame.time_ms / 1000))

    async def _send(self) -> None:
        while True:
            await self._ready.wait()
            self._ready.clear()
            outcome, self._newest = self._newest, None
            if outcome is None:
                continue
            with show_lengths_in(self._units):
                document = as_document(outcome, say=self._say, view=self._lesson.view)
            document = texts_in_page_words(document, self._say)
            await self._socket.send_text(json.dumps(document))
            if outcome.error:
                return


def _read_choice(text: str) -> Point | None:
    """Read a point on the student, or none, as the page sends it."""
    try:
        at = json.loads(text)["choose"]
        return None if at is None else (float(at[0]), float(at[1]))
    except (ValueError, KeyError, TypeError, IndexError, RecursionError):
        raise UsageError("The point on the student cannot be read. Point at the student once more.") from None


def _lesson(socket: WebSocket) -> LiveLesson:
    state, draft, asked = state_of(socket), _draft(socket), socket.query_params
    view, handed = asked.get("view", VIEWS[0]), asked.get("handed", draft.who.handed)
    if view not in VIEWS or handed not in ("right", "left"):
        raise UsageError("The page asked for a view that there is not. Open it again.")
    coach = None if state.coach_file is None else open_coach_file(state.coach_file)
    return prepare_live(
        evolve(draft.who, handed=cast(Handed, handed)),
        view=view,
        coach=coach,
        interview=draft.interview,
        without_putter=asked.get("putter") == "without",
    )


def _draft(connection: HTTPConnection) -> Draft:
    id = connection.path_params["draft"]
    check_draft(connection, id)
    return state_of(connection).drafts.load(id)


async def _end(socket: WebSocket, says: str = "") -> None:
    """Say why there is nothing more, if there is something to say, and close."""
    if WebSocketState.CONNECTED is socket.application_state is socket.client_state:
        with suppress(RuntimeError, WebSocketDisconnect):
            if says:
                await socket.send_text(json.dumps({"error": says}))
            await socket.close()


def _is_secure(request: Request) -> bool:
    """Tell whether the browser gives its camera to this page: on this computer, or over TLS."""
    host = request.url.hostname or ""
    return request.url.scheme == "https" or host in ("localhost", "127.0.0.1", "::1")


ROUTES: Final[tuple[BaseRoute, ...]] = (
    Route("/lessons/{draft}/live", show),
    WebSocketRoute("/lessons/{draft}/live/frames", follow),
    Route("/lessons/{draft}/live/hold", hold, methods=["POST"]),
)
