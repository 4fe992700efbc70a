"""Clips that arrive in pieces, and can be resumed after a lost network and after a restart of the server.

The exchange is that of tus 1.0 (https://tus.io/protocols/resumable-upload), as far as it is simple: an offset that the
sender asks for, and pieces that are sent from there. A byte that was acknowledged is on the disk. Each upload has a
folder of its own in its draft, under a name that the program made up::

    uploads/0123456789abcdef/
      upload.json      what was announced
      data             the bytes so far
      offset           how many of them are on the disk for certain
      verdict.json     what became of it, once it was whole: taken into the lesson, or refused

What follows the certain bytes when the server starts is thrown away and sent again. The name of the file is only shown;
nothing on the disk is called by it.
"""

import hashlib
import json
import os
import re
import secrets
import shutil
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Any, Final, Literal, get_args

import cattrs
from attrs import define, evolve, field, frozen

from putt_posture.disk.folders import fresh_file, fresh_folder, sync_folder, write_new
from putt_posture.disk.reading import read_inside
from putt_posture.disk.unfinished import settle
from putt_posture.errors import ProcessStopped, PuttPostureError, UsageError
from putt_posture.server.clip_check import check_clip, say_rates_differ
from putt_posture.server.drafts import AboutClip, DraftStore
from putt_posture.server.receiving import Arriving, Receiver, Upload, UploadRefused, make_certain, offset_text, say_disk
from putt_posture.services.workers import Workers
from putt_posture.shown import show_plainly
from putt_posture.values import View

__all__ = ["UploadState", "UploadStatus", "UploadStore"]

UploadState = Literal["arriving", "checking", "whole", "refused"]
MOST_BYTES: Final = 2_000_000_000
"""Size of the largest clip that is taken: 20 minutes of 1080p60 from a phone."""
MOST_AT_ONCE: Final = 64
"""How many pieces are received at once."""
MOST_OF_DRAFT: Final = 32
"""How many clips of one draft may be unfinished."""
KEPT_FREE: Final = 1_000_000_000
"""Bytes of the disk that uploads leave free."""
_CHECK_S: Final = 120.0
"""How long the check of a clip may take; 2 GB are read twice in it."""
_MOST_NAME: Final = 80
_SUFFIXES: Final = frozenset(
    {".mp4", ".mov", ".m4v", ".webm", ".mkv", ".avi", ".3gp", ".jpg", ".jpeg", ".png", ".heic"}
)
_ID: Final = re.compile(r"(?P<draft>[0-9a-f]{16})(?P<token>[0-9a-f]{16})")
_DATA, _OFFSET, _ABOUT, _VERDICT = "data", "offset", "upload.json", "verdict.json"


@frozen(kw_only=True)
class UploadStatus:
    """How far an upload is.

    Attributes
    ----------
    id : str
    view : View
    name : str
    size, offset : int
        Bytes announced, and bytes that are on the disk.
    state : {"arriving", "checking", "whole", "refused"}
        A whole clip is in its draft; a refused one is erased.
    says : tuple of str
        Sentences for the coach, once the clip was checked.
    """

    id: str
    view: View
    name: str
    size: int
    offset: int
    state: UploadState
    says: tuple[str, ...] = ()


