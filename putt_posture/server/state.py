"""What all routes share."""

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import cast

from attrs import Factory, define, field
from starlette.requests import HTTPConnection

from putt_posture.archive import Archive, open_archive
from putt_posture.pages import Paper
from putt_posture.server.access import Access
from putt_posture.server.drafts import DAYS_KEPT, DraftStore
from putt_posture.server.opened import OpenedLessons
from putt_posture.server.uploads import UploadStore
from putt_posture.server.work import WorkRoom
from putt_posture.services import OpenFit
from putt_posture.services.correcting import CorrectedLesson
from putt_posture.shown_units import LengthUnit

__all__ = ["ServerState", "state_of"]


@define(kw_only=True, eq=False)
class ServerState:
    """What all routes share. The page of the settings changes what the coach may choose.

    Attributes
    ----------
    drafts : DraftStore
    access : Access
    archive, files : str or None
        Where the archive is, as for `open_archive`.
    hosts : frozenset of str
        Names, with port, by which this server may be asked for.
    addresses : tuple of str
        Addresses in the local network, with port, by which phones reach this server; empty if they are not let in.
    over_tls : bool
        Whether phones are served over TLS, so that their browsers give the page their camera.
    language : str
        Of the page, as in ISO 639-1.
    units : {"cm", "inches"}
        In which lengths are shown. The guard sets it for each request, so a route need not.
    paper : {"a4", "letter"}
        What PDFs are set for.
    hide_faces : bool
        Whether every head is hidden in lessons that are measured from now on, whatever the student allowed.
    coach_file : Path or None
        The coach's own bands, order and drills.
    days_kept : int
        After how many days without a change a draft is erased.
    today : callable
        Returns the day.
    tell : callable
        Takes a line for the terminal.
    work : WorkRoom
        What is being measured.
    uploads : UploadStore
        Clips that are arriving.
    opened : OpenedLessons
        Lessons that are put right by hand.
    fits : OpenedLessons
        Lessons whose fit is being tried out.
    moving : OpenedLessons
        The overlay clips that were shown last.
    pages : OpenedLessons
        The pages of filed lessons that were made last because someone asked for them.
    """

    drafts: DraftStore
    access: Access = field(default=Factory(lambda self: Access(self.drafts.folder), takes_self=True))
    archive: str | None = None
    files: str | None = None
    hosts: frozenset[str] = frozenset()
    addresses: tuple[str, ...] = ()
    over_tls: bool = False
    language: str = "en"
    units: LengthUnit = "cm"
    paper: Paper = "a4"
    hide_faces: bool = False
    coach_file: Path | None = None
    days_kept: int = DAYS_KEPT
    today: Callable[[], date] = date.today
    tell: Callable[[str], None] = field(default=print, repr=False)
    work: WorkRoom = field(factory=WorkRoom)
    opened: OpenedLessons[CorrectedLesson] = field(factory=OpenedLessons)
    uploads: UploadStore = field(init=False)
    fits: OpenedLessons[OpenFit] = field(factory=OpenedLessons)
    moving: OpenedLessons[bytes] = field(factory=OpenedLessons)
    pages: OpenedLessons[Mapping[str, bytes]] = field(factory=OpenedLessons)

    def __attrs_post_init__(self) -> None:
        self.uploads = UploadStore(self.drafts)

    def open_archive(self, *, make: bool = False) -> Archive:
        """Open the archive for one request.

        Parameters
        ----------
        make : bool
            Whether a missing archive is made.

        Raises
        ------
        UsageError, ArchiveError
            As `open_archive` of the archive does.
        """
        return open_archive(self.archive, files=self.files, make=make)

    def close(self) -> None:
        """End all that goes on: work, and checks of clips."""
        self.uploads.close()
        self.work.close()


def state_of(request: HTTPConnection) -> ServerState:
    """Return what is shared.

    Parameters
    ----------
    request : HTTPConnection
        A request or a WebSocket.
    """
    return cast(ServerState, request.app.state.shared)


def default_drafts_folder() -> Path:
    """Return where drafts are kept by default: in the user's own data."""
    from platformdirs import user_data_path

    return user_data_path("putt_posture", appauthor=False) / "drafts"
