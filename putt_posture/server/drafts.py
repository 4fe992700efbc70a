"""Lessons that are being made: each a folder on this disk, which outlives the server.

::

    drafts/                    for its owner alone
      0123456789abcdef/        a draft
        draft.json             what is known of it; a document with a version
        clips/                 its clips, under names that the program gave
        uploads/               clips that are still arriving; see `uploads`
        result/                the measured result, a result folder like that of the command

A draft is begun, changed, measured and erased whole or not at all, at whatever moment the program is stopped. When the
lesson is filed, or thrown away, its folder is erased; so is a draft that was not touched for a number of days.
"""

import json
import os
import re
import secrets
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Final

import cattrs
from attrs import evolve, field, frozen
from filelock import FileLock, Timeout

from putt_posture.disk.folders import fresh_file, fresh_folder, write_new
from putt_posture.disk.reading import close_to_others, make_private_folder, read_inside
from putt_posture.disk.unfinished import settle
from putt_posture.errors import OutputError, UsageError
from putt_posture.figures import count_of
from putt_posture.values import Interview, Moment, Student, View

__all__ = ["DAYS_KEPT", "AboutClip", "Draft", "DraftStore"]

DAYS_KEPT: Final = 30
"""After how many days without a change a draft is erased, unless the coach chose another number."""
VERSION: Final = 1
"""Of the document ``draft.json``; a later version of the program brings earlier documents forward as it reads them."""
_FILE: Final = "draft.json"
_LOCK: Final = "draft.lock"
_MOST_BYTES: Final = 1_000_000
_PATIENCE_S: Final = 10.0
"""How long to wait for another request that changes the same draft, s."""
_ID: Final = re.compile(r"[0-9a-f]{16}")
_ERASED: Final = re.compile(r"\.erased-[0-9a-f]{16}")
_GONE: Final = "This lesson is not here any more. Begin another."
_CONVERTER: Final = cattrs.Converter()
_CONVERTER.register_unstructure_hook(datetime, lambda moment: moment.isoformat())
_CONVERTER.register_structure_hook(datetime, lambda text, _: datetime.fromisoformat(text))


@frozen(kw_only=True)
class AboutClip:
    """What is known of a clip that arrived whole.

    Attributes
    ----------
    name : str
        As the file was called where it came from, cleaned for showing; no file on this disk has it.
    sha256 : str
        Hexadecimal digest of the whole file.
    rate_hz : float
        Mean frames a second in clip time; 0 for a still.
    says : tuple of str
        Sentences for the coach: codec, size and rate of the clip, and what may be wrong with it.
    """

    name: str
    sha256: str
    rate_hz: float = 0.0
    says: tuple[str, ...] = ()


@frozen(kw_only=True)
class Draft:
    """A lesson that is being made.

    Attributes
    ----------
    id : str
        16 hexadecimal digits.
    begun : datetime
    who : Student
        With the putter in use, as the coach typed it.
    student : int or None
        The student's number in the archive; None for a guest, whose lesson is not filed.
    moment : Moment
    interview : Interview
    clips : mapping of View to str
        Names of the files in `DraftStore.clips_folder`, for each view that is whole.
    about : mapping of View to AboutClip
        The same clips: their shown names and what is known of them.
    without_putter : bool
    step : str or None
    """

    id: str
    begun: datetime
    who: Student
    student: int | None = None
    moment: Moment = "before"
    interview: Interview = field(factory=Interview)
    clips: Mapping[View, str] = field(factory=dict)
    about: Mapping[View, AboutClip] = field(factory=dict)
    without_putter: bool = False
    step: str | None = None


