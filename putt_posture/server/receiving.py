"""One piece of a clip, on its way to the disk: what was announced, how much is certain, and who may write.

A byte is certain once the data and the number of the certain bytes are on the disk. Only certain bytes are
acknowledged.
"""

import os
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any, BinaryIO, Final

from attrs import define, field, frozen

from putt_posture.disk.reading import open_privately
from putt_posture.errors import UsageError
from putt_posture.values import View

__all__ = ["Arriving", "Receiver", "Upload", "UploadRefused", "make_certain", "offset_text", "say_disk"]

_DIGITS: Final = 20


class UploadRefused(UsageError):
    """An upload that cannot be taken.

    Parameters
    ----------
    says : str
        A sentence for the coach.
    status : int
        The status of HTTP.
    """

    def __init__(self, says: str, *, status: int) -> None:
        super().__init__(says)
        self.status = status


@frozen(kw_only=True)
class Upload:
    """What was announced of an upload.

    Attributes
    ----------
    id : str
        32 hexadecimal digits; the first 16 are the draft's.
    draft : str
    view : View
    size : int
        Bytes.
    name : str
        As the file is called where it comes from, cleaned for showing.
    suffix : str
        One of a few known endings, or empty.
    digest : str or None
        Hexadecimal SHA-256, if the sender knows it.
    """

    id: str
    draft: str
    view: View
    size: int
    name: str
    suffix: str = ""
    digest: str | None = None


@define(eq=False)
class Arriving:
    """What this process knows of an upload.

    Attributes
    ----------
    upload : Upload
    written, certain : int
        Bytes that were written, and bytes that are on the disk for certain.
    hash : object
        The SHA-256 of what was written; None after a restart, until it is worked out again.
    newest : int
        Number of the newest receiver; earlier ones may not write any more.
    lock : RLock
    is_checked : bool
        Whether the check of the whole clip was begun.
    """

    upload: Upload
    written: int
    certain: int
    hash: Any
    newest: int = 0
    lock: threading.RLock = field(factory=threading.RLock)
    is_checked: bool = False


@define(eq=False)
class Receiver:
    """Takes the bytes of one piece; see `UploadStore.receive`. Used by one thread at a time."""

    _arriving: Arriving
    _number: int
    _file: BinaryIO
    _certain_file: Path
    _leave: Callable[[], None]

    def write(self, data: bytes | bytearray) -> None:
        """Write bytes at the end.

        Parameters
        ----------
        data : bytes

        Raises
        ------
        UploadRefused
            If there are more than were announced, if the sender began this piece once more, or the disk is full.
        """
        arriving = self._arriving
        with arriving.lock:
            if self._number != arriving.newest:
                raise UploadRefused("This piece is being sent once more.", status=409)
            if arriving.written + len(data) > arriving.upload.size:
                raise UploadRefused(
                    f"{arriving.upload.name} is larger than was announced. Choose the clip again.", status=413
                )
            left = memoryview(data)
            try:
                while left:
                    left = left[self._file.write(left) :]
            except OSError as error:
                raise UploadRefused(say_disk(error), status=507) from error
            arriving.hash.update(data)
            arriving.written += len(data)

    def close(self) -> int:
        """Bring all that was written to the disk, and return the offset that may be acknowledged."""
        try:
            with self._arriving.lock:
                try:
                    return make_certain(self._arriving, self._file, self._certain_file)
                finally:
                    self._file.close()
        finally:
            self._leave()


def make_certain(arriving: Arriving, file: BinaryIO, certain_file: Path) -> int:
    """Bring what was written to the disk, and return how many bytes are certain.

    Parameters
    ----------
    arriving : Arriving
        Its lock is held.
    file : binary file
        With the data.
    certain_file : Path
        Where the number of the certain bytes is written.

    Raises
    ------
    UploadRefused
        If the disk fails; then only what was certain before counts.
    """
    if arriving.certain < arriving.written:
        try:
            os.fsync(file.fileno())
            number = open_privately(str(certain_file), os.O_WRONLY)
            try:
                os.write(number, offset_text(arriving.written))
                os.fsync(number)
            finally:
                os.close(number)
        except OSError as error:  # a second try might wrongly say that all is well
            arriving.written, arriving.hash = arriving.certain, None
            raise UploadRefused(say_disk(error), status=507) from error
        arriving.certain = arriving.written
    return arriving.certain


def offset_text(offset: int) -> bytes:
    """Return the offset in digits of a fixed number, so that writing it over another never leaves a part of that.

    Parameters
    ----------
    offset : int
    """
    return f"{offset:0{_DIGITS}d}".encode()


def say_disk(error: OSError) -> str:
    """Say in a sentence that the disk refused.

    Parameters
    ----------
    error : OSError
    """
    return (
        f"The clip cannot be written to this computer's disk ({(error.strerror or type(error).__name__).lower()}). "
        "Make room; the upload then goes on where it stopped."
    )
