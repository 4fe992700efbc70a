"""Files that are being added or deleted, so that there is never a file without a row; and the cleanup after a stop.

To add a file, first a pending add is written (a row of the table ``arrivals``). Then the file is stored. Then one
transaction replaces the pending add by a row in ``files``, together with the lesson that uses it. To delete a file, one
transaction removes its rows and writes a pending delete (a row of ``departures``). Then the file is removed, and the
pending delete with it. A program that is stopped in between leaves one of the two, and the next one that opens the
archive finishes the work: files that were only stored are removed again, and pending deletes are carried out. A file is
removed only inside a write transaction that sees that no lesson uses it.
"""

import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import FileRow, PendingAdd, PendingDelete
from putt_posture.archive.files.file_store import digest_of, is_digest, is_token, new_token
from putt_posture.disk.unfinished import LeftOver, do_to_the_end, settle_everywhere
from putt_posture.errors import ArchiveError

__all__ = [
    "Content",
    "PendingFiles",
    "adding_files",
    "clear_left_over",
    "digest_of_content",
    "mark_for_deletion",
    "sweep",
]

Content = bytes | Path | Callable[[], BinaryIO]
"""What to store: the bytes themselves, a file on disk, or a function that opens it."""


class PendingFiles:
    """Files that a program is adding to an archive.

    Parameters
    ----------
    archive : Archive
    token : str
        The name of this program's pending files.
    """

    def __init__(self, archive: Archive, token: str) -> None:
        self._archive = archive
        self._token = token
        self._sizes: dict[str, int] = {}

    def add(self, contents: Mapping[str, Content]) -> dict[str, str]:
        """Store files; they count after `confirm` was called in a transaction that succeeded.

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
            If one cannot be read or written, or changes while it is stored.
        """
        digests = {name: digest_of_content(content) for name, content in contents.items()}
        with self._archive.write() as session:
            session.add_all(PendingAdd(token=self._token, digest=digest) for digest in set(digests.values()))
        for name, content in contents.items():
            with _open(content) as source:
                self._sizes[digests[name]] = self._archive.files.put(source, digests[name], token=self._token)
        return digests

    def confirm(self, session: Session) -> None:
        """Replace the pending adds by rows in ``files``, in the transaction of the lesson that uses them.

        Parameters
        ----------
        session : Session
            Open transaction.

        Raises
        ------
        ArchiveError
            If another program took this one for stopped and removed its files.
        """
        self.hand_over(session)
        there = set(session.scalars(select(FileRow.digest).where(FileRow.digest.in_(self._sizes))))
        session.add_all(
            FileRow(digest=digest, size=size) for digest, size in self._sizes.items() if digest not in there
        )
        session.flush()

    def hand_over(self, session: Session) -> None:
        """Remove the pending adds in a transaction that writes the rows of the files itself; raises as `confirm` does.

        Parameters
        ----------
        session : Session
            Open transaction.
        """
        waiting = set(session.scalars(select(PendingAdd.digest).where(PendingAdd.token == self._token)))
        if waiting != self._sizes.keys():
            raise ArchiveError("The files were taken away while they were being filed. Do it again.")
        session.execute(delete(PendingAdd).where(PendingAdd.token == self._token))


@contextmanager
def adding_files(archive: Archive) -> Iterator[PendingFiles]:
    """Yield an object that adds files; those that were not confirmed are removed at the end.

    Parameters
    ----------
    archive : Archive
    """
    archive.check_writable()
    token = new_token()
    with archive.files.claim(token):
        try:
            yield PendingFiles(archive, token)
        finally:
            do_to_the_end(lambda: _give_up(archive, token))


def mark_for_deletion(session: Session, digests: Iterable[str]) -> int:
    """Write pending deletes for files that no lesson uses any more; `sweep` removes them. Return how many.

    Parameters
    ----------
    session : Session
        Open transaction.
    digests : Iterable[str]
        SHA-256 of each content.
    """
    going = set(digests)
    session.execute(delete(FileRow).where(FileRow.digest.in_(going)))
    waiting = set(session.scalars(select(PendingDelete.digest).where(PendingDelete.digest.in_(going))))
    session.add_all(PendingDelete(digest=digest) for digest in going - waiting)
    session.flush()
    return len(going)


def sweep(archive: Archive) -> tuple[str, ...]:
    """Finish the work of stopped programs, and leave running ones alone; return the tokens that were cleaned up.

    Parameters
    ----------
    archive : Archive
    """
    with archive.read() as session:
        tokens = set(session.scalars(select(PendingAdd.token).distinct()))
        pending_deletes = list(session.scalars(select(PendingDelete.digest)))
    known = set(archive.files.tokens())
    dead = []
    for token in sorted(tokens | known):
        if token not in known and not is_token(token):  # a row that was altered or inserted by hand
            _give_up(archive, token)
        elif not archive.files.is_live(token):
            _give_up(archive, token)
            archive.files.clear(token)
            dead.append(token)
    for digest in pending_deletes:
        with archive.write() as session:
            if is_digest(digest) and not _is_wanted(session, digest):
                archive.files.remove(digest)
            session.execute(delete(PendingDelete).where(PendingDelete.digest == digest))
    return tuple(dead)


def digest_of_content(content: Content) -> str:
    """Return the SHA-256 of a content, hexadecimal. Raises ArchiveError where it cannot be read.

    Parameters
    ----------
    content : Content
    """
    with _open(content) as source:
        return digest_of(source)


def clear_left_over(archive: Archive) -> tuple[LeftOver, ...]:
    """Finish or undo the work of stopped runs, and return what was found; running ones are left alone.

    In the archive these are pending adds and deletes. Outside of it they are backups, exports and reports that were
    being written: those that this user's runs noted, and those beside the archive.

    Parameters
    ----------
    archive : Archive
    """
    where = archive.files.title
    inside = [
        LeftOver(Path(where), f"Files that a stopped run was adding to {where} were removed.", gone=True)
        for _ in sweep(archive)
    ]
    beside = [archive.place.folder.parent] if archive.place.folder else []
    return (*inside, *settle_everywhere(*beside))


def _give_up(archive: Archive, token: str) -> None:
    """Remove the files of a token that were not confirmed."""
    with archive.read() as session:
        left = session.scalar(select(PendingAdd.digest).where(PendingAdd.token == token).limit(1))
    if left is None:
        return
    with archive.write() as session:
        digests = list(session.scalars(select(PendingAdd.digest).where(PendingAdd.token == token)))
        session.execute(delete(PendingAdd).where(PendingAdd.token == token))
        for digest in digests:
            if is_digest(digest) and not _is_wanted(session, digest):
                archive.files.remove(digest)


def _is_wanted(session: Session, digest: str) -> bool:
    rows = (
        select(FileRow.digest).where(FileRow.digest == digest),
        select(PendingAdd.digest).where(PendingAdd.digest == digest),
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
