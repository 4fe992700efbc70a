"""What a file is encrypted for, and what opens it: a passphrase, or keys of the age format."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, Final

from attrs import field, frozen

from putt_posture.errors import InstallationError, UsageError

__all__ = [
    "LOST",
    "SHORTEST_PASSPHRASE",
    "Lock",
    "OpeningKey",
    "load_pyrage",
    "lock_for_keys",
    "lock_with_passphrase",
    "read_identities",
    "read_passphrase",
]

SHORTEST_PASSPHRASE: Final = 8
"""Characters; NIST SP 800-63B asks for as many (from memory)."""
_MOST_BYTES: Final = 1 << 16
LOST: Final = "If passphrase or key is lost, no one can open this file, not even its owner."


@frozen
class Lock:
    """What a file is encrypted for: a passphrase, or public keys."""

    passphrase: str | None = field(default=None, repr=False)
    recipients: tuple[Any, ...] = ()


@frozen
class OpeningKey:
    """What opens an encrypted file: secret keys, or a function that asks for the passphrase when it is needed."""

    identities: tuple[Any, ...] = field(default=(), repr=False)
    ask_passphrase: Callable[[], str] | None = field(default=None, repr=False)


def lock_with_passphrase(passphrase: str) -> Lock:
    """Return a lock that opens with a passphrase. Raises UsageError if it is too short.

    Parameters
    ----------
    passphrase : str
        As typed.
    """
    load_pyrage()
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise UsageError(
            f"The passphrase has {len(passphrase)} characters, and at least {SHORTEST_PASSPHRASE} are needed. "
            "Several words "
            "that have nothing to do with each other are good."
        )
    return Lock(passphrase=passphrase)


def lock_for_keys(keys: Iterable[str]) -> Lock:
    """Return a lock for public keys like ``age1…``. Raises UsageError for any other text.

    Parameters
    ----------
    keys : Iterable[str]
        Public keys.
    """
    pyrage = load_pyrage()
    found = []
    for key in keys:
        try:
            found.append(pyrage.x25519.Recipient.from_str(key.strip()))
        except pyrage.RecipientError:
            raise UsageError(
                f"{key[:12]!r}… is not a public key. Give one that begins with age1, as age-keygen prints it."
            ) from None
    return Lock(recipients=tuple(found))


def read_identities(path: Path) -> tuple[Any, ...]:
    """Read secret keys from a file that age-keygen wrote. Raises UsageError if it has none.

    Parameters
    ----------
    path : Path
        Of the text file.
    """
    pyrage = load_pyrage()
    lines = _read_text(path, what="secret keys").splitlines()
    try:
        found = [pyrage.x25519.Identity.from_str(line.strip()) for line in lines if line.strip() and line[0] != "#"]
    except pyrage.IdentityError:
        found = []
    if not found:
        raise UsageError(
            f"{path} holds no secret key. Give the file that age-keygen wrote, with AGE-SECRET-KEY-1… in it."
        )
    return tuple(found)


def read_passphrase(path: Path) -> str:
    """Read a passphrase from the first line of a file. Raises UsageError if there is none.

    Parameters
    ----------
    path : Path
        Of the text file.
    """
    first = (_read_text(path, what="passphrase").splitlines() or [""])[0]
    if not first:
        raise UsageError(f"The first line of {path} is empty. Write the passphrase there.")
    return first


def load_pyrage() -> Any:
    """Return the library. Raises InstallationError where it is not installed."""
    try:
        import pyrage
    except ImportError:
        raise InstallationError(
            "Encryption needs the package pyrage. Install it with: pip install 'putt_posture[encryption]'."
        ) from None
    return pyrage


def _read_text(path: Path, *, what: str) -> str:
    try:
        with path.open("rb") as stream:
            return stream.read(_MOST_BYTES).decode("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise UsageError(f"{path} cannot be read ({(reason or '').lower()}). Give a file with the {what}.") from None
