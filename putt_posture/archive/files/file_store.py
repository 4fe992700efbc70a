"""The store of an archive's files, by the digest of their content, and the names of files in a lesson.

A store knows nothing about students or rows. A file that has its final name is always complete.
"""

import errno
import hashlib
import os
import re
import secrets
import shutil
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from pathlib import Path
from typing import BinaryIO, Final, Protocol, get_args

from filelock import FileLock, Timeout

from putt_posture.archive.db.tables import CLIPS
from putt_posture.disk.folders import sync_folder
from putt_posture.disk.reading import FILE_RIGHTS, make_private_folder, open_privately
from putt_posture.disk.unfinished import do_to_the_end
from putt_posture.errors import ArchiveAway, ArchiveError
from putt_posture.records.kept import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES
from putt_posture.values import Moment, View

__all__ = [
    "Digesting",
    "FileStore",
    "FolderStore",
    "ReadsFiles",
    "check_digest",
    "check_moment",
    "check_name",
    "digest_of",
    "is_digest",
    "is_name",
    "is_token",
    "new_token",
    "refuse_no_digest",
]

_WRITTEN: Final = FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES
_CLIP: Final = re.compile(rf"{re.escape(CLIPS)}({'|'.join(get_args(View))})(\.[a-z0-9]{{1,20}})?")
_CHUNK: Final = 1 << 20
_INCOMING: Final = "incoming"
_LIVE: Final = "live"
_FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


class ReadsFiles(Protocol):
    """Files that are read by their digests."""

    def open(self, digest: str) -> BinaryIO:
        """Open a file for reading. Raises ArchiveError if it does not exist.

        Parameters
        ----------
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        """
        ...

    def digests(self) -> Iterator[str]:
        """Go through the digests of all files."""
        ...


class FileStore(Protocol):
    """The functions that an archive needs of its file store."""

    title: str

    def put(self, source: BinaryIO, digest: str, *, token: str) -> int:
        """Store the content of `source` under its digest, unless it is stored already; return its size in bytes.

        Parameters
        ----------
        source : BinaryIO
            Open for reading, in bytes.
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        token : str
            Of the writer, from `new_token`.

        Raises
        ------
        ArchiveError
            If the content has another digest, or cannot be written.
        """
        ...

    def open(self, digest: str) -> BinaryIO:
        """Open a stored file for reading. Raises ArchiveError if it does not exist.

        Parameters
        ----------
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        """
        ...

    def remove(self, digest: str) -> None:
        """Remove a file for good; nothing happens if it does not exist.

        Parameters
        ----------
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        """
        ...

    def digests(self) -> Iterator[str]:
        """Go through the digests of all stored files."""
        ...

    def strays(self) -> Iterator[str]:
        """Go through the names of files here that are not stored files and not the store's own."""
        ...

    def claim(self, token: str) -> AbstractContextManager[None]:
        """Mark this token as live during the block, so that other programs leave its files alone.

        Parameters
        ----------
        token : str
            Of the writer, from `new_token`.
        """
        ...

    def is_live(self, token: str) -> bool:
        """Tell whether a running program uses this token.

        Parameters
        ----------
        token : str
            Of the writer, from `new_token`.
        """
        ...

    def tokens(self) -> Iterator[str]:
        """Go through the tokens with unfinished work."""
        ...

    def clear(self, token: str) -> None:
        """Remove the unfinished files of this token.

        Parameters
        ----------
        token : str
            Of the writer, from `new_token`.
        """
        ...


class Digesting:
    """A stream for reading, with the digest of what was read so far.

    Parameters
    ----------
    source : BinaryIO
        Open for reading, in bytes.
    """

    def __init__(self, source: BinaryIO) -> None:
        self._source = source
        self._found = hashlib.sha256()

    def read(self, size: int = -1) -> bytes:
        """Read from the stream.

        Parameters
        ----------
        size : int
            How many bytes at most; −1 for all that is left.
        """
        data = self._source.read(size)
        self._found.update(data)
        return data

    @property
    def digest(self) -> str:
        """The SHA-256 of what was read, hexadecimal."""
        return self._found.hexdigest()


