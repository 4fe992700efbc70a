"""What is kept of one student: consents, what is known, export, erasing.

Each act is one of the archive or the services, with their rules inside. What is erased for good is confirmed first.
"""

from datetime import date
from pathlib import Path
from typing import Any, Final, cast

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putt_posture.archive import (
    SCOPE_TITLES,
    SCOPES,
    Relation,
    add_consent,
    erase_lesson,
    load_lesson,
    load_lessons,
    load_permission,
    load_student,
    read_settings,
    withdraw_consent,
)
from putt_posture.disk.sealing import lock_with_passphrase
from putt_posture.errors import UsageError
from putt_posture.figures import count_of, format_given
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.giving import say_done, send_file
from putt_posture.server.left_behind import erase_drafts_of
from putt_posture.server.rendering import render, translate
from putt_posture.server.state import state_of
from putt_posture.services import (
    check_reason,
    describe,
    erase,
    export_student,
    find_faces_to_hide,
)
from putt_posture.services.sentences import (
    IN_BACKUPS,
    say_age,
    say_body,
    say_consents,
    say_doubts,
    say_erased,
)
from putt_posture.units import read_day, read_length_cm
from putt_posture.values import SEXES, Handed, Sex

__all__ = ["ROUTES"]

_HANDS: Final = ("right", "left")


def consents(request: Request) -> Response:
    """Show what is allowed for a student today.

    Parameters
    ----------
    request : Request
    """
    return _show_consents(request, Typed.filled({"on": state_of(request).today().isoformat()}))


def give_consent(request: Request, typed: Typed) -> Response:
    """Record that consent was given, or withdrawn.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``for``, ``on``, ``given-by``, ``guardian``, ``note``; ``act`` is ``give`` or ``withdraw``.
    """
    state, number, say = state_of(request), request.path_params["number"], translate(request)
    scopes = tuple(each for each in typed.chosen("for") if each in SCOPES)
    if not scopes:
        typed.errors["for"] = say("Nothing was ticked. Tick what the consent is for.")
    day = typed.read("on", read_day, needed=say("The day is missing. Give the day of the consent."))
    if not typed or day is None:
        return _show_consents(request, typed, status=400)
    with state.open_archive() as archive:
        if typed.text("act") == "withdraw":
            if day > state.today():
                raise UsageError(f"The day {day} is still to come. Give the day on which it was withdrawn.")
            withdraw_consent(archive, number, scopes=scopes, on=day)
            return RedirectResponse(f"/students/{number}/consents?withdrawn=1", status_code=303)
        relation: Relation = "guardian" if typed.ticked("guardian") else "self"
        typed.check(
            "given-by", add_consent, archive, number, scopes=scopes, given_on=day, given_by=typed.text("given-by"),
            relation=relation, today=state.today(), note=typed.text("note"),
        )  # fmt: skip
    if not typed:
        return _show_consents(request, typed, status=400)
    return RedirectResponse(f"/students/{number}/consents", status_code=303)


def described(request: Request) -> Response:
    """Show what is known of a student, to be changed.

    Parameters
    ----------
    request : Request
    """
    with state_of(request).open_archive() as archive:
        found = load_student(archive, request.path_params["number"])
    body = found.student
    known = {
        "name": found.name,
        "stature": format_given(body.stature_cm, "cm"),
        "handed": body.handed,
        "sex": body.sex or "",
        "wrist-floor": "" if body.wrist_floor_cm is None else format_given(body.wrist_floor_cm, "cm"),
        "born": "" if found.born is None else found.born.isoformat(),
        "keep-until": "" if found.keep_until is None else found.keep_until.isoformat(),
        "notes": found.notes,
    }
    return _show_described(request, Typed.filled(known))


def change_description(request: Request, typed: Typed) -> Response:
    """Change what is known of a student.

    Parameters
    ----------
    request : Request
    typed : Typed
        All fields, those that are empty too.
    """
    state, number = state_of(request), request.path_params["number"]
    say = translate(request)
    with state.open_archive() as archive:
        known = load_student(archive, number)
        read: dict[str, Any] = {
            "name": typed.text("name"),
            "stature_cm": typed.read("stature", read_length_cm, needed=say("The height is missing. Give it barefoot.")),
            "handed": cast(Handed, typed.choice("handed", _HANDS, needed=say("The hand is missing. Choose one."))),
            "sex": cast(Sex | None, typed.choice("sex", SEXES)),
            "wrist_floor_cm": typed.read("wrist-floor", read_length_cm),
            "born": typed.read("born", read_day),
            "keep_until": typed.read("keep-until", read_day),
            "notes": typed.text("notes"),
        }
        body = known.student
        was = {
            "name": known.name, "stature_cm": body.stature_cm, "handed": body.handed, "sex": body.sex,
            "wrist_floor_cm": body.wrist_floor_cm, "born": known.born, "keep_until": known.keep_until,
            "notes": known.notes,
        }  # fmt: skip
        changes = {name: value for name, value in read.items() if not _is_same(value, was[name])}
        if typed.ticked("adult") and not known.adult:
            changes["adult"] = True
        if typed and changes:
            typed.check("", describe, archive, number, today=state.today(), **changes)
    if not typed:
        return _show_described(request, typed, status=400)
    return RedirectResponse(f"/students/{number}", status_code=303)


def export(request: Request) -> Response:
    """Ask how a student's data are to be given out.

    Parameters
    ----------
    request : Request
    """
    with state_of(request).open_archive() as archive:
        student = load_student(archive, request.path_params["number"])
    return render(request, "export.html.jinja", student=student, typed=Typed())


