"""The lessons of a batch: from a list in CSV, or from a folder whose files are named by a rule.

A list has one row a lesson and the columns of `COLUMNS`, in any order; ``student``, ``moment`` and one clip are needed.
In a folder, the name of a clip says all: ``12_2026-11-07_before_down-the-line.mov`` is the student 12, the day, the
moment and the view, with ``_`` between them. Two files that differ only in the view are one lesson.

What cannot be read is a lesson with a reason and without clips, so that one bad row stops no other.
"""

import csv
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path, PurePath, PurePosixPath
from typing import Any, Final

from attrs import evolve, field, frozen

from putt_posture.archive import LessonNotes
from putt_posture.buckets import BucketFile, is_bucket_url, list_bucket, read_bucket_url
from putt_posture.disk.reading import read_limited
from putt_posture.errors import PuttPostureError, UsageError
from putt_posture.services.coach_files import open_coach_file
from putt_posture.shown import hide_passwords
from putt_posture.units import read_day, read_degrees, read_length_cm
from putt_posture.values import MOMENTS, VIEWS, WEAK_PUTTS, Moment, View

__all__ = ["COLUMNS", "ENDINGS", "BatchLesson", "join_clips", "read_folder", "read_list", "read_name"]

COLUMNS: Final[Mapping[str, str]] = {
    "student": "number in the archive",
    "moment": "before, after or check",
    "down_the_line": "clip or still, from the list's folder, or in a bucket: s3://bucket/side.mov",
    "face_on": "clip or still, likewise",
    "day": "year-month-day; by default the day of the clips",
    "putter_length": "with its unit: 34in",
    "putter_lie": "degrees",
    "place": "where the lesson was",
    "coach": "who gave it",
    "misses": "what the student said",
    "weak_putts": "short, lag or both",
    "putter_story": "how the putter was chosen",
    "limits": "pain and limits",
    "notes": "anything else",
    "without_putter": "yes where there was neither putter nor ball",
    "step": "the step of a rebuild",
    "coach_file": "the coach's own file, from the list's folder",
    "without_pictures": "yes to keep only measures and landmarks",
    "without_clips": "yes to keep no clips",
}
"""The columns of a list, and what each holds."""
ENDINGS: Final = frozenset(
    f".{ending}"
    for ending in "mov mp4 m4v avi mkv webm jpg jpeg png heic heif tif tiff".split()  # noqa: SIM905
)
"""Of the files that are looked at in a folder."""
_LARGEST: Final = 64_000_000
_STUDENT: Final = re.compile(r"\d{1,9}", re.ASCII)
_NAME: Final = re.compile(
    r"(?P<student>\d{1,9})_(?P<day>\d{4}-\d\d-\d\d)_(?P<moment>[a-z]+)_(?P<view>[a-z-]+)", re.ASCII
)
_RULE: Final = "12_2026-11-07_before_down-the-line.mov (student, day, moment, view)"
_TOO_MANY_CELLS: Final = "It has more cells than there are columns. Put texts with commas in quotes."
_YES: Final = {"yes": True, "no": False, "": False}


@frozen(kw_only=True)
class BatchLesson:
    """One lesson of a batch.

    Attributes
    ----------
    where : str
        How it is called in a table: the list's row, or the name of a file.
    student : int
        Number in the archive; 0 where it cannot be read.
    moment : Moment
    clips : mapping of View to Path or BucketFile
    day : date or None
        None for the day of the clips.
    putter_length_cm, putter_lie_deg : float or None
    notes : LessonNotes
        What was said.
    given : mapping of str to object
        Other arguments of `measure_lesson`.
    keep_pictures, keep_clips : bool
        As in `Filing`.
    fault : str
        Why it cannot be done; empty where it can.
    """

    where: str
    student: int = 0
    moment: Moment = "check"
    clips: Mapping[View, Path | BucketFile] = field(factory=dict)
    day: date | None = None
    putter_length_cm: float | None = None
    putter_lie_deg: float | None = None
    notes: LessonNotes = field(factory=LessonNotes)
    given: Mapping[str, Any] = field(factory=dict)
    keep_pictures: bool = True
    keep_clips: bool = True
    fault: str = ""


