"""Starts the server on this computer, opens the browser, says where the page is, and ends all cleanly."""

import logging
import signal
import threading
import traceback
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import FrameType
from typing import Any, Final

import uvicorn
from starlette.applications import Starlette

from putt_posture.errors import UsageError
from putt_posture.pages import Paper
from putt_posture.server.access import Session
from putt_posture.server.app import create_app
from putt_posture.server.certificate import Certificate
from putt_posture.server.drafts import DAYS_KEPT, DraftStore
from putt_posture.server.network import LOOPBACK, find_local_addresses, listen
from putt_posture.server.state import ServerState, default_drafts_folder
from putt_posture.shown_units import shown_length_unit

__all__ = ["serve"]

_ENDING_S: Final = 3
"""How long answers that are being sent may take when the server ends, s."""
_MOST_CONNECTIONS: Final = 300
_SIGNALS: Final = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))


def serve(
    *,
    archive: str | None = None,
    files: str | None = None,
    drafts: Path | None = None,
    port: int | None = None,
    opens: bool = True,
    local_network: bool = False,
    coach_file: Path | None = None,
    language: str = "en",
    paper: Paper = "a4",
    hide_faces: bool = False,
    days_kept: int = DAYS_KEPT,
    certificate: Certificate | None = None,
    shows_tracebacks: bool = False,
    tell: Callable[[str], None] = print,
) -> None:
    """Serve the page until the program is stopped. Lengths are shown in the unit in force where it is called.

    Parameters
    ----------
    archive, files : str, optional
        As for `open_archive`.
    drafts : Path, optional
        Where lessons that are being made are kept; by default in the user's own data.
    port : int, optional
        By default that of the last run, or a free one; 0 takes a free one.
    opens : bool
        Whether the browser is opened.
    local_network : bool
        Whether phones in the local network are let in.
    coach_file : Path, optional
        The coach's own bands, order and drills.
    language : str
        Of the page, as in ISO 639-1.
    paper : {"a4", "letter"}
        What PDFs are set for.
    hide_faces : bool
        Whether every head is hidden in lessons that are measured.
    days_kept : int
        After how many days without a change a lesson at hand is erased.
    certificate : Certificate, optional
        With which phones are served over TLS; this computer's own browser needs none.
    shows_tracebacks : bool
        Whether an error of the program itself is told with where it happened.
    tell : callable
        Takes each line for the terminal.

    Raises
    ------
    UsageError
        If the port is in use, or a certificate was given while no phone is let in.
    OutputError
        If the folder of the drafts cannot be made.
    """
    if certificate is not None and not local_network:
        raise UsageError("A certificate is for phones, and none is let in. Give --local-network too.")
    store = DraftStore(drafts or default_drafts_folder())
    store.make_folder()
    for says in store.erase_old(now=datetime.now(), days=days_kept):
        tell(says)
    addresses = find_local_addresses() if local_network else ()
    sockets = listen(store.folder, port=port, addresses=addresses)
    try:
        number = sockets[0].getsockname()[1]
        state = ServerState(
            drafts=store, archive=archive, files=files, coach_file=coach_file, language=language, days_kept=days_kept,
            hosts=frozenset(_host(name, number) for name in (LOOPBACK, "localhost", *addresses)),
            addresses=tuple(_host(address, number) for address in addresses), over_tls=certificate is not None,
            units=shown_length_unit(), paper=paper, hide_faces=hide_faces, tell=tell,
        )  # fmt: skip
        address = f"http://{_host(LOOPBACK, number)}/enter?code={state.access.give_code(Session(role='coach'))}"
        _say_start(state, address, local_network=local_network, opens=opens)
        if opens:
            threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
        _run(state, sockets, certificate=certificate, shows_tracebacks=shows_tracebacks)
    finally:
        for each in sockets:
            each.close()


def _say_start(state: ServerState, address: str, *, local_network: bool, opens: bool) -> None:
    tell = state.tell
    opened = "The lesson page opens in the browser of this computer" if opens else "Open the lesson page"
    tell(f"{opened}, at this address, which works once: {address}")
    tell(f"Lessons that are not filed yet are kept in {state.drafts.folder}.")
    if local_network and state.addresses:
        tell(
            f"Phones in the local network can be let in, at {' or '.join(state.addresses)}: choose Phone on the page. "
            + (
                "What they send is encrypted on its way."
                if state.over_tls
                else "What they send is not encrypted on its way, so use a network of your own."
            )
        )
    elif local_network:
        tell("This computer is in no local network, so no phone can be let in. Join one, and start again.")
    tell("Stop with Ctrl+C.")


def _run(state: ServerState, sockets: list[Any], *, certificate: Certificate | None, shows_tracebacks: bool) -> None:
    app = create_app(state)
    here, outside = (sockets, []) if certificate is None else (sockets[:1], sockets[1:])
    server = _Server(_configure(app))
    with _told_faults(state.tell, shows_tracebacks=shows_tracebacks), _serving_phones(app, outside, certificate):
        try:
            state.uploads.resume()
            server.run(sockets=here)
        finally:
            state.close()
    state.tell("The lesson page is closed. Lessons that are not filed yet are kept.")
    if server.stopped_by not in (None, signal.SIGINT):
        signal.raise_signal(server.stopped_by)  # the command ends as after any other signal


def _configure(app: Starlette, **more: Any) -> uvicorn.Config:
    return uvicorn.Config(
        app, log_config=None, access_log=False, server_header=False, proxy_headers=False,
        limit_concurrency=_MOST_CONNECTIONS, timeout_graceful_shutdown=_ENDING_S, timeout_keep_alive=30, **more,
    )  # fmt: skip


@contextmanager
def _serving_phones(app: Starlette, sockets: list[Any], certificate: Certificate | None) -> Iterator[None]:
    """Serve the addresses in the local network over TLS in a thread; this computer's own stays as it is."""
    if certificate is None or not sockets:
        yield
        return
    server = _Server(_configure(app, ssl_certfile=certificate.chain, ssl_keyfile=certificate.key, lifespan="off"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": sockets}, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(2 * _ENDING_S)


class _Server(uvicorn.Server):
    """A server that ends by Ctrl+C, a request to end, or a closed terminal, and says by which."""

    stopped_by: int | None = None

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Begin to end; a second Ctrl+C does not wait for answers that are being sent."""
        self.stopped_by = self.stopped_by or sig
        super().handle_exit(sig, frame)

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Handle the signals for as long as the server runs."""
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        before = {number: signal.signal(number, self.handle_exit) for number in _SIGNALS}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)


@contextmanager
def _told_faults(tell: Callable[[str], None], *, shows_tracebacks: bool) -> Iterator[None]:
    """Tell what the server warns of in one line each."""

    class _Teller(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            if record.exc_info and not shows_tracebacks:
                return  # the guard has told it in one line
            lines = traceback.format_exception(*record.exc_info) if record.exc_info else ()
            tell("".join((record.getMessage(), *(f"\n{line}" for line in lines))))

    logger, teller = logging.getLogger("uvicorn"), _Teller(logging.WARNING)
    logger.addHandler(teller)
    before, logger.propagate = logger.propagate, False
    try:
        yield
    finally:
        logger.removeHandler(teller)
        logger.propagate = before


def _host(name: str, port: int) -> str:
    """Return a host as a browser sends it."""
    return name if port == 80 else f"{name}:{port}"
