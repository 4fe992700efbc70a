"""Where a lesson is that is changed on a page: a draft, or the archive; and routes that are the same for both."""

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from typing import Any, Final, Protocol, cast

from attrs import frozen
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from putt_posture.errors import NotInArchive, UsageError
from putt_posture.server.by_hand import MOST_BYTES, as_given
from putt_posture.server.rendering import answer_json, translate
from putt_posture.server.state import state_of
from putt_posture.services.correcting import (
    CorrectedLesson,
    find_filed_state,
    keep_corrected,
    keep_filed_corrected,
    open_filed_for_correcting,
    open_folder_for_correcting,
)
from putt_posture.services.stroke_clips import filed_clips, has_clip, views_with_filed_clips
from putt_posture.values import VIEW_TITLES, View

__all__ = [
    "DraftPlace",
    "FiledPlace",
    "LessonPlace",
    "at_place",
    "at_place_with_body",
    "keep_given",
    "read_time",
    "view_of",
]

_TIME: Final = re.compile(r"[0-9]{1,5}(\.[0-9]{1,20})?")


class LessonPlace(Protocol):
    """Where a lesson is that is put right: a draft, or the archive."""

    address: str
    """Of the page of the lesson."""

    def key(self) -> object:
        """Return what tells this state of the lesson from others."""

    def open(self) -> CorrectedLesson:
        """Open the lesson."""

    def clips(self) -> dict[View, Path]:
        """Return the clips that are there."""

    def moving(self, opened: CorrectedLesson) -> Collection[View]:
        """Return the views whose clips can be shown moving.

        Parameters
        ----------
        opened : CorrectedLesson
        """

    def moving_clips(self) -> AbstractContextManager[Mapping[View, Path]]:
        """Open the clips to be shown moving."""

    def keep(self, opened: CorrectedLesson, body: bytes) -> str:
        """Keep what is given by hand, and return a sentence.

        Parameters
        ----------
        opened : CorrectedLesson
        body : bytes
            What the page sent.
        """


@frozen
class DraftPlace:
    """A lesson at hand: its result folder."""

    request: Request

    @property
    def id(self) -> str:
        """The draft's."""
        return str(self.request.path_params["draft"])

    @property
    def address(self) -> str:
        """Of the page of the lesson."""
        return f"/lessons/{self.id}"

    def key(self) -> object:
        """Return what tells this state of the lesson from others."""
        drafts = state_of(self.request).drafts
        drafts.load(self.id)
        document = drafts.result_folder(self.id) / "measures.json"
        if not document.is_file():
            raise UsageError("This lesson was not measured yet. Measure its clips first.")
        return "draft", self.id, document.stat().st_mtime_ns

    def open(self) -> CorrectedLesson:
        """Open the lesson."""
        return open_folder_for_correcting(state_of(self.request).drafts.result_folder(self.id))

    def clips(self) -> dict[View, Path]:
        """Return the clips that are there."""
        drafts = state_of(self.request).drafts
        folder = drafts.clips_folder(self.id)
        return {view: folder / name for view, name in drafts.load(self.id).clips.items()}

    def moving(self, opened: CorrectedLesson) -> Collection[View]:
        """Return the views whose clips can be shown moving.

        Parameters
        ----------
        opened : CorrectedLesson
        """
        clips = self.clips()
        return [view for view in opened.found.views if has_clip(opened, clips, view)]

    def moving_clips(self) -> AbstractContextManager[Mapping[View, Path]]:
        """Open the clips to be shown moving."""
        return nullcontext(self.clips())

    def keep(self, opened: CorrectedLesson, body: bytes) -> str:
        """Keep what is given by hand, and return a sentence.

        Parameters
        ----------
        opened : CorrectedLesson
        body : bytes
            What the page sent.
        """
        folder = state_of(self.request).drafts.result_folder(self.id)
        keep_corrected(opened, as_given(body, opened), folder, clips=self.clips())
        return translate(self.request)("It is kept: numbers, report and pictures are made anew.")