def read_list(path: Path) -> tuple[BatchLesson, ...]:
    """Read a list of lessons.

    Parameters
    ----------
    path : Path
        CSV in UTF-8, with commas or semicolons and a row of column names; clips are looked for from its folder.

    Returns
    -------
    tuple of BatchLesson
        In the order of the rows; empty rows are left out.

    Raises
    ------
    UsageError
        If it cannot be read, or its columns are not known or missing.
    """
    data = read_limited(path, most_bytes=_LARGEST, what="list of lessons")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise UsageError(f"{path} is no text in UTF-8 (byte {error.start}). Save it as CSV in UTF-8.") from None
    if "\0" in text:
        raise UsageError(f"{path} is no text (byte {text.index(chr(0))} is 0). Save it as CSV in UTF-8.")
    first = text.partition("\n")[0]
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=";" if first.count(";") > first.count(",") else ",")
    try:
        names = [_name_of_column(each) for each in next(reader, ())]
        while names and not names[-1]:  # a table may end with empty columns
            names.pop()
        _check_columns(names, path)
        rows = [(number, row) for number, row in enumerate(reader, 2) if any(map(str.strip, row))]
    except csv.Error as error:
        raise UsageError(f"{path} cannot be read as CSV ({error}). Save the table again as CSV in UTF-8.") from None
    if not rows:
        raise UsageError(f"{path} has no lesson. Give one row for each, under the names of the columns.")
    return tuple(_read_row(names, row, where=f"row {number}", folder=path.parent) for number, row in rows)


def read_folder(folder: Path | str) -> tuple[BatchLesson, ...]:
    """Find the lessons in a folder and those in it, by the names of the files.

    Parameters
    ----------
    folder : Path or str
        On this disk, or the URL of one in a bucket.

    Returns
    -------
    tuple of BatchLesson
        By name. A clip whose name does not say what it is, is a lesson with a fault. Other files are left alone.

    Raises
    ------
    UsageError
        If it is no folder, or has no clip.
    """
    clips: dict[PurePath, Path | BucketFile]
    if is_bucket_url(folder):
        found = list_bucket(str(folder))
        inside = PurePosixPath(read_bucket_url(str(folder)).path)
        clips = {PurePosixPath(each.path).relative_to(inside): each for each in found}
    else:
        top = Path(folder)
        if not top.is_dir():
            raise UsageError(f"{folder} is no folder. Give a folder of clips, or a list in CSV.")
        clips = {path.relative_to(top): path for path in sorted(top.rglob("*")) if path.is_file()}
    clips = {name: clip for name, clip in clips.items() if _is_clip(name)}
    if not clips:
        raise UsageError(f"{hide_passwords(str(folder))} holds no clip. Name each like {_RULE}.")
    return tuple(join_clips(clips))


def _is_clip(name: PurePath) -> bool:
    """Tell whether a file is looked at; hidden ones, such as macOS leaves on cards beside each clip, are not."""
    return name.suffix.lower() in ENDINGS and not name.name.startswith(".")


def join_clips(clips: Mapping[PurePath, Path | BucketFile]) -> Iterator[BatchLesson]:
    """Yield the lessons of clips that are named by the rule.

    Parameters
    ----------
    clips : mapping of PurePath to Path or BucketFile
        By how each is called in its folder; in order.
    """
    joined: dict[tuple[PurePath, str], BatchLesson] = {}
    for path, clip in clips.items():
        where = str(path)
        read = read_name(path)
        if isinstance(read, str):
            yield BatchLesson(where=where, fault=read)
            continue
        name, view, lesson = read
        known = joined.get((path.parent, name))
        if known is None:
            joined[path.parent, name] = evolve(lesson, where=where, clips={view: clip})
        elif view in known.clips:
            yield BatchLesson(
                where=where, fault=f"There are two {view.replace('_', ' ')} clips of this lesson; keep one of them."
            )
        else:
            joined[path.parent, name] = evolve(known, clips={**known.clips, view: clip})
    yield from joined.values()


