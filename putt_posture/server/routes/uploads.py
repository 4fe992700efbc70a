"""Clips that arrive: announced, sent in pieces, resumed, cancelled. The exchange is that of tus 1.0.

A page uses ``static/upload.js``. Whatever speaks tus can send clips as well, with the ``Upload-Metadata`` draft, view
and filename.
"""

import asyncio
import base64
from collections.abc import AsyncIterator
from typing import Any, Final

import anyio
from attrs import asdict
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from putt_posture.server.access import check_draft, open_to_phones
from putt_posture.server.guards import takes_body
from putt_posture.server.receiving import Receiver, UploadRefused
from putt_posture.server.rendering import answer_json
from putt_posture.server.state import state_of
from putt_posture.server.uploads import UploadStatus

__all__ = ["ROUTES"]

_PROTOCOL: Final = {"tus-resumable": "1.0.0"}
_PIECE: Final = "application/offset+octet-stream"
_BUFFER_BYTES: Final = 1 << 19
_IDLE_S: Final = 60.0
"""A sender that sends nothing for this long has lost its network, s."""


@open_to_phones
async def begin(request: Request) -> Response:
    """Announce a clip: JSON with draft, view, size, name and perhaps digest, or the headers of tus.

    Parameters
    ----------
    request : Request
    """
    state, told = state_of(request), await _read_announcement(request)
    check_draft(request, told["draft"])
    upload = await run_in_threadpool(state.uploads.begin, **told)
    headers = {**_PROTOCOL, "location": f"/uploads/{upload.id}"}
    return JSONResponse({"id": upload.id}, status_code=201, headers=headers)


@open_to_phones
def follow(request: Request) -> Response:
    """Say how far a clip is: to HEAD in headers, as tus does, to GET in JSON.

    Parameters
    ----------
    request : Request
    """
    status = _find(request)
    headers = {**_PROTOCOL, "upload-offset": str(status.offset), "upload-length": str(status.size)}
    return answer_json(request, asdict(status), headers=headers)


@open_to_phones
def follow_all(request: Request) -> Response:
    """Say how far all clips of a draft are.

    Parameters
    ----------
    request : Request
    """
    state, draft = state_of(request), request.path_params["draft"]
    state.drafts.load(draft)
    return answer_json(request, [asdict(each) for each in state.uploads.list(draft)])


@open_to_phones
@takes_body(None, within_s=None)
async def receive(request: Request) -> Response:
    """Take a piece. What was acknowledged is on the disk, also where the network is lost in the middle.

    Parameters
    ----------
    request : Request
    """
    state, id = state_of(request), request.path_params["id"]
    await run_in_threadpool(_find, request)
    if request.headers.get("content-type") != _PIECE:
        raise UploadRefused(f"A piece of a clip is sent as {_PIECE}.", status=415)
    offset = _read_number(request.headers.get("upload-offset"))
    receiver = await run_in_threadpool(state.uploads.receive, id, offset=offset)
    try:
        await _write_all(request, receiver)
    finally:
        with anyio.CancelScope(shield=True):
            offset = await run_in_threadpool(receiver.close)
    await run_in_threadpool(state.uploads.check_when_whole, id)
    return Response(status_code=204, headers={**_PROTOCOL, "upload-offset": str(offset)})


@open_to_phones
def cancel(request: Request) -> Response:
    """Cancel an upload and erase what arrived.

    Parameters
    ----------
    request : Request
    """
    state_of(request).uploads.erase(_find(request).id)
    return Response(status_code=204, headers=_PROTOCOL)


async def _write_all(request: Request, receiver: Receiver) -> None:
    """Write the body in pieces of a fixed size, in the thread pool, so that memory stays flat."""
    buffer = bytearray()
    try:
        async for data in _read_body(request):
            buffer += data
            if len(buffer) >= _BUFFER_BYTES:
                await run_in_threadpool(receiver.write, bytes(buffer))
                buffer.clear()
    except (ClientDisconnect, TimeoutError):
        pass  # what arrived counts
    if buffer:
        await run_in_threadpool(receiver.write, bytes(buffer))


async def _read_body(request: Request) -> AsyncIterator[bytes]:
    body = request.stream().__aiter__()
    while True:
        try:
            yield await asyncio.wait_for(anext(body), _IDLE_S)
        except StopAsyncIteration:
            return


def _find(request: Request) -> UploadStatus:
    """Return how far the upload of the address is, if whoever asks may know it."""
    state, id = state_of(request), request.path_params["id"]
    check_draft(request, id[:16])
    return state.uploads.status(id)


async def _read_announcement(request: Request) -> dict[str, Any]:
    if "upload-length" in request.headers:
        told = _read_metadata(request.headers.get("upload-metadata", ""))
        size: object = _read_number(request.headers["upload-length"])
        name: object = told.get("filename", "")
    else:
        try:
            told = await request.json()
            size, name = told.get("size"), told.get("name", "")
        except (ValueError, AttributeError, RecursionError):
            raise UploadRefused("What was announced of the clip is not JSON.", status=400) from None
    found = {"draft": told.get("draft"), "view": told.get("view"), "size": size, "name": name}
    kinds = {"draft": str, "view": str, "size": int, "name": str}
    for key, kind in kinds.items():
        if not isinstance(found[key], kind) or isinstance(found[key], bool):
            raise UploadRefused(f"What was announced of the clip lacks its {key}.", status=400)
    digest = told.get("digest")
    return {**found, "digest": digest if isinstance(digest, str) else None}


def _read_metadata(text: str) -> dict[str, str]:
    """Read the header ``Upload-Metadata`` of tus: names with values in base64, with commas in between."""
    found = {}
    try:
        for each in filter(None, (each.strip() for each in text.split(","))):
            name, _, value = each.partition(" ")
            found[name] = base64.b64decode(value, validate=True).decode()
    except ValueError:
        raise UploadRefused(
            "What was announced of the clip cannot be read. Choose the clip again.", status=400
        ) from None
    return found


def _read_number(text: str | None) -> int:
    if text is None or not text.isascii() or not text.isdigit() or len(text) > 15:
        raise UploadRefused("The number of bytes is missing, or is no number.", status=400)
    return int(text)


ROUTES: Final[tuple[BaseRoute, ...]] = (
    Route("/uploads", begin, methods=["POST"]),
    Route("/uploads/{id}", follow, methods=["GET"]),
    Route("/uploads/{id}", receive, methods=["PATCH"]),
    Route("/uploads/{id}", cancel, methods=["DELETE"]),
    Route("/lessons/{draft}/uploads", follow_all),
)
