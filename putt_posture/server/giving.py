"""How a route answers when something was done, or gives a file out."""

import tempfile
from collections.abc import Callable
from pathlib import Path

from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import FileResponse, Response

from putt_posture.server.rendering import render

__all__ = ["say_done", "send_file"]


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
