"""The certificate with which phones are served over TLS, so that their browsers give the page their camera."""

import ssl
from pathlib import Path

from attrs import frozen

from putt_posture.errors import UsageError

__all__ = ["Certificate", "read_certificate"]


@frozen(kw_only=True)
class Certificate:
    """A certificate and its key, checked to belong together.

    Attributes
    ----------
    chain, key : Path
        Files in PEM; the key is not sealed by a password.
    """

    chain: Path
    key: Path


def read_certificate(chain: Path | None, key: Path | None) -> Certificate | None:
    """Check a certificate and its key; None where neither was given.

    Parameters
    ----------
    chain, key : Path or None

    Raises
    ------
    UsageError
        If only one was given, a file cannot be read, or the two do not belong together.

    Examples
    --------
    >>> read_certificate(Path("page.pem"), None)
    Traceback (most recent call last):
    ...
    putt_posture.errors.UsageError: Only one of --tls-cert and --tls-key was given. Give both.
    """
    if chain is None and key is None:
        return None
    if chain is None or key is None:
        raise UsageError("Only one of --tls-cert and --tls-key was given. Give both.")
    for path in (chain, key):
        try:
            path.read_bytes()
        except OSError as error:
            raise UsageError(f"{path} cannot be read ({error.strerror or error}). Give another file.") from None
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    try:
        context.load_cert_chain(chain, key, password=_refuse_password)
    except _SealedKey:
        raise UsageError(f"{key} is sealed by a password. Give a key without one.") from None
    except (ssl.SSLError, ValueError) as error:
        why = getattr(error, "reason", "") or str(error)
        raise UsageError(
            f"{chain} and {key} are no certificate with its key ({str(why).replace('_', ' ').lower()}). Give both in "
            "PEM; the guide says how to make them."
        ) from None
    return Certificate(chain=chain, key=key)


class _SealedKey(Exception):
    pass


def _refuse_password() -> str:
    raise _SealedKey
