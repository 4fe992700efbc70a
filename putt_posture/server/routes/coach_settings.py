"""The coach's own bands, order, drills and words, on forms or as a text.

Whatever is set here is checked by the library, in its words, and written whole or not at all: to the coach's own file
on this computer, which the command reads too.
"""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from attrs import frozen
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from putt_posture.errors import UsageError
from putt_posture.findings import read_shipped_text
from putt_posture.measures import MEASURES
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.languages import mark as _
from putt_posture.server.rendering import render
from putt_posture.server.state import ServerState, state_of
from putt_posture.services.coach_settings import (
    CoachSettings,
    change_coach_text,
    find_own_coach_file,
    load_coach_settings,
    move_fault,
    save_coach_text,
)

__all__ = ["ROUTES"]


_ENDS: Final = {
    "below": _("at most below what is wanted"),
    "above": _("at most above what is wanted"),
    "low": _("not less than"),
    "high": _("not more than"),
}
_UNITS: Final = {"deg": "°", "cm": "cm", "%": "%"}
_DRILL_TEXTS: Final = {
    "title": _("Title"),
    "for": _("What it is for"),
    "setup": _("How it is set up"),
    "right": _("How it is right"),
}
_FAULT_TEXTS: Final = {
    "title": _("Title"),
    "because": _("Why it matters"),
    "ball": _("What the ball tends to do"),
    "change": _("What to change"),
    "instead": _("What to do instead where the body has a limit"),
    "feel": _("What it feels like"),
}


@frozen(kw_only=True)
class _Line:
    """One value of the coach's file on a form."""

    name: str
    title: str
    value: Any
    starting: Any
    own: bool
    unit: str = ""


def show_bands(request: Request) -> Response:
    """Show the bands and the order.

    Parameters
    ----------
    request : Request
    """
    return _show_bands(request, Typed())


def _show_bands(request: Request, typed: Typed) -> Response:
    coach = load_coach_settings(state_of(request).coach_file)
    bands = [
        (name, _title(name), tuple(_band_lines(coach, name, typed)), coach.value(("bands", name, "by_eye")))
        for name in coach.coach.bands
    ]
    faults = [(each.name, each.short, each.leads_to) for each in coach.coach.faults]
    return render(
        request,
        "settings_bands.html.jinja",
        status=200 if typed else 400,
        typed=typed,
        bands=bands,
        faults=faults,
        own_order=coach.is_own(("order",)),
        about=coach.coach.about,
        done=request.query_params.get("done", ""),
    )


def save_bands(request: Request, typed: Typed) -> Response:
    """Change the bands.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    coach = load_coach_settings(state_of(request).coach_file)
    changes: dict[tuple[str, ...], Any] = {}
    for name in coach.coach.bands:
        for end in _ENDS:
            field = f"{name}.{end}"
            if field in typed.values:
                said = typed.text(field)
                value = typed.check(field, _read_number, said, _title(name)) if said else None
                changes["bands", name, end] = value
    return _save(request, typed, coach, changes, to="/settings/bands") or _show_bands(request, typed)


def move(request: Request, typed: Typed) -> Response:
    """Move one fault in the order, or take the order back to the starting values.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    state = state_of(request)
    coach = load_coach_settings(state.coach_file)
    if typed.ticked("starting"):
        return _save(request, typed, coach, {("order",): None}, to="/settings/bands") or _show_bands(request, typed)
    for name, by in (("earlier", -1), ("later", 1)):
        if typed.ticked(name):
            text = typed.check("", move_fault, coach, typed.text(name), by=by)
            if text is not None and _keep(state, typed, coach, text):
                return RedirectResponse("/settings/bands?done=yes#order", status_code=303)
    return _show_bands(request, typed)


def show_words(request: Request) -> Response:
    """Show which drills and faults have words that can be changed.

    Parameters
    ----------
    request : Request
    """
    coach = load_coach_settings(state_of(request).coach_file)
    drills = [
        (name, drill.title, name in coach.own.get("drills", {})) for name, (drill, _) in coach.coach.drills.items()
    ]
    faults = [(each.name, each.short, each.name in coach.own.get("faults", {})) for each in coach.coach.faults]
    return render(request, "settings_words.html.jinja", drills=drills, faults=faults)


def show_entry(request: Request) -> Response:
    """Show the words of one drill or fault.

    Parameters
    ----------
    request : Request
    """
    return _show_entry(request, Typed())


def _show_entry(request: Request, typed: Typed) -> Response:
    coach = load_coach_settings(state_of(request).coach_file)
    table, name, texts = _entry(request, coach)
    lines = [
        _Line(
            name=key,
            title=title,
            value=typed.text(key) if key in typed.values else coach.value((table, name, key)),
            starting=coach.starting_value((table, name, key)),
            own=coach.is_own((table, name, key)),
        )
        for key, title in texts.items()
    ]
    chosen = coach.value((table, name, "drills")) if table == "faults" else ()
    drills = [(each, drill.title, each in chosen) for each, (drill, _) in coach.coach.drills.items()]
    return render(
        request,
        "settings_entry.html.jinja",
        status=200 if typed else 400,
        typed=typed,
        table=table,
        name=name,
        lines=lines,
        drills=drills if table == "faults" else [],
        own_drills=coach.is_own((table, name, "drills")),
        done=request.query_params.get("done", ""),
    )


