"""A lesson kept, saved as a file, or thrown away; and a lesson of the archive, as far as it may be shown today."""

import hashlib
import io
import zipfile
from typing import Final, cast

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putt_posture.archive import (
    Archive,
    FoundStudent,
    LessonNotes,
    find_students,
    load_lesson,
    load_permission,
    load_student,
    open_lesson,
)
from putt_posture.documents import DOCUMENT
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.figures import format_day
from putt_posture.pages.interview import answers_of
from putt_posture.pages.setting import as_typed
from putt_posture.pages.to_send import TO_SEND
from putt_posture.records import KeptLesson, read_result_folder
from putt_posture.server.drafts import Draft
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.left_behind import say_gone, throw_away
from putt_posture.server.measuring import clips_of, find_outcome
from putt_posture.server.rendering import render, translate
from putt_posture.server.showing import send_file, show_lesson
from putt_posture.server.state import ServerState, state_of
from putt_posture.services import Filed, Filing, add_pages, file_folder, find_filing_day, lacks_pages, make_pages
from putt_posture.services.sentences import say_consents, say_doubts, say_drifts
from putt_posture.shown_units import shown_length_unit
from putt_posture.units import read_day
from putt_posture.values import Moment
from putt_posture.values.history import MOMENTS

__all__ = ["ROUTES"]


def show_keep(request: Request) -> Response:
    """Show what can be done with a measured lesson: file it, save it, or throw it away; a guest is enrolled first.

    Parameters
    ----------
    request : Request
        ``name`` in its query is searched for, as the guest may be a student of the archive already.
    """
    state = state_of(request)
    draft = state.drafts.load(request.path_params["draft"])
    known: dict[str, str] = {
        "moment": draft.moment, "pictures": "yes", "name": request.query_params.get("name", ""),
    }  # fmt: skip
    if find_outcome(state, draft).has_result:
        folder = state.drafts.result_folder(draft.id)
        dated = find_filing_day(clips_of(state, draft), today=state.today())
        known["day"] = dated.day.isoformat()
        if not read_result_folder(folder).record.faces_hidden and _may_show_faces(state, draft):
            known["clips"] = "yes"
    return _keep(request, draft, Typed.filled(known))


def keep(request: Request, typed: Typed) -> Response:
    """File the lesson in the archive; what is kept of it is what the student allows.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    state, say = state_of(request), translate(request)
    draft = state.drafts.load(request.path_params["draft"])
    day = typed.read("day", read_day, needed=say("Give the day of the lesson."))
    if draft.student is None:
        typed.errors["day"] = say("A guest is not filed. Save the lesson as a file, or enrol the student.")
    outcome = find_outcome(state, draft)
    if not outcome.has_result or outcome.is_stale:
        typed.errors[""] = say("The lesson has to be measured first, as it is now.")
    if not typed or day is None or draft.student is None:
        return _keep(request, draft, typed, status=400)
    moment = typed.choice("moment", MOMENTS) or draft.moment
    filing = Filing(
        student=draft.student,
        day=day,
        moment=cast(Moment, moment),
        notes=LessonNotes(place=typed.text("place"), coach=typed.text("coach")).filled_from(draft.interview),
        clips=clips_of(state, draft),
        keep_pictures=typed.ticked("pictures"),
        keep_clips=typed.ticked("clips"),
    )
    filed = typed.check("", _file, state, filing, draft)
    if filed is None:
        return _keep(request, draft, typed, status=400)
    state.drafts.erase(draft.id)
    return render(
        request,
        "kept.html.jinja",
        filed=filed,
        day=format_day(filed.lesson.day),
        name=as_typed(filed.student.name),
        drifts=say_drifts(filed.overview),
    )


def _may_show_faces(state: ServerState, draft: Draft) -> bool:
    if draft.student is None or say_gone(state, draft):
        return False
    with state.open_archive() as archive:
        return "faces" in load_permission(archive, draft.student).allowed(state.today(), use="filing")


def _file(state: ServerState, filing: Filing, draft: Draft) -> Filed:
    with state.open_archive() as archive:
        return file_folder(archive, filing, state.drafts.result_folder(draft.id), today=state.today())


def _keep(request: Request, draft: Draft, typed: Typed, *, status: int = 200) -> Response:
    state = state_of(request)
    consents, doubts, found, gone = [], [], None, say_gone(state, draft)
    if draft.student is None and typed.text("name"):
        found = typed.check("name", _find, state, typed.text("name"))
    if gone:
        status = 404
    elif draft.student is not None:
        with state.open_archive() as archive:
            permission = load_permission(archive, draft.student)
        consents = say_consents(permission, today=state.today())
        doubts = say_doubts(permission, today=state.today())
    outcome = find_outcome(state, draft)
    draft = state.drafts.load(draft.id)  # where the button was pressed twice, it is filed and gone by now
    return render(
        request,
        "keep.html.jinja",
        status=status,
        draft=draft,
        typed=typed,
        outcome=outcome,
        name=as_typed(draft.who.name or ""),
        consents=consents,
        doubts=doubts,
        gone=gone,
        found=found,
        as_typed=as_typed,
    )


def _find(state: ServerState, name: str) -> tuple[FoundStudent, ...]:
    try:
        opened = state.open_archive()
    except ArchiveError:  # it is made when the first student is enrolled
        return ()
    with opened as archive:
        return find_students(archive, name)


def save(request: Request) -> Response:
    """Send all files of the result as one zip file.

    Parameters
    ----------
    request : Request
    """
    state = state_of(request)
    draft = state.drafts.load(request.path_params["draft"])
    if not find_outcome(state, draft).has_result:
        say = translate(request)
        raise UsageError(say("The lesson has to be measured first."))
    folder = state.drafts.result_folder(draft.id)
    kept = read_result_folder(folder)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as pack:  # pictures and PDFs are packed already
        for name in sorted(kept.names):
            pack.writestr(f"lesson/{name}", kept.read(name))
        if (folder / TO_SEND).is_file():
            pack.writestr(f"lesson/{TO_SEND}", (folder / TO_SEND).read_bytes())
    headers = {"content-disposition": 'attachment; filename="lesson.zip"'}
    return Response(packed.getvalue(), media_type="application/zip", headers=headers)


def discard(request: Request, typed: Typed) -> Response:
    """Throw a lesson away, with its clips and result.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    state = state_of(request)
    draft = state.drafts.load(request.path_params["draft"])
    if not typed.ticked("sure"):
        say = translate(request)
        typed.errors["sure"] = say("Tick the box if the lesson is to be thrown away.")
        return _keep(request, draft, typed, status=400)
    throw_away(state, draft.id)
    return RedirectResponse("/", status_code=303)


