"""What every request has to pass, and the headers of every answer.

The host has to be one of this server's, so that no other site can point its name here. What changes something has to
come from a page of this server. Whoever has no session sees nothing but the way in.
"""

from typing import Final
from urllib.parse import urlsplit

from starlette.datastructures import MutableHeaders
from starlette.requests import HTTPConnection
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from putt_posture.pages.setting import SLIDER_HASH
from putt_posture.server.access import COOKIE
from putt_posture.server.state import state_of

__all__ = ["Guard"]

POLICY: Final = (
    f"default-src 'self'; script-src 'self' {SLIDER_HASH}; img-src 'self' data: blob:; media-src 'self' blob:; "
    "frame-ancestors 'self'; base-uri 'none'; form-action 'self'; object-src 'none'"
)
"""Scripts and styles of this server alone, and the few lines that move the line between before and after."""
_HEADERS: Final = {
    "content-security-policy": POLICY,
    "referrer-policy": "same-origin",
    "x-content-type-options": "nosniff",
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), microphone=(), geolocation=()",
}
_SAFE: Final = ("GET", "HEAD")
_OPEN: Final = ("/enter", "/static/")
"""What is shown to whoever has no session."""


class Guard:
    """The middleware that refuses, and sets headers.

    Parameters
    ----------
    app : ASGIApp
        What it guards.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        connection = HTTPConnection(scope)
        refused = _refuse(connection)
        scope["session"] = state_of(connection).access.find(connection.cookies.get(COOKIE))
        if not refused and scope["session"] is None and not scope["path"].startswith(_OPEN):
            refused = 403, "This page is open only to whoever came in by the address that the program printed."
        if refused:
            if scope["type"] == "websocket":
                await send({"type": "websocket.close", "code": 1008})
                return
            await PlainTextResponse(refused[1], status_code=refused[0])(scope, receive, _with_headers(send))
            return
        await self._app(scope, receive, _with_headers(send))


def _refuse(connection: HTTPConnection) -> tuple[int, str] | None:
    state, host = state_of(connection), connection.headers.get("host", "")
    if host not in state.hosts:
        return 421, "This server is not asked for by that name."
    origin = connection.headers.get("origin")
    changes = connection.scope["type"] == "websocket" or connection.scope["method"] not in _SAFE
    if changes and (origin is None or urlsplit(origin).netloc != host):
        return 403, "This was sent from another page, and is not done."
    return None


def _with_headers(send: Send) -> Send:
    async def send_with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return send_with_headers
