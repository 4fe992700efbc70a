"""A stored lesson with its files in a result folder, in memory or in the archive."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from attrs import field, frozen

from putt_posture.disk.marks import DRAWN_STEPS, STROKE_CHARTS, STROKE_CLIPS, STROKE_STILLS
from putt_posture.disk.reading import is_there, read_inside
from putt_posture.documents.json_values import most_bytes_of
from putt_posture.documents.lesson_reading import DOCUMENT, read_record
from putt_posture.documents.stroke_series import STROKE_SERIES, read_series
from putt_posture.errors import UsageError
from putt_posture.values import VIEW_TITLES, VIEWS, Estimate, LessonRecord, MeasureName, Strokes
from putt_posture.values.checks import check_path
from putt_posture.values.showing import Shown, Tabled, brief

__all__ = [
    "FILES_WITHOUT_PICTURES",
    "FILES_WITH_PICTURES",
    "KeptLesson",
    "load_strokes",
    "read_result_files",
    "read_result_folder",
    "shows_student",
]

FILES_WITH_PICTURES: Final = frozenset(
    {"report.html", "report.pdf", "landmarks.npz", "stills/ghost.png"}
    | {f"stills/{view}{ending}" for view in VIEWS for ending in (".png", "_plain.jpg")}
    | {f"stills/step_{name}.jpg" for name in DRAWN_STEPS}
    | {f"stills/{name}{ending}" for name in STROKE_STILLS for ending in (".jpg", "_plain.jpg")}
)
"""Files of a result folder that show the student, outlines included."""
FILES_WITHOUT_PICTURES: Final = frozenset(
    {"measures.json", "measures.csv", STROKE_SERIES, "spec_sheet.html", "spec_sheet.pdf", "spec_sheet.json"}
    | {"stills/curves.svg", "stills/arc.svg"}
    | {f"stills/{name}.svg" for name in STROKE_CHARTS}
)
"""The other files that `store_lesson` writes: numbers and charts."""


@brief
@frozen(kw_only=True, eq=False)
class KeptLesson(Shown, Tabled):
    """A stored lesson.

    Attributes
    ----------
    title : str
        What to call it in a sentence: the folder, or the lesson's number and date.
    record : LessonRecord
    names : frozenset of str
        The files that are kept, by their path in the result folder, with forward slashes: ``stills/face_on.png``.
    read : callable
        Takes one of `names` and returns its bytes.
    files : tuple of Path
        Files on disk that a report about the lesson must not replace.
    says : tuple of str
        Sentences for the reader: what is left out, and why.
    """

    title: str
    record: LessonRecord
    names: frozenset[str]
    read: Callable[[str], bytes] = field(repr=False)
    files: tuple[Path, ...] = ()
    says: tuple[str, ...] = ()

    def _repr_html_(self) -> str:
        """Return the page for a notebook, with the stills as they are kept."""
        from putt_posture.pages.notebook import (
            record_as_html,
        )  # imported here, as most lessons are not shown in a notebook
        from putt_posture.records.picture_files import read_picture

        stills = {f"{VIEW_TITLES[view]} at address": f"stills/{view}.png" for view in self.record.views}
        pictures = {
            says: read_picture(self.read(name), name=name, where=self.title)
            for says, name in stills.items()
            if name in self.names
        }
        return record_as_html(self.record, pictures=pictures, notes=self.says)

    @property
    def _estimates(self) -> Mapping[MeasureName, Estimate]:
        return self.record.measures

    @property
    def _strokes(self) -> Strokes | None:
        return self.record.strokes


def load_strokes(lesson: KeptLesson) -> Strokes | None:
    """Load the strokes of a stored lesson with their paths, where these were kept.

    Parameters
    ----------
    lesson : KeptLesson

    Raises
    ------
    UsageError
        If the table of the paths is damaged.
    """
    strokes = lesson.record.strokes
    if not strokes or STROKE_SERIES not in lesson.names:
        return strokes
    return read_series(lesson.read(STROKE_SERIES), strokes, where=f"{STROKE_SERIES} of {lesson.title}")


_WRITTEN: Final = FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES


def shows_student(name: str) -> bool:
    """Tell whether a file shows or may show the student; files that `store_lesson` did not write may.

    Parameters
    ----------
    name : str
    """
    return name not in FILES_WITHOUT_PICTURES


def read_result_folder(folder: Path | str) -> KeptLesson:
    """Read a result folder; files that `store_lesson` did not write are ignored.

    Its overlay clips are among the names. They show the student, and the archive never keeps them. Only ordinary files
    of the folder are read, each when it is needed; links are not followed.

    Parameters
    ----------
    folder : Path | str

    Raises
    ------
    UsageError
        If there is no such folder, or its `measures.json` is missing or cannot be read.
    """
    check_path(folder, "folder")
    folder = Path(folder)
    if not folder.is_dir():
        found = "is a file" if folder.exists() else "is not there"
        raise UsageError(f"The result folder {folder} {found}. Give the folder that measure wrote with --out.")
    document = folder / DOCUMENT
    if not is_there(folder, DOCUMENT):
        raise UsageError(
            f"The folder {folder} holds no measures.json, which measure writes. Give the folder of one lesson."
        )
    return KeptLesson(
        title=str(folder),
        record=read_record(_read(folder, DOCUMENT), where=str(document)),
        names=frozenset(name for name in _WRITTEN | STROKE_CLIPS if is_there(folder, name)),
        read=lambda name: _read(folder, name),
        files=(document,),
    )


def read_result_files(files: Mapping[str, bytes], *, title: str) -> KeptLesson:
    """Return files in memory, as `lesson_as_files` makes them, as a stored lesson.

    Parameters
    ----------
    files : Mapping[str, bytes]
        By name, with forward slashes.
    title : str
    """
    return KeptLesson(
        title=title,
        record=read_record(files[DOCUMENT], where=f"{DOCUMENT} of {title}"),
        names=frozenset(files),
        read=files.__getitem__,
    )


def _read(folder: Path, name: str) -> bytes:
    return read_inside(folder, name, most_bytes=most_bytes_of(name), what="file")
