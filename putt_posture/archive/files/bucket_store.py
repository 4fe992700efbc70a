"""Files of an archive in a bucket, by the obstore library (the extra ``bucket``).

``files/ab/abcd…`` is the file of that digest. ``live/TOKEN`` has the time since when a program adds files under that
token. A bucket has no locks: a program that has been adding files for more than a day counts as stopped.
"""

import hashlib
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from typing import BinaryIO, Final, cast

from putt_posture.archive.files.file_store import check_digest, is_digest, refuse_no_digest
from putt_posture.buckets import open_bucket
from putt_posture.errors import ArchiveAway, ArchiveError, UsageError

__all__ = ["BucketStore"]

_CHUNK: Final = 1 << 20
_GONE_AFTER: Final = timedelta(days=1)


class BucketStore:
    """Files in a bucket.

    Parameters
    ----------
    url : str
        ``s3://bucket/prefix``, ``gs://…``, ``az://…``; credentials come from the environment, as obstore finds them.
        ``memory:///`` is for tests.
    """

    def __init__(self, url: str) -> None:
        try:
            self._bucket = open_bucket(url)
        except UsageError as error:
            raise ArchiveError(str(error)) from None
        self.title = self._bucket.title
        self._url = url
        self._obstore = self._bucket.obstore
        self._error = self._bucket.error
        self._store = self._bucket.store

    def put(self, source: BinaryIO, digest: str, *, token: str) -> int:
        """Store a file; see `FileStore.put`. A bucket shows an object only when it is complete.

        Parameters
        ----------
        source : BinaryIO
            Open for reading, in bytes.
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        token : str
            Of the writer, from `new_token`.
        """
        found = hashlib.sha256()
        with tempfile.TemporaryFile() as whole, self._one_sentence(digest):
            if (there := self._size(digest)) is not None:
                return there
            while chunk := source.read(_CHUNK):
                found.update(chunk)
                whole.write(chunk)
            size = whole.tell()
            check_digest(found.hexdigest(), digest)
            whole.seek(0)
            self._obstore.put(self._store, self._path(digest), whole)
        return size

    def open(self, digest: str) -> BinaryIO:
        """Open a file; see `FileStore.open`.

        Parameters
        ----------
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        """
        with self._one_sentence(digest):
            whole = tempfile.TemporaryFile()  # noqa: SIM115, the caller closes it
            try:
                self._bucket.copy_out(self._path(digest), whole)
                whole.seek(0)
            except BaseException:
                whole.close()
                raise
        return cast(BinaryIO, whole)

    def remove(self, digest: str) -> None:
        """Remove a file; see `FileStore.remove`.

        Parameters
        ----------
        digest : str
            SHA-256 of the content, 64 hexadecimal digits.
        """
        self._delete(self._path(digest))

    def digests(self) -> Iterator[str]:
        """Go through the digests; see `FileStore.digests`."""
        yield from sorted(name for path, name in self._listed("files/") if is_digest(name) and path == self._path(name))

    def strays(self) -> Iterator[str]:
        """Go through other objects; see `FileStore.strays`."""
        for path, name in sorted(self._listed(None)):
            if not (path.startswith("live/") or (is_digest(name) and path == self._path(name))):
                yield path

    @contextmanager
    def claim(self, token: str) -> Iterator[None]:
        """Write a live mark with the time; see `FileStore.claim`.

        Parameters
        ----------
        token : str
            Of the writer, from `new_token`.
        """
        with self._one_sentence(token):
            self._obstore.put(self._store, f"live/{token}", datetime.now(UTC).isoformat().encode())
        try:
            yield
        finally:
            self.clear(token)

    def is_live(self, token: str) -> bool:
        """Read the time of the live mark; see `FileStore.is_live`.

        Parameters
        ----------
        token : str
            Of the writer, from `new_token`.
        """
        try:
            with self._one_sentence(token):
                said = bytes(self._obstore.get(self._store, f"live/{token}").bytes()).decode()
        except ArchiveError as error:
            if isinstance(error.__cause__, FileNotFoundError):
                return False
            raise
        return datetime.now(UTC) - datetime.fromisoformat(said) < _GONE_AFTER

    def tokens(self) -> Iterator[str]:
        """Go through the live marks; see `FileStore.tokens`."""
        yield from sorted(name for _, name in self._listed("live/"))

    def clear(self, token: str) -> None:
        """Remove the live mark; see `FileStore.clear`.

        Parameters
        ----------
        token : str
            Of the writer, from `new_token`.
        """
        self._delete(f"live/{token}")

    def _listed(self, prefix: str | None) -> Iterator[tuple[str, str]]:
        """Go through the objects: the full path, and its last part."""
        with self._one_sentence("list"):
            for batch in self._obstore.list(self._store, prefix=prefix):
                yield from ((each["path"], each["path"].rpartition("/")[2]) for each in batch)

    def _size(self, digest: str) -> int | None:
        try:
            return int(self._obstore.head(self._store, self._path(digest))["size"])
        except FileNotFoundError:
            return None

    def _delete(self, path: str) -> None:
        with self._one_sentence(path), suppress(FileNotFoundError):
            self._obstore.delete(self._store, path)

    @staticmethod
    def _path(digest: str) -> str:
        refuse_no_digest(digest)
        return f"files/{digest[:2]}/{digest}"

    @contextmanager
    def _one_sentence(self, what: str) -> Iterator[None]:
        try:
            yield
        except (self._error, OSError) as error:
            raise ArchiveAway(
                f"The bucket {self.title} refused {what[:12]}… ({self._say(error)}). Nothing was changed."
            ) from error

    def _say(self, error: Exception) -> str:
        """Return the first line of an error, without keys."""
        return self._bucket.say(error).replace(self._url, self.title)
