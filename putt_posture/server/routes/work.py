"""Long work: how far it is, as a stream of events, and how it is cancelled. A page uses ``static/work.js``."""

import asyncio
import json
from collections.abc import AsyncIterator, Mapping
from typing import Any, Final

from sse_starlette import EventSourceResponse
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from putt_posture.server.access import check_draft, open_to_phones
from putt_posture.server.phrases import texts_in_page_words
from putt_posture.server.rendering import translate, wants_json
from putt_posture.server.state import state_of
from putt_posture.server.work import LongWork

__all__ = ["ROUTES"]

_STEP_S: Final = 0.2
_LEAST_OFTEN_S: Final = 1.0
"""An event is sent when something changed, and at least this often, so that the time left goes on."""


@open_to_phones
def show(request: Request) -> Response:
    """Say how far the work is.

    Parameters
    ----------
    request : Request
    """
    return JSONResponse(_describe(request, _find(request)))


@open_to_phones
async def follow(request: Request) -> Response:
    """Send an event ``work`` whenever the work is further; the last has the state done, failed or cancelled.

    Parameters
    ----------
    request : Request
    """
    return EventSourceResponse(_events(request, _find(request)))


@open_to_phones
def cancel(request: Request) -> Response:
    """Stop the work; answer when nothing of it is left.

    Parameters
    ----------
    request : Request
    """
    work = _find(request)
    state_of(request).work.cancel(work.id)
    if wants_json(request):
        return JSONResponse(_describe(request, work))
    return RedirectResponse(f"/lessons/{work.name}", status_code=303)


async def _events(request: Request, work: LongWork) -> AsyncIterator[dict[str, str]]:
    last, waited = None, _LEAST_OFTEN_S
    access, session = state_of(request).access, request.scope["session"]
    while access.lasts(session):  # a phone may be shut out meanwhile
        ended = work.has_ended
        now = _describe(request, work)
        if now != last or waited >= _LEAST_OFTEN_S:
            yield {"event": "work", "data": json.dumps(now, ensure_ascii=False)}
            last, waited = now, 0.0
        if ended:
            return
        await asyncio.sleep(_STEP_S)
        waited += _STEP_S


def _find(request: Request) -> LongWork:
    work = state_of(request).work.find(request.path_params["id"])
    check_draft(request, work.name)
    return work


def _describe(request: Request, work: LongWork) -> Mapping[str, Any]:
    say = translate(request)
    told = work.as_document()
    described: Mapping[str, Any] = texts_in_page_words({**told, "what": say(told["what"]) if told["what"] else ""}, say)
    return described


ROUTES: Final[tuple[BaseRoute, ...]] = (
    Route("/work/{id}", show),
    Route("/work/{id}/events", follow),
    Route("/work/{id}/cancel", cancel, methods=["POST"]),
)
