"""Who may come in: a one-time code is exchanged for a cookie, which stands for the role coach or phone.

The pattern is that of a notebook server: the program prints an address with a code; the code works once; what the
browser has from then on is a cookie that no script can read and no other site can send.
"""

import hashlib
import secrets
from collections.abc import Callable
from typing import Any, Final, Literal, TypeVar

from attrs import define, field, frozen
from starlette.requests import HTTPConnection

from putt_posture.errors import NotAllowed

__all__ = ["COOKIE", "Access", "Role", "Session", "check_draft", "open_to_phones"]

T = TypeVar("T", bound=Callable[..., Any])
Role = Literal["coach", "phone"]
"""A coach may do everything. A phone may film, and look at the lesson at hand."""
COOKIE: Final = "putt_posture_session"


@frozen(kw_only=True)
class Session:
    """One browser that came in.

    Attributes
    ----------
    role : Role
    draft : str or None
        The lesson at hand, the only one that a phone may see.
    """

    role: Role
    draft: str | None = None


@define
class Access:
    """Codes that were given out and not used yet, and sessions by the digest of their cookie."""

    _codes: dict[str, Session] = field(factory=dict, init=False, repr=False)
    _sessions: dict[str, Session] = field(factory=dict, init=False, repr=False)

    def give_code(self, session: Session) -> str:
        """Return a one-time code.

        Parameters
        ----------
        session : Session
            What whoever brings the code will be.
        """
        code = secrets.token_urlsafe(24)
        self._codes[_digest(code)] = session
        return code

    def exchange(self, code: str) -> str | None:
        """Take a code and return the value of a new cookie; None if the code is not known or was used.

        Parameters
        ----------
        code : str
        """
        session = self._codes.pop(_digest(code), None)
        if session is None:
            return None
        cookie = secrets.token_urlsafe(32)
        self._sessions[_digest(cookie)] = session
        return cookie

    def find(self, cookie: str | None) -> Session | None:
        """Return the session of a cookie; None if there is none.

        Parameters
        ----------
        cookie : str or None
        """
        return None if cookie is None else self._sessions.get(_digest(cookie))


def open_to_phones(endpoint: T) -> T:
    """Mark the endpoint of a route that a phone may use; every other route is for the coach alone.

    If the address of the route has a part ``{draft}``, the guard lets a phone in only for its own draft. Otherwise the
    endpoint asks `check_draft`.

    Parameters
    ----------
    endpoint : callable
    """
    endpoint.open_to_phones = True  # type: ignore[attr-defined]
    return endpoint


def check_draft(request: HTTPConnection, draft: str) -> None:
    """Refuse a phone at any draft but its own.

    Parameters
    ----------
    request : HTTPConnection
    draft : str

    Raises
    ------
    NotAllowed
    """
    session = request.scope.get("session")
    if session is None or (session.role != "coach" and session.draft != draft):
        raise NotAllowed("A phone may only film and look at the lesson at hand. Look at this on the coach's computer.")


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