def read_name(path: PurePath) -> tuple[str, View, BatchLesson] | str:
    """Read a clip's name by the rule.

    Parameters
    ----------
    path : PurePath

    Returns
    -------
    (str, View, BatchLesson) or str
        The name without the view, the view, and a lesson without clips; a sentence where the name does not fit.
    """
    found = _NAME.fullmatch(path.stem.lower())
    views = {view.replace("_", "-"): view for view in VIEWS}
    if found is None or found["moment"] not in MOMENTS or found["view"] not in views:
        return f"The name does not say what it is. Name it like {_RULE}; views are {' and '.join(views)}."
    try:
        day = read_day(found["day"])
    except PuttPostureError as error:
        return str(error)
    moment: Any = found["moment"]
    lesson = BatchLesson(where="", student=int(found["student"]), moment=moment, day=day)
    return path.stem.lower().rpartition("_")[0], views[found["view"]], lesson


def _check_columns(names: list[str], path: Path) -> None:
    strange = [name for name in names if name not in COLUMNS]
    if strange:
        raise UsageError(f"{path} has the column {strange[0]!r}, which is not known. Known are {', '.join(COLUMNS)}.")
    twice = [name for name in names if names.count(name) > 1]
    if twice:
        raise UsageError(f"{path} has the column {twice[0]} twice. Leave one out.")
    missing = [name for name in ("student", "moment") if name not in names]
    if missing or not {"down_the_line", "face_on"} & set(names):
        needed = missing[0] if missing else "down_the_line or face_on"
        raise UsageError(f"{path} has no column {needed}. Its first row must name the columns.")


def _name_of_column(text: str) -> str:
    return text.strip().lower().replace(" ", "_").replace("-", "_")


def _read_row(names: Sequence[str], row: Sequence[str], *, where: str, folder: Path) -> BatchLesson:
    cells = [cell.strip() for cell in row]
    if any(cells[len(names) :]):
        return BatchLesson(where=where, fault=_TOO_MANY_CELLS)
    texts = dict(zip(names, cells, strict=False))
    try:
        return _read_texts(texts, where=where, folder=folder)
    except PuttPostureError as error:
        return BatchLesson(where=where, fault=str(error))


def _read_texts(texts: Mapping[str, str], *, where: str, folder: Path) -> BatchLesson:
    def one_of(column: str, known: tuple[str, ...]) -> str:
        text = texts.get(column, "").lower()
        if text not in known:
            raise UsageError(f"{column} is {texts.get(column, '')!r}; give {', '.join(known)}.")
        return text

    def number(column: str, read: Callable[[str], float]) -> float | None:
        return read(texts[column]) if texts.get(column) else None

    def yes(column: str) -> bool:
        text = texts.get(column, "").lower()
        if text not in _YES:
            raise UsageError(f"{column} is {text!r}; give yes or no.")
        return _YES[text]

    if _STUDENT.fullmatch(texts.get("student", "")) is None:
        raise UsageError(f"student is {texts.get('student', '')!r}; give the student's number in the archive.")
    clips = {view: _find_clip(texts[view], folder) for view in VIEWS if texts.get(view)}
    if not clips:
        raise UsageError("It has no clip. Give down_the_line, face_on, or both.")
    if len({clip.resolve() if isinstance(clip, Path) else clip for clip in clips.values()}) < len(clips):
        raise UsageError("The same clip is given for both views. Give each its own.")
    weak: Any = one_of("weak_putts", WEAK_PUTTS) if texts.get("weak_putts") else None
    moment: Any = one_of("moment", MOMENTS)
    given: dict[str, Any] = {}
    if yes("without_putter"):
        given["without_putter"] = True
    if texts.get("step"):
        given["step"] = texts["step"]
    if texts.get("coach_file"):
        given["coach"] = open_coach_file(folder / texts["coach_file"])
    said = {name: texts.get(name, "") for name in ("place", "coach", "misses", "putter_story", "limits", "notes")}
    return BatchLesson(
        where=where,
        student=int(texts["student"]),
        moment=moment,
        clips=clips,
        day=read_day(texts["day"]) if texts.get("day") else None,
        putter_length_cm=number("putter_length", read_length_cm),
        putter_lie_deg=number("putter_lie", read_degrees),
        notes=LessonNotes(weak_putts=weak, **said),
        given=given,
        keep_pictures=not yes("without_pictures"),
        keep_clips=not yes("without_clips"),
    )


def _find_clip(text: str, folder: Path) -> Path | BucketFile:
    return read_bucket_url(text) if is_bucket_url(text) else folder / text
