"""Encrypted files in the age format, by the pyrage library; they open with a passphrase or a key.

A sealed file is a zip whose entries are age files (age-encryption.org/v1). They are written and read as streams, so
that even large ones need little memory, and nothing is on the disk unencrypted. With a passphrase, the entries are
encrypted for a key that is made for this file only. That key is in ``key.age``, encrypted with the passphrase, and an
age program can use it directly: ``age --decrypt --identity key.age``. Anyone can read the names and sizes of the
entries, so these must not say anything about a person. Without the passphrase or key the file cannot be opened.
"""

import io
import threading
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO, Final, cast

from putt_posture.disk.sealing.locks import LOST, Lock, OpeningKey, load_pyrage
from putt_posture.disk.sealing.pipe import CHUNK, Pipe, PipeEnd, PipeStart, Stopped, Watched
from putt_posture.errors import SealError, UsageError

__all__ = ["SealedReader", "SealedWriter", "is_sealed", "open_sealed", "sealing"]

_END: Final = ".age"
_KEY: Final = "key.age"
_HOW: Final = "HOW_TO_OPEN.txt"
_DAY: Final = (1980, 1, 1, 0, 0, 0)
"""The earliest day that a zip can hold, so that the real day is not shown."""
_OWNERS_ALONE: Final = 0o600 << 16


class SealedWriter:
    """A sealed file that is being written.

    Parameters
    ----------
    out : zipfile.ZipFile
    recipients : tuple[Any, ...]
        Keys of pyrage for which the entries are encrypted.
    """

    def __init__(self, out: zipfile.ZipFile, recipients: tuple[Any, ...]) -> None:
        self._out = out
        self._recipients = list(recipients)

    def add(self, name: str, source: BinaryIO) -> None:
        """Encrypt the rest of a stream as an entry; exceptions of the stream are raised as they are.

        Parameters
        ----------
        name : str
            Of an entry of the file.
        source : BinaryIO
            Open for reading, in bytes.
        """
        read = Watched(source)
        with self._out.open(_info(name + _END), "w", force_zip64=True) as target:
            written = Watched(target)
            try:
                load_pyrage().encrypt_io(read, written, self._recipients)
            except Exception as error:
                raise (read.failed or written.failed or error) from None

    @contextmanager
    def writing(self, name: str) -> Iterator[BinaryIO]:
        """Yield a stream; what is written to it is encrypted as an entry.

        Parameters
        ----------
        name : str
            Of an entry of the file.
        """
        pipe = Pipe()
        worker = threading.Thread(target=pipe.run, args=(lambda: self.add(name, cast(BinaryIO, pipe)),), daemon=True)
        worker.start()
        try:
            yield cast(BinaryIO, PipeEnd(pipe))
        except BaseException as error:
            pipe.stop(error)
            worker.join()
            raise
        pipe.end()
        worker.join()
        if pipe.failed is not None:
            raise pipe.failed


class SealedReader:
    """An open sealed file.

    Parameters
    ----------
    found : zipfile.ZipFile
    identities : tuple[Any, ...]
        Keys of pyrage that open the entries.
    title : str
        What the file is called in messages.
    """

    def __init__(self, found: zipfile.ZipFile, identities: tuple[Any, ...], *, title: str) -> None:
        self._found = found
        self._identities = list(identities)
        self.title = title
        self.names = tuple(name.removesuffix(_END) for name in found.namelist() if name not in (_KEY, _HOW))

    def open(self, name: str) -> BinaryIO:
        """Open an entry for reading.

        Parameters
        ----------
        name : str
            Of an entry of the file.

        Raises
        ------
        SealError
            If it is missing; and during reading, if it was altered or cut off, or the key is wrong.
        """
        try:
            source = self._found.open(name + _END)
        except KeyError:
            raise SealError(f"{self.title} holds no {name}. Give another file.") from None
        pipe = Pipe()

        def unseal() -> None:
            try:
                with source:
                    load_pyrage().decrypt_io(source, pipe, self._identities)
                pipe.end()
            except Stopped:
                raise
            except Exception as error:
                raise _refusal(self.title, error) from None

        return cast(BinaryIO, io.BufferedReader(PipeStart(pipe, work=unseal), CHUNK))


