"""The students: found, enrolled with their consent, and shown; a guest of a lesson at hand becomes one of them."""

from typing import Any, Final

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putt_posture.archive import (
    SCOPE_TITLES,
    Settings,
    check_enrolment,
    find_students,
    load_overview,
)
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.pages.interview import answers_of
from putt_posture.pages.setting import as_typed
from putt_posture.server.bodies import fill_student, read_consent, read_number, read_student
from putt_posture.server.drafts import Draft
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.measuring import check_is_guests, give_to_student
from putt_posture.server.rendering import render, translate
from putt_posture.server.state import ServerState, state_of
from putt_posture.services import (
    GivenConsent,
    check_enrolment_with_consent,
    enrol,
    load_summary,
)
from putt_posture.services.sentences import (
    NO_LAW,
    say_age,
    say_body,
    say_consents,
    say_distance,
    say_doubts,
    say_drifts,
)
from putt_posture.units import read_day
from putt_posture.values import Student

__all__ = ["ROUTES"]

_MOST: Final = 50
_ANY_HEIGHT: Final = 170.0
"""Stands for a height where only the name is checked, cm."""


def find(request: Request) -> Response:
    """List students: those whose name was asked for, else who was here last and who is due.

    Parameters
    ----------
    request : Request
    """
    state, wanted = state_of(request), request.query_params.get("name", "")
    typed = Typed.filled({"name": wanted})
    found, overview, trouble = None, None, ""
    try:
        with state.open_archive() as archive:
            if wanted.strip():
                found = typed.check("name", find_students, archive, wanted, most=_MOST)
            overview = load_overview(archive, today=state.today())
    except ArchiveError as error:
        trouble = str(error)
    return render(
        request, "students.html.jinja", typed=typed, found=found, overview=overview, trouble=trouble,
        say_distance=lambda day: say_distance(day, today=state.today()), as_typed=as_typed,
    )  # fmt: skip


def show_enrolment(request: Request) -> Response:
    """Show the form by which a student is enrolled, filled with what a lesson at hand knows of its guest.

    Parameters
    ----------
    request : Request
        ``lesson`` in its query names the lesson of the guest.
    """
    state, id = state_of(request), request.query_params.get("lesson", "")
    known = {"given_on": state.today().isoformat()}
    if id:
        known |= {"lesson": id, **fill_student(_guests(state, id).who)}
    return _enrolment(request, Typed.filled(known))


def enrol_student(request: Request, typed: Typed) -> Response:
    """Enrol a student with their consent, or say beside each field what is wrong.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``lesson`` in it names a guest's lesson at hand, which becomes the student's.
    """
    state, say = state_of(request), translate(request)
    today, draft = state.today(), None
    if typed.text("lesson"):
        draft = typed.check("", _guests, state, typed.text("lesson"))
        if draft is None:  # what was typed stays, to be enrolled without the lesson
            typed.values.pop("lesson")
    typed.check("name", check_enrolment, _named(typed.text("name")), born=None, adult=True, today=today)
    born = typed.read("born", read_day)
    student, consent = read_student(typed, say), read_consent(typed, today=today)
    if consent is not None and not consent.scopes:
        typed.errors.setdefault("scopes", say("Tick what the consent is for."))
    if student is not None and typed:
        adult = typed.ticked("adult")
        if adult and born is not None:
            typed.errors["born"] = say("The day of birth tells the age. Leave one of the two out.")
        else:
            typed.check("born", check_enrolment, student, born=born, adult=adult, today=today)
        if typed:
            number = typed.check(
                "given_by", _enrol, state, student, born=born, adult=adult, notes=typed.text("notes"), consent=consent
            )
            if number is not None and draft is not None:
                return _give(state, draft, number)
            if number is not None:
                return RedirectResponse(f"/students/{number}", status_code=303)
    return _enrolment(request, typed, status=400)


def give_guest(request: Request, typed: Typed) -> Response:
    """Make a guest's lesson at hand that of a student who is in the archive already.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``student``, the number.
    """
    state, say = state_of(request), translate(request)
    draft = _guests(state, request.path_params["draft"])
    number = typed.read("student", read_number, needed=say("Choose the student from the list."))
    if number is None:
        raise UsageError(typed.errors["student"])
    return _give(state, draft, number)


def _guests(state: ServerState, id: str) -> Draft:
    draft = state.drafts.load(id)
    check_is_guests(draft)
    return draft


def _give(state: ServerState, draft: Draft, number: int) -> Response:
    with state.open_archive() as archive:
        give_to_student(state, draft, archive, number)
    return RedirectResponse(f"/lessons/{draft.id}/keep", status_code=303)


def _enrol(state: ServerState, student: Student, *, consent: GivenConsent | None, **known: Any) -> int:
    today = state.today()
    try:
        opened = state.open_archive()
    except ArchiveError:  # nothing is made for a student who is refused
        check_enrolment_with_consent(
            student, today=today, born=known["born"], adult=known["adult"], consent=consent, settings=Settings()
        )
        opened = state.open_archive(make=True)
    with opened as archive:
        return enrol(archive, student, today=today, consent=consent, **known)


def _enrolment(request: Request, typed: Typed, *, status: int = 200) -> Response:
    return render(
        request, "enrol.html.jinja", status=status, typed=typed, scopes=SCOPE_TITLES, law=NO_LAW
    )  # fmt: skip


def show(request: Request) -> Response:
    """Show a student: what may be shown of them today.

    Parameters
    ----------
    request : Request
    """
    state, number = state_of(request), request.path_params["number"]
    today = state.today()
    with state.open_archive() as archive:
        found = load_summary(archive, number, today=today)
    drafts = [each for each in state.drafts.list() if each.student == number]
    due = found.overview.due_on if found.overview else None
    return render(
        request,
        "student.html.jinja",
        typed=Typed.filled({"moment": "before"}),
        found=found,
        name=as_typed(found.student.name),
        notes=as_typed(found.student.notes),
        body=say_body(found.student),
        age=say_age(found.student, today=today, grown_at=found.settings.grown_at_years),
        consents=say_consents(found.permission, today=today),
        doubts=say_doubts(found.permission, today=today),
        drifts=say_drifts(found.overview),
        due=None if due is None else f"{due} ({say_distance(due, today=today)})",
        answers={each.number: answers_of(each.notes) for each in found.lessons},
        drafts=drafts,
    )


def _named(name: str) -> Student:
    return Student(name=name, stature_cm=_ANY_HEIGHT, handed="right")


ROUTES: Final = (
    Route("/students", find),
    Route("/students", with_form(enrol_student), methods=["POST"]),
    Route("/students/new", show_enrolment),
    Route("/students/{number:int}", show),
    Route("/lessons/{draft}/student", with_form(give_guest), methods=["POST"]),
)
