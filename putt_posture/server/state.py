"""What all routes share."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import cast

from attrs import field, frozen
from starlette.requests import HTTPConnection

from putt_posture.archive import Archive, open_archive
from putt_posture.server.access import Access
from putt_posture.server.drafts import DraftStore

__all__ = ["ServerState", "state_of"]


@frozen(kw_only=True)
class ServerState:
    """What all routes share.

    Attributes
    ----------
    drafts : DraftStore
    access : Access
    archive, files : str or None
        Where the archive is, as for `open_archive`.
    hosts : frozenset of str
        Names, with port, by which this server may be asked for.
    language : str
        Of the page, as in ISO 639-1.
    today : callable
        Returns the day.
    """

    drafts: DraftStore
    access: Access = field(factory=Access)
    archive: str | None = None
    files: str | None = None
    hosts: frozenset[str] = frozenset()
    language: str = "en"
    today: Callable[[], date] = date.today

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
