"""A lesson in one sitting: who, what was said, clips, progress, result."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Final, cast

from attrs import evolve
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putt_posture.archive import load_student
from putt_posture.errors import NotInArchive
from putt_posture.findings import find_step_title, load_coach_file
from putt_posture.pages.interview import say_understood
from putt_posture.pages.setting import as_typed
from putt_posture.pages.to_send import TO_SEND
from putt_posture.records import read_result_folder
from putt_posture.server.access import open_to_phones
from putt_posture.server.bodies import (
    fill_interview,
    fill_student,
    read_interview,
    read_number,
    read_putter,
    read_student,
)
from putt_posture.server.drafts import Draft
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.left_behind import say_gone
from putt_posture.server.measuring import clips_of, find_carried, find_outcome, prepare
from putt_posture.server.rendering import render, translate
from putt_posture.server.showing import BESIDE, send_file, show_lesson
from putt_posture.server.state import ServerState, state_of
from putt_posture.services.coach_files import open_coach_file
from putt_posture.services.sentences import say_body
from putt_posture.values import VIEW_TITLES, VIEWS, Moment, Student
from putt_posture.values.history import MOMENTS

__all__ = ["ROUTES"]


def show_guest(request: Request) -> Response:
    """Show the form by which a lesson with a guest is begun.

    Parameters
    ----------
    request : Request
    """
    return render(request, "guest.html.jinja", typed=Typed())


def begin(request: Request, typed: Typed) -> Response:
    """Begin a lesson with a student of the archive, or with a guest.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    state, now = state_of(request), datetime.now(UTC)
    if typed.text("student"):
        number = typed.read("student", read_number)
        if number is None:
            raise NotInArchive(typed.errors["student"])
        with state.open_archive() as archive:
            who = load_student(archive, number).student
        moment = typed.choice("moment", MOMENTS) or "before"
        draft = state.drafts.begin(who, now=now, student=number, moment=cast(Moment, moment))
    else:
        guest = _read_guest(typed, translate(request))
        if guest is None:
            return render(request, "guest.html.jinja", status=400, typed=typed)
        draft = state.drafts.begin(guest, now=now)
    return RedirectResponse(f"/lessons/{draft.id}/input", status_code=303)


@open_to_phones
def show_input(request: Request) -> Response:
    """Show what the lesson is measured from: the student, what was said, and the clips.

    Parameters
    ----------
    request : Request
    """
    state, draft = state_of(request), _draft(request)
    if say_gone(state, draft):
        return _to_keep(draft)
    known: dict[str, str] = {
        **fill_student(draft.who), **fill_interview(draft.interview), "moment": draft.moment, "step": draft.step or "",
    }  # fmt: skip
    typed = Typed.filled(known | ({"without_putter": "yes"} if draft.without_putter else {}))
    return _input(request, draft, typed)


