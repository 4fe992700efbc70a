"""The source of a backup: a folder, or one encrypted file."""

import hashlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Final, Protocol

from sqlalchemy import Engine

from putt_posture.archive.db.engine import make_engine_of_bytes, make_engine_of_copy
from putt_posture.archive.files.file_store import FolderStore, ReadsFiles
from putt_posture.archive.files.pending import digest_of_content
from putt_posture.archive.place import DATABASE_FILE, MANIFEST
from putt_posture.disk.reading import read_limited
from putt_posture.disk.sealing import OpeningKey, SealedReader, is_sealed, open_sealed
from putt_posture.errors import ArchiveError, SealError, UsageError

__all__ = ["BackupSource", "entries_of", "open_source"]

_FILES: Final = "files"
_MANIFEST_BYTES: Final = 256 << 20
"""A manifest lists each file in less than 100 bytes, so this is enough for more than two million files."""


class BackupSource(Protocol):
    """The source of a backup; `title` is its name in messages."""

    title: str

    def read_manifest(self) -> bytes:
        """Return the text of the manifest. Raises UsageError if it is not a backup."""
        ...

    def digest_of_database(self) -> str | None:
        """Return the SHA-256 of the database, hexadecimal; None if it is missing."""
        ...

    def make_engine(self, *, in_memory: bool) -> Engine:
        """Make the engine of the database; see `make_engine_of_copy`.

        Parameters
        ----------
        in_memory : bool
            Whether the copy is kept in memory.
        """
        ...

    def store_of(self, digests: Iterable[str]) -> ReadsFiles:
        """Return the files with these digests, which the manifest lists.

        Parameters
        ----------
        digests : Iterable[str]
            SHA-256 of each content.
        """
        ...


class _Folder:
    def __init__(self, folder: Path) -> None:
        self.title = str(folder)
        self._folder = folder

    def read_manifest(self) -> bytes:
        path = self._folder / MANIFEST
        if not path.is_file():
            raise UsageError(f"The folder {self._folder} holds no {MANIFEST}. Give a folder that archive backup made.")
        return read_limited(path, most_bytes=_MANIFEST_BYTES, what="manifest")

    def digest_of_database(self) -> str | None:
        path = self._folder / DATABASE_FILE
        return digest_of_content(path) if path.is_file() else None

    def make_engine(self, *, in_memory: bool) -> Engine:
        return make_engine_of_copy(self._folder / DATABASE_FILE, in_memory=in_memory)

    def store_of(self, _digests: Iterable[str]) -> ReadsFiles:
        return FolderStore(self._folder / _FILES)


class _Sealed:
    """An encrypted backup; its database is read into memory, so that nothing of it is on a disk unencrypted."""

    def __init__(self, sealed: SealedReader) -> None:
        self.title = sealed.title
        self._sealed = sealed
        self._database: bytes | None = None

    def read_manifest(self) -> bytes:
        if MANIFEST not in self._sealed.names:
            raise UsageError(f"{self.title} is encrypted, but not a backup. Give a file that archive backup made.")
        with self._sealed.open(MANIFEST) as stream:
            return stream.read()

    def digest_of_database(self) -> str | None:
        return hashlib.sha256(self._read_database()).hexdigest() if DATABASE_FILE in self._sealed.names else None

    def make_engine(self, *, in_memory: bool) -> Engine:
        return make_engine_of_bytes(self._read_database())

    def store_of(self, digests: Iterable[str]) -> ReadsFiles:
        return _SealedStore(self._sealed, digests)

    def _read_database(self) -> bytes:
        if self._database is None:
            with self._sealed.open(DATABASE_FILE) as stream:
                self._database = stream.read()
        return self._database


class _SealedStore:
    def __init__(self, sealed: SealedReader, digests: Iterable[str]) -> None:
        self._sealed = sealed
        self._entries = entries_of(digests)

    def open(self, digest: str) -> BinaryIO:
        try:
            return self._sealed.open(self._entries[digest])
        except (KeyError, SealError):
            raise ArchiveError(f"The file {digest} is not in {self._sealed.title}. Give another backup.") from None

    def digests(self) -> Iterator[str]:
        yield from (digest for digest, name in self._entries.items() if name in self._sealed.names)


@contextmanager
def open_source(path: Path, key: OpeningKey | None) -> Iterator[BackupSource]:
    """Yield the source of a backup; `key` is for an encrypted one. Raises UsageError and SealError.

    Parameters
    ----------
    path : Path
        A folder or an encrypted file.
    key : OpeningKey or None
        What opens it, where it is encrypted.
    """
    if not path.is_file():
        yield _Folder(path)
    elif is_sealed(path):
        with open_sealed(path, key or OpeningKey()) as sealed:
            yield _Sealed(sealed)
    else:
        raise UsageError(
            f"{path} is not a backup, or is damaged. Give the folder or the encrypted file that archive backup made."
        )


def entries_of(digests: Iterable[str]) -> dict[str, str]:
    """Return the names of the files' entries in an encrypted backup, by digest; the names say nothing about a file.

    Parameters
    ----------
    digests : Iterable[str]
        SHA-256 of each content.
    """
    return {digest: f"{_FILES}/{place}" for place, digest in enumerate(sorted(digests), start=1)}
