"""What every request has to pass, and the headers of every answer.

The host has to be one of this server's, so that no other site can point its name here. What changes something has to
come from a page of this server. Whoever has no session sees nothing but the way in; a phone only what is open to
phones; a coach comes from this computer alone. Bodies are limited in size and time, requests in their rate.
"""

import asyncio
import ipaddress
import logging
from collections.abc import Callable
from typing import Final, TypeVar
from urllib.parse import urlsplit

from starlette.datastructures import MutableHeaders
from starlette.requests import HTTPConnection, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Match, Mount
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from putt_posture.pages.setting import SLIDER_HASH
from putt_posture.server.access import Session
from putt_posture.server.languages import mark as _
from putt_posture.server.limits import Rate
from putt_posture.server.rendering import render, translate, wants_json
from putt_posture.server.state import state_of
from putt_posture.shown_units import show_lengths_in

__all__ = ["Guard", "is_here", "takes_body"]

T = TypeVar("T")
POLICY: Final = (
    f"default-src 'self'; script-src 'self' {SLIDER_HASH}; img-src 'self' data: blob:; media-src 'self' blob:; "
    "frame-ancestors 'self'; base-uri 'none'; form-action 'self'; object-src 'none'"
)
"""Scripts and styles of this server alone, and the few lines that move the line between before and after."""
_HEADERS: Final = {
    "content-security-policy": POLICY,
    "referrer-policy": "same-origin",  # with "no-referrer" a browser sends forms with the origin "null"
    "x-content-type-options": "nosniff",
    "x-frame-options": "SAMEORIGIN",
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), microphone=(), geolocation=()",
}
_SAFE: Final = ("GET", "HEAD")
_STATIC: Final = "/static/"
_OPEN: Final = ("/enter", _STATIC)
"""What is shown to whoever has no session."""
MOST_BYTES: Final = 2_000_000
"""Largest body of a request, unless its endpoint says otherwise: forms, and points that were dragged."""
BODY_S: Final = 30.0
"""How long a body may take to arrive, s."""
_log: Final = logging.getLogger("uvicorn.error")


class _Refused(Exception):
    def __init__(self, status: int, says: str) -> None:
        super().__init__(says)
        self.status, self.says = status, says


def takes_body(most_bytes: int | None, *, within_s: float | None = BODY_S) -> Callable[[T], T]:
    """Mark an endpoint that takes larger bodies than others.

    Parameters
    ----------
    most_bytes : int or None
        None if the endpoint counts by itself.
    within_s : float or None
        How long the body may take, s; None if the endpoint limits that by itself.
    """

    def mark(endpoint: T) -> T:
        endpoint.body_limits = (most_bytes, within_s)  # type: ignore[attr-defined]
        return endpoint

    return mark


def is_here(connection: HTTPConnection) -> bool:
    """Return whether a request came over the loopback address, that is, from this computer.

    Parameters
    ----------
    connection : HTTPConnection
    """
    server = connection.scope.get("server")
    try:
        return server is not None and ipaddress.ip_address(server[0]).is_loopback
    except ValueError:
        return False