def save_input(request: Request, typed: Typed) -> Response:
    """Keep what was typed, and measure if that was asked for.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    state, draft, say = state_of(request), _draft(request), translate(request)
    student = draft.who if draft.student is not None else _read_guest(typed, say)
    if student is not None and draft.student is not None:
        student = read_putter(typed, student)
    coach = load_coach_file() if state.coach_file is None else open_coach_file(state.coach_file)
    step = typed.read("step", lambda text: find_step_title(text, coach))
    interview = typed.check("misses", read_interview, typed)
    if student is None or interview is None or not typed:
        return _input(request, draft, typed, status=400)
    moment = typed.choice("moment", MOMENTS) or draft.moment
    draft = state.drafts.change(
        draft.id,
        who=student,
        interview=interview,
        moment=cast(Moment, moment),
        step=step,
        without_putter=typed.ticked("without_putter"),
    )
    if typed.text("then") != "measure":
        return RedirectResponse(f"/lessons/{draft.id}/input?kept=1", status_code=303)
    typed.check("clips", _measure, state, draft)
    if not typed:
        return _input(request, draft, typed, status=400)
    return RedirectResponse(f"/lessons/{draft.id}/measuring", status_code=303)


def _measure(state: ServerState, draft: Draft) -> str:
    if draft.student is None:
        job = prepare(state, draft, archive=None)
    else:
        with state.open_archive() as archive:
            job = prepare(state, draft, archive=archive)
    return state.work.start(draft.id, job)


def measure(request: Request) -> Response:
    """Measure the draft as it is.

    Parameters
    ----------
    request : Request
    """
    draft = _draft(request)
    _measure(state_of(request), draft)
    return RedirectResponse(f"/lessons/{draft.id}/measuring", status_code=303)


@open_to_phones
def show_measuring(request: Request) -> Response:
    """Show how far measuring is; once it has ended, go on to the result, or back to the input with the reason.

    Parameters
    ----------
    request : Request
    """
    state, draft = state_of(request), _draft(request)
    work = state.work.find_going_on(draft.id)
    if work is None:
        outcome = find_outcome(state, draft)
        there = "" if outcome.has_result and not outcome.trouble and not outcome.is_stale else "/input"
        return RedirectResponse(f"/lessons/{draft.id}{there}", status_code=303)
    return render(request, "measuring.html.jinja", draft=draft, work=work, name=_name_of(draft))


def cancel(request: Request) -> Response:
    """Stop measuring.

    Parameters
    ----------
    request : Request
    """
    state, draft = state_of(request), _draft(request)
    work = state.work.find_going_on(draft.id)
    if work is not None:
        state.work.cancel(work.id)
    return RedirectResponse(f"/lessons/{draft.id}/input", status_code=303)


def swap(request: Request) -> Response:
    """Swap the two clips, where each was given for the other view.

    Parameters
    ----------
    request : Request
    """
    state, draft = state_of(request), _draft(request)
    other = dict(zip(VIEWS, reversed(VIEWS), strict=True))
    state.drafts.save(
        evolve(
            draft,
            clips={other[view]: name for view, name in draft.clips.items()},
            about={other[view]: about for view, about in draft.about.items()},
        )
    )
    return RedirectResponse(f"/lessons/{draft.id}/input#clips", status_code=303)


def remove_clip(request: Request) -> Response:
    """Take one clip out of the lesson.

    Parameters
    ----------
    request : Request
    """
    state, draft, view = state_of(request), _draft(request), request.path_params["view"]
    name = draft.clips.get(view)
    if name is not None:
        state.drafts.save(
            evolve(
                draft,
                clips={each: clip for each, clip in draft.clips.items() if each != view},
                about={each: about for each, about in draft.about.items() if each != view},
            )
        )
        (state.drafts.clips_folder(draft.id) / name).unlink(missing_ok=True)
    return RedirectResponse(f"/lessons/{draft.id}/input#clips", status_code=303)


@open_to_phones
def show_result(request: Request) -> Response:
    """Show the result in the order of the findings.

    Parameters
    ----------
    request : Request
    """
    state, draft = state_of(request), _draft(request)
    if state.work.find_going_on(draft.id) is not None:
        return RedirectResponse(f"/lessons/{draft.id}/measuring", status_code=303)
    if say_gone(state, draft):
        return _to_keep(draft)
    outcome = find_outcome(state, draft)
    if not outcome.has_result:
        return RedirectResponse(f"/lessons/{draft.id}/input", status_code=303)
    folder, files = state.drafts.result_folder(draft.id), f"/lessons/{draft.id}/files"
    return show_lesson(
        request, "lesson_result.html.jinja", read_result_folder(folder), draft=draft, outcome=outcome,
        name=_name_of(draft), to_send=(folder / TO_SEND).is_file(), files=files, stroke=f"/lessons/{draft.id}/stroke",
    )  # fmt: skip


@open_to_phones
def send(request: Request) -> Response:
    """Send a file of the result.

    Parameters
    ----------
    request : Request
    """
    state, draft = state_of(request), _draft(request)
    folder, name = state.drafts.result_folder(draft.id), request.path_params["name"]
    kept = read_result_folder(folder)

    def read(name: str) -> bytes:
        if name in BESIDE and (folder / name).is_file():
            return (folder / name).read_bytes()
        if name not in kept.names:
            raise NotInArchive(f"This lesson has no file {name}.")
        return kept.read(name)

    return send_file(request, name, read)


def _input(request: Request, draft: Draft, typed: Typed, *, status: int = 200) -> Response:
    state = state_of(request)
    coach = load_coach_file() if state.coach_file is None else open_coach_file(state.coach_file)
    enrolled = None
    if draft.student is not None:
        with state.open_archive() as archive:
            enrolled = load_student(archive, draft.student)
    return render(
        request,
        "lesson_input.html.jinja",
        status=status,
        draft=draft,
        typed=typed,
        outcome=find_outcome(state, draft),
        not_used=find_carried(state, draft).says,
        name=_name_of(draft),
        body=None if enrolled is None else say_body(enrolled),
        views=[(view, VIEW_TITLES[view]) for view in VIEWS],
        names={view: as_typed(about.name) for view, about in draft.about.items()},
        whole=clips_of(state, draft),
        steps=[each.title for each in coach.steps],
        understood=say_understood(draft.interview, handed=draft.who.handed),
        kept=bool(request.query_params.get("kept")),
    )


def _to_keep(draft: Draft) -> Response:
    """Go where it is said that the student was erased, and where the draft can be thrown away."""
    return RedirectResponse(f"/lessons/{draft.id}/keep", status_code=303)


def _draft(request: Request) -> Draft:
    return state_of(request).drafts.load(request.path_params["draft"])


def _name_of(draft: Draft) -> str:
    return as_typed(draft.who.name or "")


def _read_guest(typed: Typed, say: Callable[[str], str]) -> Student | None:
    student = read_student(typed, say)
    return None if student is None else read_putter(typed, student)


ROUTES: Final = (
    Route("/lessons", with_form(begin), methods=["POST"]),
    Route("/lessons/new", show_guest),
    Route("/lessons/{draft}", show_result),
    Route("/lessons/{draft}/input", show_input),
    Route("/lessons/{draft}/input", with_form(save_input), methods=["POST"]),
    Route("/lessons/{draft}/measure", measure, methods=["POST"]),
    Route("/lessons/{draft}/measuring", show_measuring),
    Route("/lessons/{draft}/cancel", cancel, methods=["POST"]),
    Route("/lessons/{draft}/swap", swap, methods=["POST"]),
    Route("/lessons/{draft}/clips/{view}/remove", remove_clip, methods=["POST"]),
    Route("/lessons/{draft}/files/{name:path}", send),
)
