"""The first page: lessons at hand, students, a sample to try, and how to begin."""

import shutil
from datetime import UTC, datetime
from typing import Final

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putt_posture.archive import load_overview
from putt_posture.clips.files import read_digest
from putt_posture.demo import load_samples
from putt_posture.errors import ArchiveError, NotInArchive
from putt_posture.pages.setting import as_typed
from putt_posture.server.drafts import AboutClip
from putt_posture.server.measuring import find_outcome
from putt_posture.server.rendering import render
from putt_posture.server.state import state_of
from putt_posture.services.sentences import say_distance
from putt_posture.values import VIEW_TITLES, View

__all__ = ["ROUTES"]


def start(request: Request) -> Response:
    """Show the first page.

    Parameters
    ----------
    request : Request
    """
    state = state_of(request)
    overview, trouble = None, ""
    try:
        with state.open_archive() as archive:
            overview = load_overview(archive, today=state.today())
    except ArchiveError as error:
        trouble = str(error)
    drafts = [(draft, find_outcome(state, draft)) for draft in state.drafts.list()]
    return render(
        request,
        "start.html.jinja",
        overview=overview,
        trouble=trouble,
        drafts=drafts,
        samples=load_samples(),
        say_distance=lambda day: say_distance(day, today=state.today()),
        as_typed=as_typed,
    )


def try_sample(request: Request) -> Response:
    """Begin a lesson with a sample student and the sample clips; the student is a guest and is not filed.

    Parameters
    ----------
    request : Request
    """
    state, wanted = state_of(request), request.path_params["name"]
    sample = next((each for each in load_samples() if each.name == wanted), None)
    if sample is None:
        raise NotInArchive(f"There is no sample {wanted!r}. Take one of the first page.")
    draft = state.drafts.begin(sample.student, now=datetime.now(UTC), interview=sample.interview)
    names: dict[View, str] = {}
    about: dict[View, AboutClip] = {}
    for view, clip in sample.clips.items():
        name = f"{view}{clip.suffix}"
        shutil.copyfile(clip, state.drafts.clips_folder(draft.id) / name)
        names[view] = name
        about[view] = AboutClip(
            name=clip.name, sha256=read_digest(clip), says=(f"A sample clip: {VIEW_TITLES[view]}.",)
        )
    state.drafts.change(draft.id, clips=names, about=about)
    return RedirectResponse(f"/lessons/{draft.id}/input", status_code=303)


ROUTES: Final = (Route("/", start), Route("/samples/{name}", try_sample, methods=["POST"]))
