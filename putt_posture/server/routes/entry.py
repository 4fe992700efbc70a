"""The way in: a one-time code becomes a cookie.

Whoever only looks at the address takes nothing from it: a program that shows a preview of it, for one. The code is used
by the button of the page, which this computer's own browser presses by itself.
"""

from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from putt_posture.server.access import Session
from putt_posture.server.guards import is_here, takes_body
from putt_posture.server.rendering import render, translate
from putt_posture.server.state import state_of

__all__ = ["ROUTES"]

_MOST_BYTES: Final = 2000


def show(request: Request) -> Response:
    """Show the button that uses the code of the address, or a field for a code that is typed.

    Parameters
    ----------
    request : Request
    """
    session = request.scope["session"]
    if session is not None and session.role == "coach":
        return RedirectResponse("/", status_code=303)
    code = request.query_params.get("code", "")[:100]
    return render(request, "enter.html.jinja", code=code, by_itself=bool(code) and is_here(request), says="")


@takes_body(_MOST_BYTES)
async def enter(request: Request) -> Response:
    """Exchange a code for a cookie, and go to the first page, or to the lesson at hand.

    Parameters
    ----------
    request : Request
    """
    access = state_of(request).access
    async with request.form(max_files=0, max_fields=5) as form:
        code = form.get("code", "")
    found = await run_in_threadpool(
        access.exchange,
        code if isinstance(code, str) else "",
        address=request.client.host if request.client else "",
        is_here=is_here(request),
    )
    if found is None:
        say = translate(request)
        says = say("This code is not known, was used before, or is too old. Take the one shown now.")
        return render(request, "enter.html.jinja", status=403, code="", by_itself=False, says=says)
    cookie, session = found
    answer = RedirectResponse(_first_page(session), status_code=303)
    answer.set_cookie(
        access.cookie,
        cookie,
        httponly=True,
        samesite="strict",
        secure=request.url.scheme == "https",
        max_age=round(session.until - access.clock()),
    )
    return answer


def _first_page(session: Session) -> str:
    return "/" if session.role == "coach" else f"/lessons/{session.draft}"


ROUTES: Final[tuple[BaseRoute, ...]] = (Route("/enter", show), Route("/enter", enter, methods=["POST"]))
