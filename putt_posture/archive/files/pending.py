"""Files on their way in and out, so that there is never a file without a row; what stopped runs left, taken away.

In: a row in ``arrivals`` says that a file will come; then the file comes; then one transaction turns the arrival into
a row in ``files``, together with the lesson that wants it. Out: one transaction takes the rows away and leaves one in
``departures``; then the file goes, and the departure with it. Whoever is stopped in between leaves an arrival or a
departure, and the next who opens the archive finishes the work: what only arrived is taken away again, what departed is
gone. Files come and go inside write transactions' reach: a file is removed only by one who is alone in writing and sees
that nobody wants it.
"""

import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import Arrival, Departure, FileRow
from putt_posture.archive.files.file_store import digest_of, is_digest, is_token, new_token
from putt_posture.disk.unfinished import LeftOver, do_to_the_end, settle_everywhere
from putt_posture.errors import ArchiveError

__all__ = ["Arrivals", "Content", "arriving", "clear_left_over", "depart", "digest_of_content", "sweep"]

Content = bytes | Path | Callable[[], BinaryIO]
"""What is to be kept: the bytes themselves, a file on disk, or what opens it."""


class Arrivals:
    """Files that a program is bringing into an archive.

    Parameters
    ----------
    archive : Archive
    token : str
        What this program's pending files are known by.
    """

    def __init__(self, archive: Archive, token: str) -> None:
        self._archive = archive
        self._token = token
        self._sizes: dict[str, int] = {}

    def bring(self, contents: Mapping[str, Content]) -> dict[str, str]:
        """Bring files in; they count once `settle` was called in a transaction that ended well.

        Parameters
        ----------
        contents : mapping of str to Content
            By name.

        Returns
        -------
        dict of str to str
            The digest of each, by name.

        Raises
        ------
        ArchiveError
            If one cannot be read or written, or changes meanwhile.
        """
        digests = {name: digest_of_content(content) for name, content in contents.items()}
        with self._archive.write() as session:
            session.add_all(Arrival(token=self._token, digest=digest) for digest in set(digests.values()))
        for name, content in contents.items():
            with _open(content) as source:
                self._sizes[digests[name]] = self._archive.files.put(source, digests[name], token=self._token)
        return digests

    def settle(self, session: Session) -> None:
        """Turn the arrivals into files, in the transaction of whoever wants them.

        Parameters
        ----------
        session : Session
            Open transaction.

        Raises
        ------
        ArchiveError
            If somebody took this for stopped and swept it away meanwhile.
        """
        self.hand_over(session)
        there = set(session.scalars(select(FileRow.digest).where(FileRow.digest.in_(self._sizes))))
        session.add_all(
            FileRow(digest=digest, size=size) for digest, size in self._sizes.items() if digest not in there
        )
        session.flush()

    def hand_over(self, session: Session) -> None:
        """Let the arrivals go to a transaction that brings the rows of the files itself; raises as `settle` does.

        Parameters
        ----------
        session : Session
            Open transaction.
        """
        waiting = set(session.scalars(select(Arrival.digest).where(Arrival.token == self._token)))
        if waiting != self._sizes.keys():
            raise ArchiveError("The files were taken away while they were being filed. Do it again.")
        session.execute(delete(Arrival).where(Arrival.token == self._token))


@contextmanager
def arriving(archive: Archive) -> Iterator[Arrivals]:
    """Yield the means to bring files in; what was brought and not settled is taken away again at the end.

    Parameters
    ----------
    archive : Archive
    """
    archive.check_writable()
    token = new_token()
    with archive.files.claim(token):
        try:
            yield Arrivals(archive, token)
        finally:
            do_to_the_end(lambda: _give_up(archive, token))


def depart(session: Session, digests: Iterable[str]) -> int:
    """Let go of those files that no lesson knows any more; `sweep` takes them away. Return how many.

    Parameters
    ----------
    session : Session
        Open transaction.
    digests : Iterable[str]
        SHA-256 of each content.
    """
    going = set(digests)
    session.execute(delete(FileRow).where(FileRow.digest.in_(going)))
    waiting = set(session.scalars(select(Departure.digest).where(Departure.digest.in_(going))))
    session.add_all(Departure(digest=digest) for digest in going - waiting)
    session.flush()
    return len(going)


def sweep(archive: Archive) -> tuple[str, ...]:
    """Finish what others left unfinished, those who are still at it left alone; return whose arrivals were swept.

    Parameters
    ----------
    archive : Archive
    """
    with archive.read() as session:
        tokens = set(session.scalars(select(Arrival.token).distinct()))
        departures = list(session.scalars(select(Departure.digest)))
    known = set(archive.files.tokens())
    dead = []
    for token in sorted(tokens | known):
        if token not in known and not is_token(token):  # a row that was altered, or put there: it goes
            _give_up(archive, token)
        elif not archive.files.is_live(token):
            _give_up(archive, token)
            archive.files.clear(token)
            dead.append(token)
    for digest in departures:
        with archive.write() as session:
            if is_digest(digest) and not _is_wanted(session, digest):
                archive.files.remove(digest)
            session.execute(delete(Departure).where(Departure.digest == digest))
    return tuple(dead)


def digest_of_content(content: Content) -> str:
    """Return the SHA-256 of what is to be kept, hexadecimal. Raises ArchiveError where it cannot be read.

    Parameters
    ----------
    content : Content
    """
    with _open(content) as source:
        return digest_of(source)


def clear_left_over(archive: Archive) -> tuple[LeftOver, ...]:
    """Finish or undo what stopped runs have left, and return it; those who are still at it are left alone.

    In the archive these are files that were on their way in or out; outside of it backups, exports and reports that
    were being written, wherever this user's runs noted them, and beside the archive.

    Parameters
    ----------
    archive : Archive
    """
    where = archive.files.title
    inside = [
        LeftOver(Path(where), f"Files that a stopped run was bringing into {where} were removed.", gone=True)
        for _ in sweep(archive)
    ]
    beside = [archive.place.folder.parent] if archive.place.folder else []
    return (*inside, *settle_everywhere(*beside))


def _give_up(archive: Archive, token: str) -> None:
    """Take away what arrived under a token and was not settled."""
    with archive.read() as session:
        left = session.scalar(select(Arrival.digest).where(Arrival.token == token).limit(1))
    if left is None:
        return
    with archive.write() as session:
        digests = list(session.scalars(select(Arrival.digest).where(Arrival.token == token)))
        session.execute(delete(Arrival).where(Arrival.token == token))
        for digest in digests:
            if is_digest(digest) and not _is_wanted(session, digest):
                archive.files.remove(digest)


def _is_wanted(session: Session, digest: str) -> bool:
    rows = (
        select(FileRow.digest).where(FileRow.digest == digest),
        select(Arrival.digest).where(Arrival.digest == digest),
    )
    return any(session.scalar(row.limit(1)) is not None for row in rows)


@contextmanager
def _open(content: Content) -> Iterator[BinaryIO]:
    if isinstance(content, bytes):
        yield io.BytesIO(content)
        return
    if callable(content):
        with content() as stream:
            yield stream
        return
    try:
        stream = content.open("rb")
    except OSError as error:
        raise ArchiveError(
            f"{content} cannot be read ({(error.strerror or type(error).__name__).lower()}). "
            "Give a file that can; nothing was filed."
        ) from None
    with stream:
        yield stream
