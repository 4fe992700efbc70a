"""The first page: lessons at hand, students, and how to begin."""

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from putt_posture.archive import load_overview
from putt_posture.errors import ArchiveError
from putt_posture.server.rendering import render
from putt_posture.server.state import state_of

__all__ = ["ROUTES"]


def start(request: Request) -> Response:
    """Show the first page.

    Parameters
    ----------
    request : Request
    """
    state = state_of(request)
    try:
        with state.open_archive() as archive:
            overview = load_overview(archive, today=state.today())
    except ArchiveError:
        overview = None
    return render(request, "start.html.jinja", overview=overview, drafts=state.drafts.list())


ROUTES: Final = (Route("/", start),)