class Guard:
    """The middleware that refuses, and sets headers.

    Parameters
    ----------
    app : ASGIApp
        What it guards.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._strangers = Rate(most=60, per_s=2)
        self._guests = Rate(most=400, per_s=100)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        connection = HTTPConnection(scope)
        started = False

        async def send_guarded(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                _set_headers(message, path=scope["path"])
            await send(message)

        try:
            with show_lengths_in(state_of(connection).units):
                receive = self._let_in(connection, receive)
                await self._app(scope, receive, send_guarded)
        except _Refused as refused:
            if scope["type"] == "websocket":
                await send({"type": "websocket.close", "code": 1008})
            elif not started:
                await _answer(scope, refused)(scope, receive, send_guarded)
        except Exception as error:
            if scope["type"] == "http" and not started:
                says = _("Something went wrong inside the program. What was stored is kept. Go back and try again.")
                await _answer(scope, _Refused(500, says))(scope, receive, send_guarded)
            _log.error("%s %s: %s: %s", scope.get("method", ""), scope["path"], type(error).__name__, error)
            raise

    def _let_in(self, connection: HTTPConnection, receive: Receive) -> Receive:
        """Refuse, or return where the limited body comes from."""
        state, scope = state_of(connection), connection.scope
        scope["session"] = None
        _check_host(connection)
        session = state.access.find(connection.cookies.get(state.access.cookie))
        if session is not None and session.role == "coach" and not is_here(connection):
            session = None
        scope["session"] = session
        self._check_rate(connection, session)
        _check_origin(connection)
        if session is None and not scope["path"].startswith(_OPEN):
            raise _Refused(403, _("This page is open only to whoever came in by the address that the program showed."))
        endpoint, draft = _find_endpoint(scope)
        if session is not None and session.role == "phone" and not scope["path"].startswith(_OPEN):
            own = draft is None or draft == session.draft
            if not own or not getattr(endpoint, "open_to_phones", False):
                says = _("A phone may only film and look at the lesson at hand. Look at this on the coach's computer.")
                raise _Refused(403, says)
        if scope["type"] == "websocket":
            return receive
        most_bytes, within_s = getattr(endpoint, "body_limits", (MOST_BYTES, BODY_S))
        return _limit_body(connection, receive, most_bytes=most_bytes, within_s=within_s)

    def _check_rate(self, connection: HTTPConnection, session: Session | None) -> None:
        if connection.scope["path"].startswith(_STATIC):
            return
        if session is not None:
            within = self._guests.take(session.key)
        else:
            within = self._strangers.take(connection.client.host if connection.client else "")
        if not within:
            raise _Refused(429, _("That was asked too often. Wait a moment."))


def _check_host(connection: HTTPConnection) -> None:
    """Refuse any other name of the host, and one of this computer's names that comes from outside."""
    host = connection.headers.get("host", "").lower()
    if host not in state_of(connection).hosts:
        raise _Refused(421, _("This server is not asked for by that name."))
    server = connection.scope.get("server")
    name = urlsplit(f"//{host}").hostname
    if server is not None and name != server[0] and not (name == "localhost" and is_here(connection)):
        raise _Refused(421, _("This server is not asked for by that name."))


def _check_origin(connection: HTTPConnection) -> None:
    if connection.scope["type"] != "websocket" and connection.scope["method"] in _SAFE:
        return
    origin = urlsplit(connection.headers.get("origin", ""))
    scheme = connection.url.scheme.replace("ws", "http")
    if origin.netloc != connection.headers.get("host") or origin.scheme != scheme:
        raise _Refused(403, _("This was sent from another page, and is not done."))


def _find_endpoint(scope: Scope) -> tuple[object, str | None]:
    """Return the endpoint that will answer, and the draft in its address."""
    for route in scope["app"].routes:
        match, more = route.matches(scope)
        if match is Match.FULL:
            if isinstance(route, Mount):
                return None, None
            return more.get("endpoint"), more.get("path_params", {}).get("draft")
    return None, None


def _limit_body(
    connection: HTTPConnection, receive: Receive, *, most_bytes: int | None, within_s: float | None
) -> Receive:
    """Return where the body comes from, cut off where it is too large or takes too long."""
    told = connection.headers.get("content-length", "0")
    too_large = _Refused(413, _("That is larger than what this page takes."))
    if most_bytes is not None and told.isdigit() and int(told) > most_bytes:
        raise too_large
    count, whole = 0, False
    loop = asyncio.get_running_loop()
    until = None if within_s is None else loop.time() + within_s

    async def receive_limited() -> Message:
        nonlocal count, whole
        if whole or until is None:
            message = await receive()
        else:
            try:
                message = await asyncio.wait_for(receive(), max(0.0, until - loop.time()))
            except TimeoutError:
                raise _Refused(408, _("That took too long to arrive. Try again.")) from None
        if message["type"] == "http.request":
            count += len(message.get("body", b""))
            whole = whole or not message.get("more_body", False)
            if most_bytes is not None and count > most_bytes:
                raise too_large
        return message

    return receive_limited


def _answer(scope: Scope, refused: _Refused) -> Response:
    request = Request(scope)
    says = translate(request)(refused.says)
    headers = {"retry-after": "5"} if refused.status == 429 else None
    if wants_json(request):
        return JSONResponse({"says": says}, status_code=refused.status, headers=headers)
    answer = render(request, "message.html.jinja", status=refused.status, says=says)
    answer.headers.update(headers or {})
    return answer


def _set_headers(message: Message, *, path: str) -> None:
    headers = MutableHeaders(scope=message)
    if path.startswith(_STATIC):
        headers.setdefault("cache-control", "no-cache")  # kept, and asked for again: it changes with the version
    for name, value in _HEADERS.items():
        headers.setdefault(name, value)