def give_export(request: Request, typed: Typed) -> Response:
    """Give everything out that is kept about a student, as a zip.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``hide-faces``, ``without-clips``, ``passphrase``.
    """
    state, number = state_of(request), request.path_params["number"]
    secret = typed.text("passphrase")
    lock = typed.check("passphrase", lock_with_passphrase, secret) if secret else None
    with state.open_archive() as archive:
        student = load_student(archive, number)
        if not typed:
            return render(request, "export.html.jinja", status=400, student=student, typed=typed)

        def write(folder: Path) -> Path:
            made = folder / ("export.age" if lock else "export.zip")
            export_student(
                archive, number, made, today=state.today(), paper=state.paper, hide_faces=typed.ticked("hide-faces"),
                clips=not typed.ticked("without-clips"), lock=lock,
            )  # fmt: skip
            return made

        return send_file(write, name=f"student-{number}")


def ask_to_erase(request: Request) -> Response:
    """Ask for the name before a student is erased.

    Parameters
    ----------
    request : Request
    """
    return _show_erasing(request, Typed())


def erase_now(request: Request, typed: Typed) -> Response:
    """Erase a student for good.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``name`` and ``reason``.
    """
    state, number = state_of(request), request.path_params["number"]
    with state.open_archive() as archive:
        typed.check("reason", check_reason, archive, number, typed.text("reason"))
        erased = None
        if typed:
            erased = typed.check(
                "name", erase, archive, number, typed_name=typed.text("name"), reason=typed.text("reason"),
                today=state.today(),
            )  # fmt: skip
    if erased is None:
        return _show_erasing(request, typed, status=400)
    erase_drafts_of(state, {number})
    return say_done(request, f"Erased: {say_erased(erased)}.", IN_BACKUPS)


def ask_to_erase_lesson(request: Request) -> Response:
    """Ask before a lesson is erased.

    Parameters
    ----------
    request : Request
    """
    with state_of(request).open_archive() as archive:
        lesson = load_lesson(archive, request.path_params["lesson"])
        student = load_student(archive, lesson.student)
    return render(request, "erase_lesson.html.jinja", student=student, lesson=lesson)


def erase_lesson_now(request: Request, _typed: Typed) -> Response:
    """Erase a lesson for good.

    Parameters
    ----------
    request : Request
    _typed : Typed
        Nothing is typed.
    """
    with state_of(request).open_archive() as archive:
        erased = erase_lesson(archive, request.path_params["lesson"])
    return say_done(request, f"Erased: {say_erased(erased)}.", IN_BACKUPS)


def _show_consents(request: Request, typed: Typed, *, status: int = 200) -> Response:
    state, number = state_of(request), request.path_params["number"]
    today = state.today()
    with state.open_archive() as archive:
        permission = load_permission(archive, number)
        student = load_student(archive, number)
        minor = permission.person.is_minor(today)
        withdrawn = request.query_params.get("withdrawn") == "1"
        to_hide = find_faces_to_hide(archive, today=today, student=number) if withdrawn else ()
    return render(
        request, "consents.html.jinja", status=status, student=student, lines=say_consents(permission, today=today),
        doubts=say_doubts(permission, today=today), typed=typed, minor=minor, withdrawn=withdrawn, to_hide=len(to_hide),
        scopes=[(scope, SCOPE_TITLES[scope]) for scope in SCOPES],
    )  # fmt: skip


def _show_described(request: Request, typed: Typed, *, status: int = 200) -> Response:
    state, number = state_of(request), request.path_params["number"]
    with state.open_archive() as archive:
        student = load_student(archive, number)
        grown_at = read_settings(archive).grown_at_years
    return render(
        request, "describe.html.jinja", status=status, student=student, typed=typed, body=say_body(student),
        age=say_age(student, today=state.today(), grown_at=grown_at), sexes=SEXES, hands=_HANDS,
    )  # fmt: skip


def _show_erasing(request: Request, typed: Typed, *, status: int = 200) -> Response:
    with state_of(request).open_archive() as archive:
        student = load_student(archive, request.path_params["number"])
        lessons = len(load_lessons(archive, student.number))
    return render(
        request, "erase.html.jinja", status=status, student=student, lessons=count_of(lessons, "lesson"), typed=typed
    )


def _is_same(typed: object, known: object) -> bool:
    """Tell whether a field is as it was; a length is shown rounded to the tenth, and is not changed by that."""
    if isinstance(typed, float) and isinstance(known, float):
        return format_given(typed, "cm") == format_given(known, "cm")
    return typed == known or (not typed and not known and not isinstance(typed, date))


ROUTES: Final = (
    Route("/students/{number:int}/consents", consents),
    Route("/students/{number:int}/consents", with_form(give_consent), methods=["POST"]),
    Route("/students/{number:int}/describe", described),
    Route("/students/{number:int}/describe", with_form(change_description), methods=["POST"]),
    Route("/students/{number:int}/export", export),
    Route("/students/{number:int}/export", with_form(give_export), methods=["POST"]),
    Route("/students/{number:int}/erase", ask_to_erase),
    Route("/students/{number:int}/erase", with_form(erase_now), methods=["POST"]),
    Route("/filed/{lesson:int}/erase", ask_to_erase_lesson),
    Route("/filed/{lesson:int}/erase", with_form(erase_lesson_now), methods=["POST"]),
)
