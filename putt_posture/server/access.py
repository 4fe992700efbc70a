"""Who may come in: a one-time code is exchanged for a cookie, which stands for the role coach or phone.

The pattern is that of a notebook server: the program prints an address with a code; the code works once, for a while;
what the browser has from then on is a cookie that no script can read and no other site can send. Only digests of the
cookies are kept, in a private file beside the drafts, so that a phone goes on after a restart of the server.

Every route is for the coach alone unless its endpoint says `open_to_phones`.
"""

import hashlib
import json
import secrets
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, Literal, TypeVar

import cattrs
from attrs import define, evolve, field, frozen
from filelock import FileLock
from starlette.requests import HTTPConnection

from putt_posture.disk.folders import fresh_file
from putt_posture.disk.reading import make_private_folder, read_inside
from putt_posture.errors import NotAllowed, UsageError
from putt_posture.server.limits import Rate

__all__ = ["Access", "Role", "Session", "TooManyTries", "check_draft", "open_to_phones"]

T = TypeVar("T", bound=Callable[..., Any])
Role = Literal["coach", "phone"]
"""A coach may do everything. A phone may film, and look at the lesson at hand."""
CODE_S: Final = {"coach": 3600.0, "phone": 600.0}
"""How long a code can be used, s. That of the coach waits in a terminal until a browser is opened."""
SESSION_S: Final = {"coach": 30 * 86400.0, "phone": 12 * 3600.0}
"""How long a browser that came in stays in, s: a phone for a day of lessons."""
_LETTERS: Final = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""32 signs that are not taken for each other when they are typed: no 0, 1, I, O."""
_LENGTH: Final = 8
"""Signs of a phone's code: a million million codes, of which at most `_TRIES_ALL` wrong ones are tried at once."""
_TRIES: Final = 10
_TRIES_ALL: Final = 60
"""Wrong codes from one address, and from all, before one has to wait."""
_TRY_AGAIN_S: Final = 60.0
_FILE: Final = "sessions.json"
_MOST_BYTES: Final = 1_000_000
_MOST_SESSIONS: Final = 200


class TooManyTries(UsageError):
    """Too many wrong codes; the right one has to wait as well."""

    status: Final = 429


@frozen(kw_only=True)
class Session:
    """One browser that came in.

    Attributes
    ----------
    role : Role
    draft : str or None
        The lesson at hand, the only one that a phone may see.
    until : float
        When it ends, in seconds of the clock of `Access`.
    key : str
        Digest of the cookie.
    """

    role: Role
    draft: str | None = None
    until: float = 0.0
    key: str = ""


