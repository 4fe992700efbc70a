"""A measured lesson as a part of a page: the body of its own report, or its numbers where the report is not shown."""

from collections.abc import Callable
from typing import Any, Final

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from putt_posture.errors import NotInArchive
from putt_posture.pages.report import write_record
from putt_posture.pages.setting import POLICY
from putt_posture.pages.stroke_section import clip_name
from putt_posture.pages.to_send import TO_SEND
from putt_posture.records import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES, KeptLesson
from putt_posture.records.html_files import read_body
from putt_posture.server.giving import send_bytes
from putt_posture.server.phrases import in_page_words
from putt_posture.server.rendering import render, translate
from putt_posture.values import VIEWS

__all__ = ["BESIDE", "send_file", "show_lesson"]

_REPORT: Final = "report.html"
_TYPES: Final = {
    "html": "text/html; charset=utf-8", "pdf": "application/pdf", "png": "image/png", "jpg": "image/jpeg",
    "svg": "image/svg+xml", "json": "application/json", "csv": "text/csv; charset=utf-8",
    "npz": "application/octet-stream", "mp4": "video/mp4",
}  # fmt: skip
BESIDE: Final = frozenset({TO_SEND, *map(clip_name, VIEWS)})
"""Files of a result folder that are no part of the stored lesson: they are shown while it is a draft."""
_FILES: Final = FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES | BESIDE


def show_lesson(request: Request, template: str, kept: KeptLesson, **data: Any) -> Response:
    """Show a stored lesson in the order of its findings, by the parts of its own report.

    Parameters
    ----------
    request : Request
    template : str
        Extends ``lesson_result.html.jinja``.
    kept : KeptLesson
        As far as it may be shown.
    **data : Any
        What else the template needs.

    Raises
    ------
    UsageError
        If the stored report is not as this program writes it.
    """
    body = None
    if _REPORT in kept.names:
        stored = Markup(read_body(kept.read(_REPORT), name=_REPORT, where=kept.title))
        body = _with_addresses(in_page_words(stored, translate(request)), files=data["files"])
    return render(
        request, template, kept=kept, body=body, report=None if body else write_record(kept.record), pictures={}, **data
    )


def _with_addresses(body: str, *, files: str) -> Markup:
    """Return the body of a report whose clips are found from the page that holds it."""
    body = str(body)  # what is put into a Markup is escaped
    for name in map(clip_name, VIEWS):
        body = body.replace(f'="{name}"', f'="{files}/{name}"')
    return Markup(body)


def send_file(request: Request, name: str, read: Callable[[str], bytes]) -> Response:
    """Send a file of a lesson; only those that the program writes have a name here.

    Parameters
    ----------
    request : Request
    name : str
    read : callable
        Takes the name and returns the bytes.

    Raises
    ------
    NotInArchive
        If there is no such file.
    """
    if name not in _FILES:
        raise NotInArchive(f"A lesson has no file {name!r}.")
    ending = name.rpartition(".")[2]
    # A report is a page of its own with its style in it; its own policy lets it load nothing and run nothing.
    headers = {"content-security-policy": f"{POLICY}; sandbox"} if ending in ("html", "svg") else {}
    if ending == "mp4":
        return send_bytes(request, read(name), media_type=_TYPES[ending])
    return Response(read(name), media_type=_TYPES[ending], headers=headers)
