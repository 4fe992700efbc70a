"""Starts the server on this computer, opens the browser, and prints the address."""

import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import Final

import uvicorn

from putt_posture.server.access import Session
from putt_posture.server.app import create_app
from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState, default_drafts_folder

__all__ = ["serve"]

_LOOPBACK: Final = "127.0.0.1"


def serve(
    *,
    archive: str | None = None,
    files: str | None = None,
    drafts: Path | None = None,
    port: int = 0,
    opens: bool = True,
    tell: Callable[[str], None] = print,
) -> None:
    """Serve the page until the program is stopped.

    Parameters
    ----------
    archive, files : str, optional
        As for `open_archive`.
    drafts : Path, optional
        Where lessons that are being made are kept; by default in the user's own data.
    port : int
        0 takes a free one.
    opens : bool
        Whether the browser is opened.
    tell : callable
        Takes each line for the terminal.
    """
    with socket.create_server((_LOOPBACK, port)) as listening:
        host = f"{_LOOPBACK}:{listening.getsockname()[1]}"
        state = ServerState(
            drafts=DraftStore(drafts or default_drafts_folder()), archive=archive, files=files, hosts=frozenset({host})
        )
        address = f"http://{host}/enter?code={state.access.give_code(Session(role='coach'))}"
        tell(address)
        if opens:
            webbrowser.open(address)
        config = uvicorn.Config(create_app(state), log_level="warning", access_log=False, server_header=False)
        uvicorn.Server(config).run(sockets=[listening])
