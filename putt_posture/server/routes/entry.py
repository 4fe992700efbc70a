"""The way in: a one-time code becomes a cookie."""

from typing import Final

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putt_posture.server.access import COOKIE
from putt_posture.server.rendering import render, translate
from putt_posture.server.state import state_of

__all__ = ["ROUTES"]


def enter(request: Request) -> Response:
    """Exchange the code of the address for a cookie.

    Parameters
    ----------
    request : Request
    """
    cookie = state_of(request).access.exchange(request.query_params.get("code", ""))
    if cookie is None:
        says = translate(request)("This code is not known, or was used before. Take the address that was printed.")
        return render(request, "message.html.jinja", status=403, says=says)
    answer = RedirectResponse("/", status_code=303)
    answer.set_cookie(COOKIE, cookie, httponly=True, samesite="strict", secure=request.url.scheme == "https")
    return answer


ROUTES: Final = (Route("/enter", enter),)