class FolderStore:
    """Files in a folder.

    ``ab/abcd…`` is the file of that digest, ``incoming/TOKEN`` has what is still being written, ``live/TOKEN`` is the
    lock of the program that adds it. A lock ends with its process, however that ends.

    Parameters
    ----------
    folder : Path
        It is made when the first file is stored.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.title = str(folder)

    def put(self, source: BinaryIO, digest: str, *, token: str) -> int:
        """Store a file; see `FileStore.put`.

        Parameters
        ----------
        source : BinaryIO
            Open for reading, in bytes.
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        token : str
            Of the writer, from `new_token`.
        """
        with self._one_sentence():
            final = self.path_of(digest)
            if final.is_file():
                return final.stat().st_size
            part = self.folder / _INCOMING / token / digest
            make_private_folder(part.parent)
            size = self._copy(source, part, digest)
            make_private_folder(final.parent)
            os.replace(part, final)
            sync_folder(final.parent)
            sync_folder(self.folder)
            return size

    def open(self, digest: str) -> BinaryIO:
        """Open a file; see `FileStore.open`.

        Parameters
        ----------
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        """
        try:
            return self.path_of(digest).open("rb")
        except OSError as error:
            raise ArchiveError(
                f"The file {digest[:12]}… of the archive cannot be read from {self.title} "
                f"({(error.strerror or type(error).__name__).lower()}). Run archive check to see what else is missing."
            ) from None

    def remove(self, digest: str) -> None:
        """Remove a file; see `FileStore.remove`.

        Parameters
        ----------
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        """
        with self._one_sentence():
            final = self.path_of(digest)
            final.unlink(missing_ok=True)
            if final.parent.is_dir():
                sync_folder(final.parent)

    def digests(self) -> Iterator[str]:
        """Go through the digests; see `FileStore.digests`."""
        for path in sorted(self.folder.glob("[0-9a-f][0-9a-f]/*")):
            if self._is_kept(path):
                yield path.name

    def strays(self) -> Iterator[str]:
        """Go through other files; see `FileStore.strays`."""
        tops = sorted(self.folder.iterdir()) if self.folder.is_dir() else []
        for top in tops:
            if top.name in (_INCOMING, _LIVE):
                continue  # what others are writing comes and goes while this looks
            for path in [top, *sorted(top.rglob("*"))]:
                if path.is_file() and not self._is_kept(path):
                    yield path.relative_to(self.folder).as_posix()

    @contextmanager
    def claim(self, token: str) -> Iterator[None]:
        """Hold the token's lock; see `FileStore.claim`.

        Parameters
        ----------
        token : str
            Of the writer, from `new_token`.
        """
        path = self._lock(token)
        lock = FileLock(path, mode=FILE_RIGHTS)

        def end() -> None:  # what cannot be removed now is removed when the archive is opened next
            with suppress(OSError):
                self.clear(token)
            lock.release()
            with suppress(OSError):
                path.unlink(missing_ok=True)

        try:
            with self._one_sentence():
                make_private_folder(path.parent)
                lock.acquire()
            yield
        finally:
            do_to_the_end(end)

    def is_live(self, token: str) -> bool:
        """Try the token's lock; see `FileStore.is_live`.

        Parameters
        ----------
        token : str
            Of the writer, from `new_token`.
        """
        lock = self._lock(token)
        if not lock.exists():
            return False
        try:
            with FileLock(lock, timeout=0, mode=FILE_RIGHTS):
                return False
        except Timeout:
            return True

    def tokens(self) -> Iterator[str]:
        """Go through the tokens; see `FileStore.tokens`."""
        yield from sorted({path.name for part in (_INCOMING, _LIVE) for path in (self.folder / part).glob("*")})

    def clear(self, token: str) -> None:
        """Remove the token's unfinished files; see `FileStore.clear`.

        Parameters
        ----------
        token : str
            Of the writer, from `new_token`.
        """
        shutil.rmtree(self.folder / _INCOMING / token, ignore_errors=True)
        if not self.is_live(token):
            with suppress(NotADirectoryError):
                self._lock(token).unlink(missing_ok=True)

    def path_of(self, digest: str) -> Path:
        """Return the path of the file of a digest, which may not exist. Raises ArchiveError if it is not a digest.

        Parameters
        ----------
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        """
        refuse_no_digest(digest)
        return self.folder / digest[:2] / digest

    def _is_kept(self, path: Path) -> bool:
        return is_digest(path.name) and path == self.path_of(path.name) and path.is_file()

    @contextmanager
    def _one_sentence(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            reason = (error.strerror or type(error).__name__).lower()
            advice = "Make room on the disk" if error.errno in _FULL else "See that you may write there"
            raise ArchiveAway(
                f"The files of the archive cannot be written to {self.title} ({reason}). Nothing was changed. "
                f"{advice} and try again."
            ) from error

    def _lock(self, token: str) -> Path:
        return self.folder / _LIVE / token

    def _copy(self, source: BinaryIO, part: Path, digest: str) -> int:
        found = hashlib.sha256()
        with open(part, "wb", opener=open_privately) as stream:
            while chunk := source.read(_CHUNK):
                found.update(chunk)
                stream.write(chunk)
            stream.flush()
            os.fsync(stream.fileno())
            size = stream.tell()
        try:
            check_digest(found.hexdigest(), digest)
        except ArchiveError:
            part.unlink()
            raise
        return size


def is_name(name: object) -> bool:
    """Tell whether a file of a lesson can have this name: one that the program writes, or a clip's.

    So it is relative, and has no ``..``, no drive and no control character.

    Parameters
    ----------
    name : object
        As found among the files.

    Examples
    --------
    >>> is_name("clips/face_on.mov"), is_name("../measures.json")
    (True, False)
    """
    return isinstance(name, str) and (name in _WRITTEN or _CLIP.fullmatch(name) is not None)


def check_name(name: str, *, lesson: int) -> str:
    """Return a file name from a row, if it is valid. Raises ArchiveError.

    Parameters
    ----------
    name : str
        Of the file, with its ending.
    lesson : int
        Number of the lesson.
    """
    if not is_name(name):
        raise ArchiveError(
            f"Lesson {lesson} has a file with the name {name!r}, which this program never gives. "
            "Restore the archive from a backup, or erase the lesson; nothing was read or written."
        )
    return name


def check_moment(moment: str, *, lesson: int) -> str:
    """Return the moment of a lesson from a row, if it is valid; folder names contain it. Raises ArchiveError.

    Parameters
    ----------
    moment : str
        As in the row.
    lesson : int
        Number of the lesson.
    """
    if moment not in get_args(Moment):
        raise ArchiveError(
            f"Lesson {lesson} is said to be of {moment!r}, and {', '.join(get_args(Moment))} are known. "
            "Restore the archive from a backup, or erase the lesson; nothing was read or written."
        )
    return moment


def digest_of(source: BinaryIO) -> str:
    """Return the SHA-256 of the rest of a stream, hexadecimal.

    Parameters
    ----------
    source : BinaryIO
        Open for reading, in bytes.
    """
    found = hashlib.sha256()
    while chunk := source.read(_CHUNK):
        found.update(chunk)
    return found.hexdigest()


def check_digest(found: str, wanted: str) -> None:
    """Refuse a content with another digest than the wanted one. Raises ArchiveError.

    Parameters
    ----------
    found : str
        Digest of what was read.
    wanted : str
        Digest that the content must have.
    """
    if found != wanted:
        raise ArchiveError(
            f"A file changed while it was being filed: its digest is {found[:12]}…, and {wanted[:12]}… was expected. "
            "File it again when nothing else writes to it."
        )


def is_digest(name: object) -> bool:
    """Tell whether a name can be that of a stored file.

    Parameters
    ----------
    name : object
        As found among the files.
    """
    return isinstance(name, str) and re.fullmatch("[0-9a-f]{64}", name) is not None


def new_token() -> str:
    """Return a new, unique token."""
    return secrets.token_hex(8)


def is_token(name: object) -> bool:
    """Tell whether a name can be a token of `new_token`.

    Parameters
    ----------
    name : object
        As found among the files.
    """
    return isinstance(name, str) and re.fullmatch("[0-9a-f]{16}", name) is not None


def refuse_no_digest(name: str) -> None:
    """Refuse a name that is not a digest, so that an altered row cannot lead to another file. Raises ArchiveError.

    Parameters
    ----------
    name : str
        Of a stored file.
    """
    if not is_digest(name):
        raise ArchiveError(f"{name!r} is not the digest of a file. Run archive check to see what else was altered.")
