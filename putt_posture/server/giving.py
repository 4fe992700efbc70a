"""How a route answers when something was done, or gives a file out."""

import re
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Final

from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import FileResponse, Response

from putt_posture.server.rendering import render

__all__ = ["say_done", "send_bytes", "send_file"]

_RANGE: Final = re.compile(r"bytes=([0-9]{0,12})-([0-9]{0,12})")


def say_done(request: Request, first: str, *more: str) -> Response:
    """Say what was done.

    Parameters
    ----------
    request : Request
    first : str
    *more : str
        Further sentences.
    """
    return render(request, "done.html.jinja", says=first, more=more)


def send_file(write: Callable[[Path], Path], *, name: str) -> Response:
    """Send a file that is written to a private folder, which is erased when the file was sent.

    Parameters
    ----------
    write : callable
        Takes the folder, and returns the file that it wrote there.
    name : str
        Of the file as it is sent, without its ending.
    """
    folder = tempfile.TemporaryDirectory(prefix="putt-posture-sent-")
    try:
        made = write(Path(folder.name))
    except BaseException:
        folder.cleanup()
        raise
    return FileResponse(made, filename=f"{name}{made.suffix}", background=BackgroundTask(folder.cleanup))


def send_bytes(request: Request, data: bytes, *, media_type: str) -> Response:
    """Send a file that is in memory, or the one part of it that was asked for, as a player of clips does.

    Parameters
    ----------
    request : Request
    data : bytes
    media_type : str

    Returns
    -------
    Response
        206 with a part, 416 where the part is none of the file, and 200 with the whole for everything else (RFC 9110,
        14.2: what is no range of bytes, or more than one, is ignored).
    """
    headers, size = {"accept-ranges": "bytes"}, len(data)
    asked = _RANGE.fullmatch(request.headers.get("range", "").strip())
    if asked is None or asked[0] == "bytes=-":
        return Response(data, media_type=media_type, headers=headers)
    first, last = asked[1], asked[2]
    start = int(first) if first else max(size - int(last), 0)
    stop = min(int(last) + 1, size) if first and last else size
    if first and last and int(last) < start:
        return Response(data, media_type=media_type, headers=headers)
    if start >= size or (not first and int(last) == 0):
        return Response(status_code=416, headers={**headers, "content-range": f"bytes */{size}"})
    headers["content-range"] = f"bytes {start}-{stop - 1}/{size}"
    return Response(data[start:stop], status_code=206, media_type=media_type, headers=headers)