@frozen
class FiledPlace:
    """A lesson of the archive: its result that counts."""

    request: Request

    @property
    def number(self) -> int:
        """The lesson's."""
        said = str(self.request.path_params["lesson"])
        if not said.isascii() or not said.isdecimal() or len(said) > 12:
            raise NotInArchive(f"There is no lesson {said!r:.20}.")
        return int(said)

    @property
    def address(self) -> str:
        """Of the page of the lesson."""
        return f"/filed/{self.number}"

    def key(self) -> object:
        """Return what tells this state of the lesson from others."""
        state = state_of(self.request)
        with state.open_archive() as archive:
            return "filed", find_filed_state(archive, self.number, today=state.today())

    def open(self) -> CorrectedLesson:
        """Open the lesson."""
        state = state_of(self.request)
        with state.open_archive() as archive:
            return open_filed_for_correcting(archive, self.number, today=state.today())

    def clips(self) -> dict[View, Path]:
        """Return the clips that are there."""
        return {}  # other frames are chosen while a lesson is at hand

    def moving(self, opened: CorrectedLesson) -> Collection[View]:
        """Return the views whose clips can be shown moving.

        Parameters
        ----------
        opened : CorrectedLesson
        """
        state = state_of(self.request)
        with state.open_archive() as archive:
            return views_with_filed_clips(archive, self.number, today=state.today())

    @contextmanager
    def moving_clips(self) -> Iterator[Mapping[View, Path]]:
        """Open the clips to be shown moving."""
        state = state_of(self.request)
        with (
            state.open_archive() as archive,
            filed_clips(archive, self.number, today=state.today()) as clips,
        ):
            yield clips

    def keep(self, opened: CorrectedLesson, body: bytes) -> str:
        """Keep what is given by hand, and return a sentence.

        Parameters
        ----------
        opened : CorrectedLesson
        body : bytes
            What the page sent.
        """
        state = state_of(self.request)
        with state.open_archive() as archive:
            done = keep_filed_corrected(archive, self.number, as_given(body, opened), today=state.today())
        if not done:
            return done.says
        return translate(self.request)("It is filed beside the first result, and counts in its place.")


def keep_given(place: LessonPlace, request: Request, opened: CorrectedLesson, body: bytes) -> Response:
    """Keep what is given by hand in a lesson, and answer where it is then.

    Parameters
    ----------
    place : LessonPlace
    request : Request
    opened : CorrectedLesson
        Of that place.
    body : bytes
        What the page sent.
    """
    says = place.keep(opened, body)
    return answer_json(request, {"says": says, "address": place.address})


def view_of(request: Request) -> View:
    """Return the view in the address of a request.

    Parameters
    ----------
    request : Request
    """
    view = request.path_params["view"]
    if view not in VIEW_TITLES:
        raise NotInArchive(f"There is no view {view!r:.30}.")
    return cast(View, view)


def read_time(text: str) -> float:
    """Read a clip time in an address, s.

    Parameters
    ----------
    text : str
    """
    if not _TIME.fullmatch(text):
        raise UsageError(f"{text!r:.30} is no time of a clip. Give seconds, such as 4.2.")
    return float(text)


def at_place(place: Callable[[Request], Any], act: Callable[[Any, Request], Response]) -> Callable[[Request], Response]:
    """Return a route that is asked for something.

    Parameters
    ----------
    place : callable
    act : callable
        Takes the place and the request.
    """

    def act_there(request: Request) -> Response:
        return act(place(request), request)

    return act_there


def at_place_with_body(place: Callable[[Request], Any], act: Callable[[Any, Request, bytes], Response]) -> Any:
    """Return a route that is sent something, and answers in the thread pool.

    Parameters
    ----------
    place : callable
    act : callable
        Takes the place, the request and what was sent.
    """

    async def act_with_body(request: Request) -> Response:
        parts, size = [], 0
        async for part in request.stream():
            size += len(part)
            if size > MOST_BYTES:
                raise UsageError(f"The page sent more than {MOST_BYTES} bytes. Load it again.")
            parts.append(part)
        return await run_in_threadpool(act, place(request), request, b"".join(parts))

    return act_with_body
