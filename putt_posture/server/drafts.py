"""Lessons that are being made: each a folder on this disk, which outlives the server.

A draft is written whole or not at all. Its clips are in ``clips``, its measured result in ``result``, a result folder
like that of the command. When the lesson is filed, or thrown away, the folder is erased.
"""

import json
import secrets
import shutil
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import cattrs
from attrs import field, frozen

from putt_posture.disk.reading import make_private_folder
from putt_posture.errors import UsageError
from putt_posture.values import Interview, Moment, Student, View

__all__ = ["Draft", "DraftStore"]

_FILE: Final = "draft.json"
_CONVERTER: Final = cattrs.Converter()
_CONVERTER.register_unstructure_hook(datetime, lambda moment: moment.isoformat())
_CONVERTER.register_structure_hook(datetime, lambda text, _: datetime.fromisoformat(text))


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
        Names of the files in `clips_folder`, for each view that is whole.
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
        """
        draft = Draft(id=secrets.token_hex(8), begun=now, who=who, **more)
        make_private_folder(self.clips_folder(draft.id))
        self.save(draft)
        return draft

    def save(self, draft: Draft) -> None:
        """Write what is known of a draft, whole or not at all.

        Parameters
        ----------
        draft : Draft
        """
        path = self._folder(draft.id) / _FILE
        part = path.with_suffix(".part")
        with open(part, "w", encoding="utf-8") as file:
            json.dump(_CONVERTER.unstructure(draft), file)
        part.replace(path)

    def load(self, id: str) -> Draft:
        """Read a draft.

        Parameters
        ----------
        id : str

        Raises
        ------
        UsageError
            If there is none of this name.
        """
        try:
            found = json.loads((self._folder(id) / _FILE).read_text(encoding="utf-8"))
            return _CONVERTER.structure(found, Draft)
        except (OSError, ValueError, cattrs.BaseValidationError):
            raise UsageError("This lesson is not here any more. Begin another.") from None

    def list(self) -> list[Draft]:
        """Return all drafts, the newest first."""
        if not self.folder.is_dir():
            return []
        found = [self.load(each.name) for each in self.folder.iterdir() if (each / _FILE).is_file()]
        return sorted(found, key=lambda draft: draft.begun, reverse=True)

    def erase(self, id: str) -> None:
        """Erase a draft with its clips and pictures.

        Parameters
        ----------
        id : str
        """
        shutil.rmtree(self._folder(id), ignore_errors=True)

    def clips_folder(self, id: str) -> Path:
        """Return where the clips of a draft are.

        Parameters
        ----------
        id : str
        """
        return self._folder(id) / "clips"

    def result_folder(self, id: str) -> Path:
        """Return where the result is; it is there once the lesson was measured.

        Parameters
        ----------
        id : str
        """
        return self._folder(id) / "result"

    def _folder(self, id: str) -> Path:
        if len(id) != 16 or any(each not in "0123456789abcdef" for each in id):
            raise UsageError("This lesson is not here any more. Begin another.")
        return self.folder / id