@frozen
class DraftStore:
    """The drafts of one coach.

    Attributes
    ----------
    folder : Path
        Where they are; made for its owner only.
    """

    folder: Path

    def begin(self, who: Student, *, now: datetime, **more: Any) -> Draft:
        """Begin a lesson.

        Parameters
        ----------
        who : Student
        now : datetime
        **more : Any
            Other attributes of `Draft`.

        Raises
        ------
        OutputError
            If it cannot be written.
        """
        draft = Draft(id=secrets.token_hex(8), begun=now, who=who, **more)
        self.make_folder()
        with fresh_folder(self._folder(draft.id), what="lesson", private=True, mark=False) as new:
            (new / "clips").mkdir()
            (new / "uploads").mkdir()
            write_new(new / _FILE, _as_bytes(draft))
        return draft

    def save(self, draft: Draft) -> None:
        """Write what is known of a draft, whole or not at all; use `change` where a part of it changes.

        Parameters
        ----------
        draft : Draft

        Raises
        ------
        UsageError
            If there is no such draft any more.
        OutputError
            If it cannot be written.
        """
        with self._alone(draft.id):
            self._write(draft)

    def change(self, id: str, **changed: Any) -> Draft:
        """Change some attributes of a draft, and return it; no other request changes it in between.

        Parameters
        ----------
        id : str
        **changed : Any
            Attributes of `Draft`. For a mapping (`clips`, `about`) what is given is laid over what is there.

        Raises
        ------
        UsageError
            If there is no such draft any more.
        OutputError
            If it cannot be written.
        """
        with self._alone(id):
            draft = self.load(id)
            for name in ("clips", "about"):
                if name in changed:
                    changed[name] = {**getattr(draft, name), **changed[name]}
            draft = evolve(draft, **changed)
            self._write(draft)
        return draft

    def load(self, id: str) -> Draft:
        """Read a draft.

        Parameters
        ----------
        id : str

        Raises
        ------
        UsageError
            If there is none of this name, or it cannot be read.
        """
        folder = self._folder(id)
        if not (folder / _FILE).is_file():
            raise UsageError(_GONE)
        found: object = None
        with suppress(UsageError, ValueError, RecursionError):
            found = json.loads(read_inside(folder, _FILE, most_bytes=_MOST_BYTES, what="lesson"))
        version = found.get("version") if isinstance(found, dict) else None
        if isinstance(version, int) and version > VERSION:
            raise UsageError("This lesson was begun with a newer version of the program. Open it with that one.")
        try:
            return _CONVERTER.structure(found["draft"], Draft)  # type: ignore[index]
        except (TypeError, ValueError, KeyError, cattrs.BaseValidationError):
            raise UsageError("What is kept of this lesson is damaged. Throw it away, and begin another.") from None

    def list(self) -> list[Draft]:
        """Return all drafts that can be read, the newest first."""
        found = []
        for id in self._ids():
            with suppress(UsageError):
                found.append(self.load(id))
        return sorted(found, key=lambda draft: draft.begun, reverse=True)

    def erase(self, id: str) -> None:
        """Erase a draft with its clips and pictures.

        Parameters
        ----------
        id : str
        """
        folder = self._folder(id)
        gone = self.folder / f".erased-{id}"
        with suppress(FileNotFoundError):
            folder.rename(gone)  # at once, so that no half of it is left
        shutil.rmtree(gone, ignore_errors=True)

    def erase_old(self, *, now: datetime, days: int = DAYS_KEPT) -> tuple[str, ...]:
        """Erase drafts that were not touched for some days, and what stopped runs left; say each in a sentence.

        Parameters
        ----------
        now : datetime
        days : int
        """
        says = []
        for id in self._ids():
            with suppress(OSError):
                touched = self.touched(id)
                if now.timestamp() - touched.timestamp() > timedelta(days=days).total_seconds():
                    self.erase(id)
                    says.append(
                        f"A lesson that was not filed, last changed on {touched.date()}, was erased after "
                        f"{count_of(days, 'day')}."
                    )
        self.settle()
        return tuple(says)

    def settle(self) -> None:
        """Undo what stopped runs left in the folder: half-written drafts and results, and drafts half erased."""
        settle(self.folder)
        with suppress(OSError):
            for each in self.folder.iterdir():
                if _ERASED.fullmatch(each.name):
                    shutil.rmtree(each, ignore_errors=True)
        for id in self._ids():
            if not (self._folder(id) / _FILE).exists():  # a lock was taken while it was erased
                self.erase(id)
                continue
            settle(self._folder(id))

    def touched(self, id: str) -> datetime:
        """Return when a draft was last changed, in local time.

        Parameters
        ----------
        id : str

        Raises
        ------
        OSError
            If there is none of this name.
        """
        return datetime.fromtimestamp((self._folder(id) / _FILE).stat().st_mtime)

    def make_folder(self) -> None:
        """Make the folder of all drafts, for its owner alone; shut one that others may look into.

        Raises
        ------
        OutputError
            If it cannot be made.
        """
        try:
            make_private_folder(self.folder)
        except OSError as error:
            reason = (error.strerror or type(error).__name__).lower()
            raise OutputError(
                f"Lessons cannot be kept in {self.folder} ({reason}). Give another folder with --drafts."
            ) from error
        close_to_others(self.folder)

    def clips_folder(self, id: str) -> Path:
        """Return where the clips of a draft are.

        Parameters
        ----------
        id : str
        """
        return self._folder(id) / "clips"

    def uploads_folder(self, id: str) -> Path:
        """Return where clips are while they arrive.

        Parameters
        ----------
        id : str
        """
        return self._folder(id) / "uploads"

    def result_folder(self, id: str) -> Path:
        """Return where the result is; it is there once the lesson was measured.

        Parameters
        ----------
        id : str
        """
        return self._folder(id) / "result"

    def _ids(self) -> tuple[str, ...]:
        try:
            return tuple(sorted(each for each in os.listdir(self.folder) if _ID.fullmatch(each)))
        except OSError:
            return ()

    def _folder(self, id: str) -> Path:
        if not _ID.fullmatch(id):
            raise UsageError(_GONE)
        return self.folder / id

    def _write(self, draft: Draft) -> None:
        path = self._folder(draft.id) / _FILE
        with fresh_file(path, replace=True, what="lesson", private=True) as file:
            file.write(_as_bytes(draft))

    @contextmanager
    def _alone(self, id: str) -> Iterator[None]:
        """Change a draft alone among all requests, and all servers with the same folder."""
        if not (self._folder(id) / _FILE).is_file():
            raise UsageError(_GONE)
        try:
            with FileLock(self._folder(id) / _LOCK, timeout=_PATIENCE_S):
                yield
        except Timeout:
            raise UsageError("This lesson is being changed by another page. Try again.") from None


def _as_bytes(draft: Draft) -> bytes:
    document = {"document": "draft", "version": VERSION, "draft": _CONVERTER.unstructure(draft)}
    return json.dumps(document, ensure_ascii=False, indent=1).encode()