@define(eq=False)
class UploadStore:
    """The uploads of all drafts. Its methods block; a route calls them in the thread pool.

    Attributes
    ----------
    drafts : DraftStore
    most_bytes : int
        Size of the largest clip.
    most_at_once : int
        How many pieces are received at once.
    kept_free : int
        Bytes of the disk that are left free.
    """

    drafts: DraftStore
    most_bytes: int = MOST_BYTES
    most_at_once: int = MOST_AT_ONCE
    kept_free: int = KEPT_FREE
    _known: dict[str, Arriving] = field(factory=dict, init=False, repr=False)
    _lock: threading.Lock = field(factory=threading.Lock, init=False, repr=False)
    _receiving: int = field(default=0, init=False, repr=False)
    _workers: Workers = field(factory=Workers, init=False, repr=False)
    _checks: ThreadPoolExecutor = field(
        factory=lambda: ThreadPoolExecutor(max_workers=1, thread_name_prefix="clip check"), init=False, repr=False
    )

    def begin(self, *, draft: str, view: str, size: int, name: str, digest: str | None = None) -> Upload:
        """Announce an upload.

        Parameters
        ----------
        draft : str
        view : {"down_the_line", "face_on"}
        size : int
            Bytes.
        name : str
            As the file is called; only shown.
        digest : str, optional
            Hexadecimal SHA-256 of the whole file.

        Raises
        ------
        UploadRefused
            If it is empty or too large, the disk too full, or too many are unfinished.
        UsageError
            If there is no such draft, or no such view.
        """
        self.drafts.load(draft)
        shown = _clean(name)
        if view not in get_args(View):
            raise UploadRefused("A clip is either down the line or face on. Choose one of them.", status=400)
        if digest is not None and not re.fullmatch(r"[0-9a-f]{64}", digest):
            raise UploadRefused("The digest of the clip is not a SHA-256 in hexadecimal digits.", status=400)
        if size <= 0:
            raise UploadRefused(f"{shown} is empty (0 bytes). Choose another clip.", status=400)
        if size > self.most_bytes:
            raise UploadRefused(
                f"{shown} has {size / 1e9:.1f} GB, and at most {self.most_bytes / 1e9:.1f} GB are taken. "
                "Film shorter, or with fewer pixels.",
                status=413,
            )
        unfinished = [each for each in self.list(draft) if each.state == "arriving"]
        if len(unfinished) >= MOST_OF_DRAFT:
            raise UploadRefused("Too many clips of this lesson are unfinished. Wait, or cancel some.", status=429)
        self._check_room(size)
        token = secrets.token_hex(8)
        suffix = Path(name).suffix.lower()
        upload = Upload(
            id=draft + token, draft=draft, view=view, size=size, name=shown, digest=digest,  # type: ignore[arg-type]
            suffix=suffix if suffix in _SUFFIXES else "",
        )  # fmt: skip
        with fresh_folder(self._folder(upload.id), what="upload", private=True, mark=False) as new:
            write_new(new / _ABOUT, json.dumps(cattrs.unstructure(upload)).encode())
            write_new(new / _DATA, b"")
            write_new(new / _OFFSET, offset_text(0))
        return upload

    def find(self, id: str) -> Upload:
        """Return what was announced of an upload.

        Parameters
        ----------
        id : str

        Raises
        ------
        UploadRefused
            If there is none.
        """
        return self._arriving(id).upload

    def status(self, id: str) -> UploadStatus:
        """Return how far an upload is; all bytes that it counts are on the disk.

        Parameters
        ----------
        id : str

        Raises
        ------
        UploadRefused
            If there is none.
        """
        arriving = self._arriving(id)
        upload = arriving.upload
        verdict = self._read_verdict(id)
        state: UploadState
        if verdict is not None:
            state, says, offset = verdict["state"], tuple(verdict["says"]), upload.size
        else:
            with arriving.lock:
                if arriving.certain < arriving.written:
                    with open(self._folder(id) / _DATA, "r+b", buffering=0) as file:
                        make_certain(arriving, file, self._folder(id) / _OFFSET)
                offset, says = arriving.certain, ()
            state = "checking" if offset == upload.size else "arriving"
        return UploadStatus(
            id=id, view=upload.view, name=upload.name, size=upload.size, offset=offset, state=state, says=says
        )

    def list(self, draft: str) -> tuple[UploadStatus, ...]:
        """Return the uploads of a draft.

        Parameters
        ----------
        draft : str
        """
        found = []
        with suppress(OSError):
            for token in sorted(os.listdir(self.drafts.uploads_folder(draft))):
                with suppress(UploadRefused):
                    found.append(self.status(draft + token))
        return tuple(found)

    def receive(self, id: str, *, offset: int) -> Receiver:
        """Begin to receive a piece; a piece of the same upload that is still being received is given up.

        Parameters
        ----------
        id : str
        offset : int
            Where the piece begins.

        Raises
        ------
        UploadRefused
            If there is no such upload, the offset is another, or too many pieces are received at once.
        """
        arriving = self._arriving(id)
        with self._lock:
            if self._receiving >= self.most_at_once:
                raise UploadRefused("Too many clips are arriving at once. This one goes on in a moment.", status=503)
            self._receiving += 1
        try:
            with arriving.lock:
                if self._read_verdict(id) is not None or offset != arriving.written:
                    raise UploadRefused(f"The next byte is number {arriving.written}.", status=409)
                arriving.newest += 1
                try:
                    file = open(self._folder(id) / _DATA, "r+b", buffering=0)  # noqa: SIM115 - the receiver closes it
                    file.truncate(arriving.written)
                    file.seek(arriving.written)
                    self._hash_again(arriving)
                except OSError as error:
                    raise UploadRefused(say_disk(error), status=507) from error
                return Receiver(arriving, arriving.newest, file, self._folder(id) / _OFFSET, self._leave)
        except BaseException:
            self._leave()
            raise

    def erase(self, id: str) -> None:
        """Cancel an upload and erase what arrived; a clip that was taken into its draft stays there.

        Parameters
        ----------
        id : str

        Raises
        ------
        UploadRefused
            If there is none.
        """
        arriving = self._arriving(id)
        with arriving.lock:
            arriving.newest += 1
            folder = self._folder(id)
            with suppress(OSError):  # at once, so that no half of it is left
                gone = folder.with_name(f".erased-{folder.name}")
                folder.rename(gone)
                shutil.rmtree(gone, ignore_errors=True)
            with self._lock:
                self._known.pop(id, None)

    def check_when_whole(self, id: str) -> None:
        """Have an upload checked and taken into its draft, if all of it is here; return at once.

        Parameters
        ----------
        id : str
        """
        arriving = self._arriving(id)
        with arriving.lock:
            if arriving.is_checked or arriving.certain < arriving.upload.size or self._read_verdict(id) is not None:
                return
            arriving.is_checked = True
        with suppress(RuntimeError):  # the server is ending; it is checked at the next start
            self._checks.submit(self._check, arriving)

    def resume(self) -> None:
        """Go on after a restart: check what had arrived whole and was not checked, and undo what was half done."""
        for draft in self.drafts.list():
            settle(self.drafts.uploads_folder(draft.id))
            for gone in self.drafts.uploads_folder(draft.id).glob(".erased-*"):
                shutil.rmtree(gone, ignore_errors=True)
            for each in self.list(draft.id):
                if each.state == "checking":
                    self.check_when_whole(each.id)
                elif each.state == "refused":
                    self._erase_bytes(self.find(each.id))

    def close(self) -> None:
        """End the checks; what is not checked yet is checked at the next start."""
        self._checks.shutdown(wait=False, cancel_futures=True)
        self._workers.close()

    def _check(self, arriving: Arriving) -> None:
        upload = arriving.upload
        try:
            try:
                about = self._look_at(arriving)
            except ProcessStopped:
                self._refuse(upload, f"{upload.name} could not be read: the process that read it ended. Film again.")
                return
            except PuttPostureError as error:
                self._refuse(upload, str(error))
                return
            self._take(upload, about)
        except (UsageError, OSError):  # the draft was erased, or the disk is full: at the next start once more
            arriving.is_checked = False

    def _look_at(self, arriving: Arriving) -> AboutClip:
        """Compare the digests and read the clip, in a worker."""
        upload, place = arriving.upload, self._place(arriving.upload)
        with arriving.lock:
            if not place.exists():
                self._hash_again(arriving)
                found = arriving.hash.hexdigest()
                if upload.digest is not None and found != upload.digest:
                    raise UsageError(f"{upload.name} arrived with other bytes than were sent. Send it again.")
                place.parent.mkdir(exist_ok=True)
                os.replace(self._folder(upload.id) / _DATA, place)
                sync_folder(place.parent)
            else:
                found = None
        about = self._workers.run(check_clip, place, upload.view, upload.name, limit_s=_CHECK_S)
        if found is not None and about.sha256 != found:
            raise UsageError(f"{upload.name} cannot be read back from the disk as it arrived. Send it again.")
        return about

    def _take(self, upload: Upload, about: AboutClip) -> None:
        draft, place = self.drafts.load(upload.draft), self._place(upload)
        for view, other in draft.about.items():
            if view != upload.view and (says := say_rates_differ(upload.view, about, view, other)):
                about = evolve(about, says=(*about.says, says))
        earlier = draft.clips.get(upload.view)
        self.drafts.change(upload.draft, clips={upload.view: place.name}, about={upload.view: about})
        if earlier is not None and earlier != place.name:
            with suppress(OSError):
                (place.parent / earlier).unlink()
        self._write_verdict(upload, "whole", about.says)

    def _refuse(self, upload: Upload, says: str) -> None:
        self._write_verdict(upload, "refused", (says,))
        self._erase_bytes(upload)

    def _erase_bytes(self, upload: Upload) -> None:
        for each in (self._place(upload), self._folder(upload.id) / _DATA):
            with suppress(OSError):
                each.unlink()

    def _place(self, upload: Upload) -> Path:
        """Return where the clip will be; the name is the program's own."""
        return self.drafts.clips_folder(upload.draft) / f"{upload.view}-{upload.id[16:]}{upload.suffix}"

    def _write_verdict(self, upload: Upload, state: UploadState, says: tuple[str, ...]) -> None:
        with fresh_file(self._folder(upload.id) / _VERDICT, replace=True, what="upload", private=True) as file:
            file.write(json.dumps({"state": state, "says": says}, ensure_ascii=False).encode())

    def _read_verdict(self, id: str) -> Any:
        path = self._folder(id) / _VERDICT
        return json.loads(path.read_bytes()) if path.exists() else None

    def _arriving(self, id: str) -> Arriving:
        with self._lock:
            known = self._known.get(id)
            if known is None or not (self._folder(id) / _ABOUT).exists():
                known = self._known[id] = self._open(id)
            return known

    def _open(self, id: str) -> Arriving:
        """Read an upload of an earlier run; bytes that were not acknowledged are thrown away."""
        folder = self._folder(id)
        try:
            upload = cattrs.structure(json.loads(read_inside(folder, _ABOUT, most_bytes=10_000, what="upload")), Upload)
            certain = int((folder / _OFFSET).read_bytes())
            if (folder / _DATA).exists():
                with open(folder / _DATA, "r+b") as file:
                    certain = min(certain, file.seek(0, os.SEEK_END))
                    file.truncate(certain)
        except (UsageError, OSError, ValueError, cattrs.BaseValidationError):
            raise UploadRefused("This upload is not known any more. Choose the clip again.", status=404) from None
        return Arriving(upload, certain, certain, None)

    def _hash_again(self, arriving: Arriving) -> None:
        """Work out the digest of what is here, after a restart."""
        if arriving.hash is not None:
            return
        found = hashlib.sha256()
        with open(self._folder(arriving.upload.id) / _DATA, "rb") as file:
            while piece := file.read(1 << 20):
                found.update(piece)
        arriving.hash = found

    def _check_room(self, size: int) -> None:
        awaited = sum(each.size - each.offset for each in self._all() if each.state == "arriving")
        free = shutil.disk_usage(self.drafts.folder).free
        if free - awaited - size < self.kept_free:
            raise UploadRefused(
                f"There is not enough room on this computer's disk for {size / 1e6:.0f} MB more. "
                "Throw old lessons away, or make room.",
                status=507,
            )

    def _all(self) -> Iterator[UploadStatus]:
        for draft in self.drafts.list():
            yield from self.list(draft.id)

    def _folder(self, id: str) -> Path:
        found = _ID.fullmatch(id)
        if found is None:
            raise UploadRefused("This upload is not known any more. Choose the clip again.", status=404)
        return self.drafts.uploads_folder(found["draft"]) / found["token"]

    def _leave(self) -> None:
        with self._lock:
            self._receiving -= 1


def _clean(name: str) -> str:
    """Return the last part of a file's name, in one line that misleads no reader."""
    last = " ".join(re.split(r"[/\\]", name)[-1].split())
    return show_plainly(last)[:_MOST_NAME] or "clip"
