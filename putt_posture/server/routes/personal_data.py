"""What is kept of one student: given out, and erased.

Each act is one of the archive or the services, with their rules inside. What is erased for good is confirmed first.
"""

from pathlib import Path
from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from putt_posture.archive import (
    erase_lesson,
    load_lesson,
    load_lessons,
    load_student,
)
from putt_posture.disk.sealing import lock_with_passphrase
from putt_posture.figures import count_of
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.giving import say_done, send_file
from putt_posture.server.rendering import render
from putt_posture.server.state import state_of
from putt_posture.services import (
    check_reason,
    erase,
    export_student,
)
from putt_posture.services.sentences import (
    IN_BACKUPS,
    say_erased,
)

__all__ = ["ROUTES"]

_HANDS: Final = ("right", "left")


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
                archive, number, made, today=state.today(), hide_faces=typed.ticked("hide-faces"),
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


def _show_erasing(request: Request, typed: Typed, *, status: int = 200) -> Response:
    with state_of(request).open_archive() as archive:
        student = load_student(archive, request.path_params["number"])
        lessons = len(load_lessons(archive, student.number))
    return render(
        request, "erase.html.jinja", status=status, student=student, lessons=count_of(lessons, "lesson"), typed=typed
    )


ROUTES: Final = (
    Route("/students/{number:int}/export", export),
    Route("/students/{number:int}/export", with_form(give_export), methods=["POST"]),
    Route("/students/{number:int}/erase", ask_to_erase),
    Route("/students/{number:int}/erase", with_form(erase_now), methods=["POST"]),
    Route("/filed/{lesson:int}/erase", ask_to_erase_lesson),
    Route("/filed/{lesson:int}/erase", with_form(erase_lesson_now), methods=["POST"]),
)