def show_filed(request: Request) -> Response:
    """Show a lesson of the archive, as far as it may be shown today.

    Parameters
    ----------
    request : Request
    """
    state, number = state_of(request), request.path_params["lesson"]
    with state.open_archive() as archive:
        filed = load_lesson(archive, number, today=state.today())
        kept = _open_filed(state, archive, number)
        return show_lesson(
            request, "filed.html.jinja", kept, filed=filed, files=f"/filed/{number}/files",
            stroke=f"/filed/{number}/stroke",
            name=as_typed(load_student(archive, filed.student).name), answers=answers_of(filed.notes),
            place=as_typed(", ".join(filter(None, (filed.notes.place, filed.notes.coach)))),
        )  # fmt: skip


def send_filed(request: Request) -> Response:
    """Send a file of a lesson of the archive, as far as it may be shown today.

    Parameters
    ----------
    request : Request
    """
    state, number = state_of(request), request.path_params["lesson"]
    with state.open_archive() as archive:
        kept = _open_filed(state, archive, number)

        def read(name: str) -> bytes:
            if name not in kept.names:
                raise UsageError(f"Of lesson {number} no file {name} is kept, or it may not be shown today.")
            return kept.read(name)

        return send_file(request, request.path_params["name"], read)


def _open_filed(state: ServerState, archive: Archive, number: int) -> KeptLesson:
    """Open a lesson of the archive as far as it may be shown today, with its pages."""
    kept = open_lesson(archive, number, today=state.today())
    if not lacks_pages(kept):
        return kept
    shown = hashlib.sha256(kept.read(DOCUMENT) + repr(sorted(kept.names)).encode()).hexdigest()
    with state.pages.use((number, shown, shown_length_unit()), lambda: make_pages(kept, paper=state.paper)) as pages:
        return add_pages(kept, pages)


ROUTES: Final = (
    Route("/lessons/{draft}/keep", show_keep),
    Route("/lessons/{draft}/keep", with_form(keep), methods=["POST"]),
    Route("/lessons/{draft}/save", save),
    Route("/lessons/{draft}/discard", with_form(discard), methods=["POST"]),
    Route("/filed/{lesson:int}", show_filed),
    Route("/filed/{lesson:int}/files/{name:path}", send_filed),
)