def is_sealed(path: Path) -> bool:
    """Tell whether a file seems to be written by `sealing`; it is not decrypted for that.

    Parameters
    ----------
    path : Path
    """
    try:
        with zipfile.ZipFile(path) as found:
            return _HOW in found.namelist()
    except (OSError, zipfile.BadZipFile):
        return False


@contextmanager
def sealing(out: BinaryIO, lock: Lock, *, what: str, how: str) -> Iterator[SealedWriter]:
    """Yield an object that writes encrypted entries into a file.

    Parameters
    ----------
    out : binary stream
        Open for writing.
    lock : Lock
        For whom it is encrypted.
    what : str
        What is in it, in a few words that name no person.
    how : str
        What to do with it once it is open.
    """
    with zipfile.ZipFile(out, "w") as target:
        recipients = lock.recipients
        if lock.passphrase is not None:
            pyrage = load_pyrage()
            own = pyrage.x25519.Identity.generate()
            recipients = (own.to_public(),)
            target.writestr(_info(_KEY), pyrage.passphrase.encrypt(f"{own}\n".encode(), lock.passphrase, armored=True))
        by = "--identity key.age" if lock.passphrase is not None else "--identity FILE_OF_YOUR_KEY"
        target.writestr(
            _info(_HOW),
            f"This is {what}, encrypted with age (age-encryption.org).\n{how}\n\n"
            "With an age program each part opens by\n\n"
            f"    age --decrypt {by} --output PART PART.age\n\n{LOST}\n",
        )
        yield SealedWriter(target, recipients)


@contextmanager
def open_sealed(path: Path, key: OpeningKey) -> Iterator[SealedReader]:
    """Yield a sealed file.

    Parameters
    ----------
    path : Path
    key : OpeningKey
        What opens it, where it is encrypted.

    Raises
    ------
    UsageError
        If it needs a secret key and none was given, or a passphrase and there is no terminal to ask for it.
    SealError
        If it is damaged, or the passphrase is wrong.
    """
    try:
        found = zipfile.ZipFile(path)
    except (OSError, zipfile.BadZipFile, NotImplementedError, ValueError) as error:
        raise _refusal(str(path), error) from None
    with found:
        if _KEY in found.namelist():
            identities = _open_key(found, key, title=str(path))
        elif key.identities:
            identities = key.identities
        else:
            raise UsageError(f"{path} is encrypted for a key. Give the file of the secret key with --identity.")
        yield SealedReader(found, identities, title=str(path))


def _open_key(found: zipfile.ZipFile, key: OpeningKey, *, title: str) -> tuple[Any, ...]:
    pyrage = load_pyrage()
    if key.ask_passphrase is None:
        raise UsageError(f"{title} is encrypted with a passphrase. Give it with --passphrase-file, or at a terminal.")
    try:
        sealed = found.read(_KEY)
        if len(sealed) > CHUNK:
            raise ValueError("the key is too long")
    except Exception as error:
        raise _refusal(title, error) from None
    passphrase = key.ask_passphrase()
    try:
        return (pyrage.x25519.Identity.from_str(pyrage.passphrase.decrypt(sealed, passphrase).decode().strip()),)
    except Exception:
        raise SealError(
            f"{title} does not open with this passphrase, or it was altered. Nothing was read. Try again. {LOST}"
        ) from None


def _refusal(title: str, error: Exception) -> SealError:
    if "No matching keys" in str(error):
        return SealError(f"{title} does not open with this key. Give the key for which it was encrypted. {LOST}")
    return SealError(f"{title} is damaged, cut off or altered, and was not read. Give another copy of it.")


def _info(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _DAY)
    info.external_attr = _OWNERS_ALONE
    return info
