"""Files in buckets, by the obstore library (the extra ``bucket``): the one way in which the program reads them.

A bucket is named by its URL, ``s3://bucket/prefix``, ``gs://…`` or ``az://…``; keys and the address of the server come
from the environment, as obstore finds them (``AWS_ACCESS_KEY_ID``, ``AWS_ENDPOINT``). ``file:///folder`` and
``memory:///`` are for tests. obstore itself tries again for some minutes where a bucket does not answer.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import PurePosixPath
from typing import Any, BinaryIO, Final

from attrs import evolve, frozen

from putt_posture.errors import BucketAway, InstallationError, UnreadableClip, UsageError
from putt_posture.shown import hide_passwords

__all__ = ["BucketFile", "OpenBucket", "is_bucket_url", "list_bucket", "open_bucket", "read_bucket_url"]

_CHUNK: Final = 1 << 20
_MISSING: Final = ("FileNotFoundError", "NotFoundError")
_REFUSED: Final = ("PermissionDeniedError", "UnauthenticatedError")


@frozen(kw_only=True)
class OpenBucket:
    """An open bucket.

    Attributes
    ----------
    title : str
        Its URL without keys.
    store : object
        Of obstore.
    obstore : module
    error : type
        The root of obstore's errors.
    """

    title: str
    store: Any
    obstore: Any
    error: type[Exception]

    def copy_out(self, path: str, target: BinaryIO, *, e_tag: str | None = None) -> None:
        """Write the content of an object to an open file, piece by piece.

        Parameters
        ----------
        path : str
        target : BinaryIO
        e_tag : str, optional
            The object must still be the one of this tag.
        """
        found = self.obstore.get(self.store, path, options={"if_match": e_tag} if e_tag else None)
        for chunk in found.stream(min_chunk_size=_CHUNK):
            target.write(memoryview(chunk))

    def say(self, error: Exception) -> str:
        """Return the first line of an error, without keys.

        Parameters
        ----------
        error : Exception
        """
        return hide_passwords((str(error).splitlines() or [type(error).__name__])[0])


@frozen(kw_only=True)
class BucketFile:
    """A clip in a bucket.

    Attributes
    ----------
    root : str
        URL of the bucket.
    path : str
        Within it.
    size : int
        In bytes; -1 where it was not asked for.
    e_tag : str
        What the bucket calls this content; empty where it was not asked for.
    """

    root: str
    path: str
    size: int = -1
    e_tag: str = ""

    @property
    def name(self) -> str:
        """The last part of its path."""
        return PurePosixPath(self.path).name

    @property
    def mark(self) -> str:
        """What makes it this content, without loading it: where it is, its size, and what the bucket calls it."""
        return f"{self} {self.size} {self.e_tag}"

    def __str__(self) -> str:
        return hide_passwords(f"{self.root.rstrip('/')}/{self.path}")

    def look(self) -> "BucketFile":
        """Return it with its size and tag, as the bucket says them now.

        Raises
        ------
        UnreadableClip
            If it is not there, or may not be read.
        BucketAway
            If the bucket does not answer.
        """
        with self._one_sentence() as bucket:
            found = bucket.obstore.head(bucket.store, self.path)
        return evolve(self, size=int(found["size"]), e_tag=found["e_tag"] or "")

    def copy_to(self, target: BinaryIO) -> None:
        """Write its content to an open file.

        Parameters
        ----------
        target : BinaryIO

        Raises
        ------
        UnreadableClip
            If it is not there, may not be read, or is not the one that was seen before.
        BucketAway
            If the bucket does not answer.
        """
        with self._one_sentence() as bucket:
            bucket.copy_out(self.path, target, e_tag=self.e_tag or None)

    def copy_ends_to(self, target: BinaryIO, *, most_bytes: int) -> None:
        """Write its first and its last bytes to their places in an open file, and leave the rest empty.

        Parameters
        ----------
        target : BinaryIO
        most_bytes : int
            At each end.

        Raises
        ------
        UnreadableClip, BucketAway
            As for `copy_to`.
        """
        size = self.size if self.size >= 0 else self.look().size
        with self._one_sentence() as bucket:
            for start in sorted({0, max(size - most_bytes, 0)}):
                length = min(most_bytes, size - start)
                if length:
                    target.seek(start)
                    target.write(bucket.obstore.get_range(bucket.store, self.path, start=start, length=length))
        target.truncate(size)

    @contextmanager
    def _one_sentence(self) -> Iterator[OpenBucket]:
        bucket = _opened(self.root)
        try:
            yield bucket
        except (bucket.error, OSError) as error:
            kind = type(error).__name__
            if kind in _MISSING:
                raise UnreadableClip(f"{self} was not found in its bucket. Check the address.") from None
            if kind in _REFUSED:
                raise UnreadableClip(
                    f"{self} may not be read with these keys ({bucket.say(error)}). Give keys that may read it."
                ) from None
            if kind == "PreconditionError":
                raise UnreadableClip(f"{self} was changed while the run went on. Give the command again.") from None
            raise BucketAway(
                f"{bucket.title} does not answer ({bucket.say(error)}). What was done is noted; go on when it is there."
            ) from error


def is_bucket_url(text: str | os.PathLike[str]) -> bool:
    """Return whether a text names something in a bucket, and not on this disk.

    Parameters
    ----------
    text : str or path

    Examples
    --------
    >>> is_bucket_url("s3://clips/12/side.mov"), is_bucket_url("clips/12/side.mov")
    (True, False)
    """
    return "://" in os.fspath(text)


def read_bucket_url(url: str) -> BucketFile:
    """Read the address of a file or folder in a bucket.

    Parameters
    ----------
    url : str

    Raises
    ------
    UsageError
        If it has no bucket.

    Examples
    --------
    >>> read_bucket_url("s3://clips/12/side.mov")
    BucketFile(root='s3://clips', path='12/side.mov', size=-1, e_tag='')
    """
    scheme, _, rest = url.partition("://")
    bucket, _, path = rest.partition("/")
    if not scheme or not (bucket or scheme in ("file", "memory")):
        raise UsageError(f"{hide_passwords(url)} names no bucket. Write it like s3://bucket/folder/clip.mov.")
    return BucketFile(root=f"{scheme}://{bucket}" if bucket else f"{scheme}:///", path=path)


def list_bucket(url: str) -> list[BucketFile]:
    """Return the files of a folder in a bucket and those in it, by their paths.

    Parameters
    ----------
    url : str

    Raises
    ------
    UsageError
        If the bucket cannot be opened or read.
    """
    folder = read_bucket_url(url)
    bucket = open_bucket(folder.root)
    found: list[BucketFile] = []
    try:
        for batch in bucket.obstore.list(bucket.store, prefix=folder.path.rstrip("/") or None):
            found += [
                BucketFile(root=folder.root, path=each["path"], size=int(each["size"]), e_tag=each["e_tag"] or "")
                for each in batch
            ]
    except (bucket.error, OSError) as error:
        raise UsageError(
            f"{folder} cannot be read ({bucket.say(error)}). Check the address, the keys, and whether it answers."
        ) from None
    return sorted(found, key=lambda each: each.path)


def open_bucket(url: str) -> OpenBucket:
    """Open a bucket; nothing is asked of it yet.

    Parameters
    ----------
    url : str

    Raises
    ------
    InstallationError
        If obstore is not installed.
    UsageError
        If it is of an unknown kind.
    """
    try:
        import obstore
        from obstore.exceptions import BaseError
        from obstore.store import from_url
    except ImportError:
        raise InstallationError(
            "Files in a bucket need the package obstore. Install it with: pip install 'putt_posture[bucket]'."
        ) from None
    title = hide_passwords(url.partition("?")[0])
    try:
        store = from_url(url)
    except (BaseError, ValueError) as error:
        said = hide_passwords((str(error).splitlines() or [type(error).__name__])[0].replace(url, title))
        raise UsageError(f"The bucket {title} cannot be opened: {said}.") from None
    return OpenBucket(title=title, store=store, obstore=obstore, error=BaseError)


_opened = lru_cache(maxsize=16)(open_bucket)
"""Clips of one bucket share its connections."""
