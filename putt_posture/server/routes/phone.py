"""A phone as camera and second screen: the QR code that lets it in, and the button that shuts phones out."""

from io import BytesIO
from typing import Final

import segno
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from putt_posture.server.access import Session
from putt_posture.server.rendering import render
from putt_posture.server.state import state_of

__all__ = ["ROUTES"]


def show(request: Request) -> Response:
    """Show how phones come in, how many are in, and how to shut them out.

    Parameters
    ----------
    request : Request
    """
    return _render(request)


async def let_in(request: Request) -> Response:
    """Make a one-time code for one lesson, and show it as a QR code and in words.

    Parameters
    ----------
    request : Request
    """
    async with request.form(max_files=0, max_fields=5) as form:
        asked = str(form.get("draft", ""))
    return await run_in_threadpool(_let_in, request, asked)


def shut_out(request: Request) -> Response:
    """End all sessions and codes of phones.

    Parameters
    ----------
    request : Request
    """
    state_of(request).access.shut_phones_out()
    return RedirectResponse("/phone", status_code=303)


def _let_in(request: Request, asked: str) -> Response:
    state = state_of(request)
    draft = state.drafts.load(asked)
    if not state.addresses:
        return _render(request)
    code = state.access.give_code(Session(role="phone", draft=draft.id))
    scheme = "https" if state.over_tls else "http"
    addresses = [f"{scheme}://{address}/enter" for address in state.addresses]
    qr = segno.make(f"{addresses[0]}?code={code}", error="m", micro=False)
    state.tell(f"A phone can come in once, within ten minutes, at {addresses[0]} with the code {code}\n{_print(qr)}")
    return _render(request, code=code, addresses=addresses, picture=_draw(qr), at=draft.id)


def _render(
    request: Request, *, code: str = "", addresses: list[str] | None = None, picture: str = "", at: str = ""
) -> Response:
    state = state_of(request)
    return render(
        request,
        "phone.html.jinja",
        is_open=bool(state.addresses),
        phones=state.access.count_phones(),
        drafts=state.drafts.list(),
        code=code,
        addresses=addresses or [],
        picture=picture,
        at=at,
    )


def _draw(qr: segno.QRCode) -> str:
    """Return a QR code as SVG, dark on white in every scheme of colours, as cameras want it."""
    out = BytesIO()
    qr.save(
        out,
        kind="svg",
        scale=8,
        border=4,
        dark="#000",
        light="#fff",
        xmldecl=False,
        svgclass=None,
        lineclass=None,
        omitsize=True,
    )
    return out.getvalue().decode()


def _print(qr: segno.QRCode) -> str:
    """Return a QR code for the terminal, two rows in a line."""
    rows = [list(row) for row in qr.matrix_iter(border=2)]
    rows += [[0] * len(rows[0])] * (len(rows) % 2)
    signs = {(0, 0): "█", (0, 1): "▀", (1, 0): "▄", (1, 1): " "}  # light modules are drawn: a terminal is dark
    return "\n".join(
        "".join(signs[min(upper, 1), min(lower, 1)] for upper, lower in zip(*pair, strict=True))
        for pair in zip(rows[::2], rows[1::2], strict=True)
    )


ROUTES: Final[tuple[BaseRoute, ...]] = (
    Route("/phone", show),
    Route("/phone", let_in, methods=["POST"]),
    Route("/phone/end", shut_out, methods=["POST"]),
)
