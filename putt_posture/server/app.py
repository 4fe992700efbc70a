"""The app: routes, guards and what they share, put together."""

import mimetypes
from importlib import resources
from pathlib import Path
from typing import Final

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from putt_posture.errors import NotAllowed, NotInArchive, PuttPostureError
from putt_posture.server.guards import Guard
from putt_posture.server.rendering import answer_json, render, stylesheet, translate, wants_json
from putt_posture.server.routes import (
    by_hand,
    coach_settings,
    entry,
    fit,
    history,
    keeping,
    kept,
    lesson,
    live,
    personal_data,
    phone,
    settings,
    start,
    stroke,
    students,
    uploads,
    work,
)
from putt_posture.server.state import ServerState

__all__ = ["create_app"]

for _ending, _kind in ((".js", "text/javascript"), (".mjs", "text/javascript"), (".wasm", "application/wasm")):
    mimetypes.add_type(_kind, _ending)  # the registry of Windows may say something else
_ROOMS: Final = (
    by_hand,
    coach_settings,
    entry,
    fit,
    history,
    keeping,
    kept,
    lesson,
    live,
    personal_data,
    phone,
    settings,
    start,
    stroke,
    students,
    uploads,
    work,
)


def create_app(state: ServerState) -> Starlette:
    """Return the app.

    Parameters
    ----------
    state : ServerState
    """
    static = Path(str(resources.files("putt_posture.server") / "static"))
    routes: list[BaseRoute] = [
        Route("/static/style.css", _style),
        Mount("/static", StaticFiles(directory=static)),
        *(route for room in _ROOMS for route in room.ROUTES),
    ]
    app = Starlette(
        routes=routes,
        middleware=[Middleware(Guard)],
        exception_handlers={PuttPostureError: _say, 404: _say_missing},
    )
    app.state.shared = state
    return app


def _style(_request: Request) -> Response:
    return Response(stylesheet(), media_type="text/css")


def _say(request: Request, error: Exception) -> Response:
    """Say an error of the project in a sentence: on a page, or in JSON to a script that asks for it."""
    status = 403 if isinstance(error, NotAllowed) else 404 if isinstance(error, NotInArchive) else 400
    status = getattr(error, "status", status)
    if wants_json(request):
        return answer_json(request, {"says": str(error)}, status=status)
    return render(request, "message.html.jinja", status=status, says=str(error))


def _say_missing(request: Request, _error: Exception) -> Response:
    say = translate(request)
    says = say("There is no such page. Go back to the start.")
    if wants_json(request):
        return answer_json(request, {"says": says}, status=404)
    return render(request, "message.html.jinja", status=404, says=says)