@define(eq=False)
class Access:
    """Codes that were given out and not used yet, and sessions by the digest of their cookie.

    Attributes
    ----------
    folder : Path or None
        Where sessions are kept; without one they end with the server.
    clock : callable
        Returns seconds since a fixed day.
    """

    folder: Path | None = None
    clock: Callable[[], float] = time.time
    _codes: dict[str, Session] = field(factory=dict, init=False, repr=False)
    _sessions: dict[str, Session] = field(factory=dict, init=False, repr=False)
    _cookie: str = field(factory=lambda: f"putt_posture_{secrets.token_hex(4)}", init=False, repr=False)
    _read: tuple[int, int] = field(default=(0, 0), init=False, repr=False)
    _lock: threading.RLock = field(factory=threading.RLock, init=False, repr=False)
    _tries: Rate = field(init=False, repr=False)
    _tries_all: Rate = field(init=False, repr=False)

    def __attrs_post_init__(self) -> None:
        self._tries = Rate(most=_TRIES, per_s=_TRIES / _TRY_AGAIN_S, clock=self.clock)
        self._tries_all = Rate(most=_TRIES_ALL, per_s=_TRIES_ALL / _TRY_AGAIN_S, clock=self.clock)

    @property
    def cookie(self) -> str:
        """The name of the cookie; servers with drafts of their own do not take each other's, whatever their ports."""
        self._look_again()
        return self._cookie

    def give_code(self, session: Session) -> str:
        """Return a one-time code: a long one for the coach, one that can be typed for a phone.

        Parameters
        ----------
        session : Session
            What whoever brings the code will be.
        """
        if session.role == "coach":
            code = secrets.token_urlsafe(24)
        else:
            signs = "".join(secrets.choice(_LETTERS) for _ in range(_LENGTH))
            code = f"{signs[:4]}-{signs[4:]}"
        with self._lock:
            now = self.clock()
            self._codes = {digest: each for digest, each in self._codes.items() if each.until > now}
            self._codes[_digest(_plain(code))] = evolve(session, until=now + CODE_S[session.role])
        return code

    def exchange(self, code: str, *, address: str = "", is_here: bool = True) -> tuple[str, Session] | None:
        """Take a code, and return the value of a new cookie and its session; None if it is not known, or was used.

        Parameters
        ----------
        code : str
        address : str
            Where it comes from.
        is_here : bool
            Whether that is this computer; a coach comes in only from here.

        Raises
        ------
        TooManyTries
            If too many wrong codes came from there, or from everywhere.
        """
        if not (self._tries.has(address) and self._tries_all.has("")):
            raise TooManyTries("Too many wrong codes were tried. Wait a minute, and take the code that is shown now.")
        with self._lock:
            digest, now = _digest(_plain(code)), self.clock()
            session = self._codes.get(digest)
            if session is None or session.until <= now or (session.role == "coach" and not is_here):
                self._tries.take(address)
                self._tries_all.take("")
                return None
            del self._codes[digest]
            cookie = secrets.token_urlsafe(32)
            key = _digest(cookie)
            session = evolve(session, until=now + SESSION_S[session.role], key=key)
            with self._changing() as sessions:
                sessions[key] = session
        return cookie, session

    def find(self, cookie: str | None) -> Session | None:
        """Return the session of a cookie; None if there is none.

        Parameters
        ----------
        cookie : str or None
        """
        return None if cookie is None else self._find(_digest(cookie))

    def lasts(self, session: Session) -> bool:
        """Return whether a session still lasts: long answers ask this from time to time.

        Parameters
        ----------
        session : Session
        """
        return self._find(session.key) is not None

    def count_phones(self) -> int:
        """Return how many phones are in."""
        self._look_again()
        with self._lock:
            now = self.clock()
            return sum(each.role == "phone" and each.until > now for each in self._sessions.values())

    def shut_phones_out(self, draft: str | None = None) -> None:
        """End all sessions and codes of phones.

        Parameters
        ----------
        draft : str, optional
            Only those of one lesson, when it is filed or thrown away.
        """

        def stays(session: Session) -> bool:
            return session.role != "phone" or (draft is not None and session.draft != draft)

        with self._lock:
            self._codes = {digest: each for digest, each in self._codes.items() if stays(each)}
            with self._changing() as sessions:
                for key in [key for key, each in sessions.items() if not stays(each)]:
                    del sessions[key]

    def _find(self, key: str) -> Session | None:
        self._look_again()
        with self._lock:
            session = self._sessions.get(key)
            return session if session is not None and session.until > self.clock() else None

    def _look_again(self) -> None:
        """Read the sessions if another server, or an earlier run, wrote them."""
        if self.folder is None:
            return
        with self._lock:
            try:
                found = (self.folder / _FILE).stat()
                if (found.st_mtime_ns, found.st_ino) == self._read:
                    return
                document = json.loads(read_inside(self.folder, _FILE, most_bytes=_MOST_BYTES, what="list of sessions"))
                self._sessions = cattrs.structure(document["sessions"], dict[str, Session])
                self._cookie = cattrs.structure(document["cookie"], str)
                self._read = (found.st_mtime_ns, found.st_ino)
            except FileNotFoundError:
                return
            except (UsageError, OSError, ValueError, KeyError, TypeError, cattrs.BaseValidationError):
                self._sessions = {}  # whoever was in comes in again by a new code

    @contextmanager
    def _changing(self) -> Iterator[dict[str, Session]]:
        """Change the sessions, in memory and on the disk."""
        if self.folder is None:
            yield self._sessions
            return
        make_private_folder(self.folder)
        with FileLock(self.folder / f"{_FILE}.lock", timeout=10.0):
            self._look_again()
            now = self.clock()
            lasting = {key: each for key, each in self._sessions.items() if each.until > now}
            yield lasting
            newest = sorted(lasting.values(), key=lambda each: each.until)[-_MOST_SESSIONS:]
            self._sessions = {each.key: each for each in newest}
            document = {
                "document": "sessions", "version": 1, "cookie": self._cookie,
                "sessions": cattrs.unstructure(self._sessions),
            }  # fmt: skip
            with fresh_file(self.folder / _FILE, replace=True, what="list of sessions", private=True) as file:
                file.write(json.dumps(document).encode())
            found = (self.folder / _FILE).stat()
            self._read = (found.st_mtime_ns, found.st_ino)


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
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def _plain(code: str) -> str:
    """Return a code as it is compared: a phone's may be typed in small letters, without the line or with a space."""
    signs = code.strip().upper().replace("-", "").replace(" ", "")
    return signs if len(signs) == _LENGTH else code
