"""The settings: the defaults, the archive's times, looks and places; the coach's file is set in `coach_settings`.

Whatever is set here is checked by the library, in its words, and written whole or not at all: the defaults file on this
computer, which the command reads too, and the times in the archive.
"""

from typing import Final

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from putt_posture.archive import change_settings, find_doubts, read_settings
from putt_posture.disk.defaults import find_defaults_file, read_defaults
from putt_posture.disk.defaults_writing import write_defaults
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.languages import mark as _
from putt_posture.server.rendering import CONTRAST_COOKIE, LANGUAGES, render
from putt_posture.server.state import ServerState, state_of
from putt_posture.services.coach_settings import (
    find_own_coach_file,
    load_coach_settings,
)
from putt_posture.services.sentences import NO_LAW, SETTING_TITLES

__all__ = ["ROUTES"]

_DEFAULTS: Final = ("coach", "handed", "units", "paper", "language", "archive", "files")
_YEAR_S: Final = 365 * 24 * 3600


def show(request: Request) -> Response:
    """Show all that can be set in a few words: defaults, archive, looks and places.

    Parameters
    ----------
    request : Request
    """
    return _show(request, Typed())


def _show(request: Request, typed: Typed, *, part: str = "") -> Response:
    state = state_of(request)
    try:
        defaults, trouble = read_defaults(), ""
    except UsageError as error:
        defaults, trouble = {}, str(error)
    try:
        coach, coach_trouble = load_coach_settings(state.coach_file), ""
    except UsageError as error:
        coach, coach_trouble = None, str(error)
    try:
        with state.open_archive() as archive:
            times, place = read_settings(archive), archive.place.title
            doubts = tuple(says for _, _, says in find_doubts(archive, today=state.today()))
    except (ArchiveError, UsageError):
        times, place, doubts = None, "", ()
    return render(
        request,
        "settings.html.jinja",
        status=200 if typed else 400,
        typed=typed,
        part=part,
        done=request.query_params.get("done", ""),
        defaults=defaults,
        trouble=trouble,
        coach_trouble=coach_trouble,
        coach=coach,
        times=times,
        titles=SETTING_TITLES,
        no_law=NO_LAW,
        doubts=doubts,
        languages=LANGUAGES,
        places=_places(state, place),
        high=request.cookies.get(CONTRAST_COOKIE) == "high",
    )


def save_defaults(request: Request, typed: Typed) -> Response:
    """Change the defaults.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    state = state_of(request)
    changes: dict[str, str | bool | None] = {name: typed.text(name) or None for name in _DEFAULTS}
    changes["hide_faces"] = typed.ticked("hide_faces") or None
    found = typed.check("", write_defaults, changes)
    if found is None:
        return _show(request, typed, part="defaults")
    state.units = found.get("units", "cm")
    state.language = found.get("language", "en")
    state.paper = found.get("paper", "a4")
    state.hide_faces = bool(found.get("hide_faces", False))
    return _done("defaults")


def save_times(request: Request, typed: Typed) -> Response:
    """Change the times of the archive.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    state = state_of(request)
    with state.open_archive() as archive:
        now = read_settings(archive)
        changes = {
            name: typed.check(name, _read_whole, typed.text(name), SETTING_TITLES[name]) for name in SETTING_TITLES
        }
        wanted = {name: value for name, value in changes.items() if value is not None and value != getattr(now, name)}
        if typed and wanted:
            typed.check("", change_settings, archive, **wanted)
    return _done("archive") if typed else _show(request, typed, part="archive")


def save_look(request: Request, typed: Typed) -> Response:
    """Change how this browser shows the page.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    answer = _done("look")
    if typed.ticked("high"):
        secure = request.url.scheme == "https"
        answer.set_cookie(CONTRAST_COOKIE, "high", max_age=_YEAR_S, httponly=True, samesite="strict", secure=secure)
    else:
        answer.delete_cookie(CONTRAST_COOKIE)
    return answer


def _places(state: ServerState, archive: str) -> tuple[tuple[str, str], ...]:
    return (
        (_("Archive"), archive or "none yet"),
        (_("Lessons that are not filed"), str(state.drafts.folder)),
        (_("Your bands, order, drills and words"), str(state.coach_file or find_own_coach_file())),
        (_("Defaults"), str(find_defaults_file())),
    )


def _read_whole(text: str, title: str) -> int:
    if not text.isascii() or not text.isdigit():
        raise UsageError(f"The {title} were given as {text[:20]!r}; a whole number is needed, such as 12.")
    return int(text[:9])


def _done(part: str) -> Response:
    return RedirectResponse(f"/settings?done={part}#{part}", status_code=303)


ROUTES: Final[tuple[BaseRoute, ...]] = (
    Route("/settings", show),
    Route("/settings/defaults", with_form(save_defaults), methods=["POST"]),
    Route("/settings/archive", with_form(save_times), methods=["POST"]),
    Route("/settings/look", with_form(save_look), methods=["POST"]),
)