def save_entry(request: Request, typed: Typed) -> Response:
    """Change the words of one drill or fault.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    coach = load_coach_settings(state_of(request).coach_file)
    table, name, texts = _entry(request, coach)
    starting = typed.ticked("starting")
    changes: dict[tuple[str, ...], Any] = {
        (table, name, key): None if starting else " ".join(typed.text(key).split()) for key in texts
    }
    if table == "faults":
        known = list(coach.coach.drills)
        changes[table, name, "drills"] = None if starting else sorted(typed.chosen("drills"), key=_order_of(known))
    here = f"/settings/words/{table}/{name}"
    return _save(request, typed, coach, changes, to=here) or _show_entry(request, typed)


def show_text(request: Request) -> Response:
    """Show the coach's own file as text, for who knows TOML.

    Parameters
    ----------
    request : Request
    """
    coach, trouble = None, ""
    try:
        coach = load_coach_settings(state_of(request).coach_file)
    except UsageError as error:
        trouble = str(error)
    return _show_text(request, coach.text if coach else "", trouble)


def _show_text(request: Request, text: str, trouble: str) -> Response:
    return render(
        request,
        "settings_text.html.jinja",
        status=400 if trouble else 200,
        text=text,
        trouble=trouble,
        shipped=read_shipped_text(),
        done=request.query_params.get("done", ""),
    )


async def save_text(request: Request) -> Response:
    """Replace the coach's own file by another text.

    Parameters
    ----------
    request : Request
    """
    async with request.form(max_files=0, max_fields=4) as form:
        text = form.get("text", "")
    return await run_in_threadpool(_save_text, request, text if isinstance(text, str) else "")


def _save_text(request: Request, text: str) -> Response:
    state = state_of(request)
    path = state.coach_file or find_own_coach_file()
    try:
        save_coach_text(path, text)
    except UsageError as error:
        return _show_text(request, text, str(error))
    state.coach_file = path
    return RedirectResponse("/settings/text?done=yes", status_code=303)


def take_back(request: Request, _typed: Typed) -> Response:
    """Take everything of the coach's own file back to the starting values.

    Parameters
    ----------
    request : Request
    _typed : Typed
    """
    state = state_of(request)
    path = state.coach_file or find_own_coach_file()
    save_coach_text(path, "")
    state.coach_file = path
    return RedirectResponse("/settings?done=coach", status_code=303)


def _entry(request: Request, coach: CoachSettings) -> tuple[str, str, Mapping[str, str]]:
    table, name = request.path_params["table"], request.path_params["name"]
    known = {"drills": coach.coach.drills, "faults": {each.name: each for each in coach.coach.faults}}
    if name not in known.get(table, {}):
        raise UsageError("There is no such drill or fault. Go back to the list.")
    return table, name, _DRILL_TEXTS if table == "drills" else _FAULT_TEXTS


def _band_lines(coach: CoachSettings, name: str, typed: Typed) -> Iterator[_Line]:
    unit = _UNITS[MEASURES[name].unit] if name in MEASURES else "cm"
    for end, title in _ENDS.items():
        path = ("bands", name, end)
        if coach.value(path) is None:
            continue
        field = f"{name}.{end}"
        yield _Line(
            name=field,
            title=title,
            value=typed.text(field) if field in typed.values else coach.value(path),
            starting=coach.starting_value(path),
            own=coach.is_own(path),
            unit=unit,
        )


def _read_number(text: str, title: str) -> int | float:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = float("nan")
    if value - value != 0:  # no number, or an endless one
        raise UsageError(f"{title} was given as {text[:20]!r}; a number is needed, such as 4 or 2.5.")
    return int(value) if value == int(value) else value


def _order_of(known: list[str]) -> Any:
    return lambda each: known.index(each) if each in known else len(known)


def _save(
    request: Request, typed: Typed, coach: CoachSettings, changes: Mapping[tuple[str, ...], Any], *, to: str
) -> Response | None:
    """Change the coach's file; None where something is wrong, which is then among the errors."""
    if not typed:
        return None
    text = typed.check("", change_coach_text, coach.text, changes)
    if text is None or not _keep(state_of(request), typed, coach, text):
        return None
    return RedirectResponse(f"{to}?done=yes", status_code=303)


def _keep(state: ServerState, typed: Typed, coach: CoachSettings, text: str) -> bool:
    if typed.check("", save_coach_text, coach.path, text) is None:
        return False
    state.coach_file = coach.path
    return True


def _title(name: str) -> str:
    return MEASURES[name].title if name in MEASURES else _("Putter in use")


ROUTES: Final[tuple[BaseRoute, ...]] = (
    Route("/settings/bands", show_bands),
    Route("/settings/bands", with_form(save_bands), methods=["POST"]),
    Route("/settings/order", with_form(move), methods=["POST"]),
    Route("/settings/words", show_words),
    Route("/settings/words/{table}/{name}", show_entry),
    Route("/settings/words/{table}/{name}", with_form(save_entry), methods=["POST"]),
    Route("/settings/text", show_text),
    Route("/settings/text", save_text, methods=["POST"]),
    Route("/settings/starting-values", with_form(take_back), methods=["POST"]),
)
