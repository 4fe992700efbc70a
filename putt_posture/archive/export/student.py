"""Export of one student: a zip with all their data, for people and for programs.

It is written completely or not at all, and the same archive gives the same bytes on the same day. Each file is compared
with its digest while it is copied.
"""

import importlib.metadata
import io
import zipfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, BinaryIO, Final

from attrs import evolve, frozen

from putt_posture.archive.archive import Archive, check_outside
from putt_posture.archive.db.copying import Rows, rows_of_student
from putt_posture.archive.db.schema import HEAD
from putt_posture.archive.db.tables import CLIPS
from putt_posture.archive.export.student_tables import Entry, ZipWriter, measures_as_csv, practice_as_csv
from putt_posture.archive.export.words import write_student_page
from putt_posture.archive.files.file_store import check_moment, check_name
from putt_posture.archive.lessons.lessons import open_lesson
from putt_posture.archive.people.consents import permission_of
from putt_posture.archive.people.permissions import SCOPE_TITLES
from putt_posture.disk.folders import fresh_file
from putt_posture.disk.sealing import Lock, sealing
from putt_posture.documents import DOCUMENT
from putt_posture.documents.json_values import document_as_text
from putt_posture.documents.schemas import SchemaName, check_document, load_schema
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.records import KeptLesson, hide_faces_in

__all__ = ["STUDENT_SCHEMA_VERSION", "Exported", "export_student"]

STUDENT_SCHEMA_VERSION: Final = 1
_SCHEMAS: Final[tuple[SchemaName, ...]] = ("student", "spec_sheet", "measures")
_REPORT: Final = "report.html"
_NOT_WANTED: Final = "Clips were not wanted."
_ENTRY: Final = "export.zip"
_WHAT: Final = "what a putting archive keeps of one person"
_HOW: Final = f"The part is {_ENTRY}; README.txt in it explains the files."
_NOT_HIDDEN: Final = "The faces in it cannot be hidden."
_NOT_ALLOWED: Final = f"There is no consent for {SCOPE_TITLES['pictures']} today."


@frozen(kw_only=True)
class Exported:
    """The content of an export.

    Attributes
    ----------
    path : Path
        The zip, or the folder.
    rows : mapping of str to int
        How many rows of each table.
    files : int
        How many files of lessons; 0 for the whole archive, which is exported as tables only.
    left_out : tuple of str
        One sentence for each file of a lesson that was left out, or for students whose lessons were.
    says : tuple of str
        What was left out as a whole, and why.
    """

    path: Path
    rows: Mapping[str, int]
    files: int = 0
    left_out: tuple[str, ...] = ()
    says: tuple[str, ...] = ()


@frozen(kw_only=True)
class _Lesson:
    """A lesson to export: the digests of its files by name, and their folder."""

    row: Mapping[str, Any]
    digests: Mapping[str, str]

    @property
    def number(self) -> int:
        return int(self.row["id"])

    @property
    def day(self) -> date:
        return date.fromisoformat(self.row["day"])

    @property
    def folder(self) -> str:
        return f"lessons/{self.row['day']}_{self.number}_{self.row['moment']}"


def export_student(
    archive: Archive,
    number: int,
    path: Path | str,
    *,
    today: date,
    hide_faces: bool = False,
    clips: bool = True,
    raw_text: bool = False,
    replace: bool = False,
    lock: Lock | None = None,
    complete: Callable[[KeptLesson], KeptLesson] = lambda kept: kept,
) -> Exported:
    """Write the data of a student that may be shown today into a zip.

    It holds ``README.txt``, ``student.json`` with every row (its schema in ``schemas/``), ``measures.csv``,
    ``practice.csv``, and in ``lessons/<day>_<number>_<moment>/`` the files of each lesson.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    path : Path or str
        Of the zip.
    today : date
        The day by which consent and ages are judged.
    hide_faces : bool
        Whether every head in the pictures is hidden; clips, and files in which it cannot be, are left out. They are
        hidden too where showing the face is not allowed today.
    clips : bool
        Whether clips are among the files.
    raw_text : bool
        Whether the tables have every text as it was typed, though a spreadsheet may take it for a formula.
    replace : bool
        Whether an export at `path` may be replaced; it stays until the new one is complete.
    lock : Lock, optional
        For whom the zip is encrypted; then it is the part ``export.zip`` of the file, and never on a disk unencrypted.
    complete : callable
        Takes a lesson as it may be shown and returns it with the files that are made only when asked for; where it
        cannot make them it says why in `KeptLesson.says`.

    Returns
    -------
    Exported

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures does not count today.
    OutputError
        If the zip cannot be written, or the file is there already.
    UsageError
        If the zip would be in the archive.
    ArchiveError
        If a file of the archive is missing, altered, or known under a name that this program never gives. Nothing is
        left behind then, nor after Ctrl-C.
    """
    check_outside(archive, path)
    with archive.read() as session:
        permission = permission_of(session, number)
        showing = permission.check_showing(today)
        rows = rows_of_student(session, number)
    name = permission.person.name
    withheld = permission.say_withheld(today, pictures=any(row["shows_student"] for row in rows["lesson_files"]))
    hide_faces = hide_faces or showing == "hidden"
    why = _NOT_ALLOWED if showing == "measures" else _NOT_HIDDEN
    lessons = _lessons_of(rows)
    files: list[dict[str, Any]] = []
    left_out: list[dict[str, Any]] = []
    with (
        fresh_file(path, replace=replace, what="export", private=True, is_own=_is_export) as stream,
        _open_zip(stream, lock) as out,
    ):
        target = ZipWriter(out)
        for lesson in lessons:
            kept = open_lesson(archive, lesson.number, today=today)
            whole = complete(kept)
            missing = whole.says[len(kept.says) :]
            left_out += [{"lesson_id": lesson.number, "name": _REPORT, "why": each} for each in missing]
            if hide_faces and showing == "pictures":
                whole = _hide_faces(whole)
            for each in _write_lesson(archive, target, lesson, whole, why=why, clips=clips):
                (left_out if "why" in each else files).append(each)
        document = {
            "schema": STUDENT_SCHEMA_VERSION,
            "made_on": today.isoformat(),
            "program": importlib.metadata.version("putt_posture"),
            "archive_schema": HEAD,
            "faces_hidden": hide_faces,
            "tables": rows,
            "files": files,
            "left_out": left_out,
        }
        check_document(document, "student", what="The rows of the student do")
        folders = {lesson.number: lesson.folder for lesson in lessons}
        says = tuple(f"{folders[each['lesson_id']]}/{each['name']}: {each['why']}" for each in left_out)
        texts = {
            "measures.csv": measures_as_csv(rows, raw_text=raw_text),
            "practice.csv": practice_as_csv(rows, raw_text=raw_text),
            "student.json": document_as_text(document, indent=1),
            **{f"schemas/{each}.schema.json": document_as_text(load_schema(each), indent=1) for each in _SCHEMAS},
            "README.txt": write_student_page(
                name,
                lessons=list(folders.values()),
                left_out=says,
                withheld=withheld,
                hide_faces=hide_faces,
                raw_text=raw_text,
                today=today,
            ),
        }
        for place, text in texts.items():
            data = text.encode("utf-8")
            target.write(place, io.BytesIO(data), day=today, size=len(data))
    counts = {table: len(each) for table, each in rows.items()}
    return Exported(path=Path(path), rows=counts, files=len(files), left_out=says, says=withheld)


@contextmanager
def _open_zip(stream: BinaryIO, lock: Lock | None) -> Iterator[zipfile.ZipFile]:
    """Yield a zip that is written into a stream, encrypted if wanted."""
    if lock is None:
        with zipfile.ZipFile(stream, "w") as out:
            yield out
        return
    with (
        sealing(stream, lock, what=_WHAT, how=_HOW) as sealed,
        sealed.writing(_ENTRY) as inner,
        zipfile.ZipFile(inner, "w") as out,
    ):
        yield out


def _is_export(path: Path) -> bool:
    """Tell whether a file is an export of a student; an encrypted file is not recognised, so it is never replaced."""
    try:
        with zipfile.ZipFile(path) as found:
            return {"student.json", "README.txt"} <= set(found.namelist())
    except (OSError, zipfile.BadZipFile):
        return False


def _lessons_of(rows: Rows) -> list[_Lesson]:
    """Return the lessons by date."""
    digests: dict[int, dict[str, str]] = {row["id"]: {} for row in rows["lessons"]}
    for row in rows["lesson_files"]:
        digests[row["lesson_id"]][check_name(row["name"], lesson=row["lesson_id"])] = row["digest"]
    for row in rows["lessons"]:
        check_moment(row["moment"], lesson=row["id"])  # it is in the name of the lesson's folder
    in_time = sorted(rows["lessons"], key=lambda row: (row["day"], row["id"]))
    return [_Lesson(row=row, digests=digests[row["id"]]) for row in in_time]


def _write_lesson(
    archive: Archive, target: ZipWriter, lesson: _Lesson, kept: KeptLesson, *, clips: bool, why: str
) -> Iterator[dict[str, Any]]:
    """Write the files of a lesson, and say for each where it is, or `why` it was left out."""
    for name in sorted(lesson.digests.keys() | kept.names):
        which_file = {"lesson_id": lesson.number, "name": name}
        if name.startswith(CLIPS) and not clips:
            yield which_file | {"why": _NOT_WANTED}
        elif name not in kept.names:
            yield which_file | {"why": why}
        elif name.startswith(CLIPS):
            yield which_file | _say(_copy_file(archive, target, lesson, name))
        else:
            data = kept.read(name)
            path = f"{lesson.folder}/{name}"
            yield which_file | _say(target.write(path, io.BytesIO(data), day=lesson.day, size=len(data)))


def _say(entry: Entry) -> dict[str, Any]:
    return {"place": entry.place, "bytes": entry.size, "sha256": entry.digest}


def _copy_file(archive: Archive, target: ZipWriter, lesson: _Lesson, name: str) -> Entry:
    with archive.files.open(lesson.digests[name]) as source:
        size = source.seek(0, io.SEEK_END)
        source.seek(0)
        entry = target.write(f"{lesson.folder}/{name}", source, day=lesson.day, size=size)
    _check_digest(entry.digest, lesson, name)
    return entry


def _hide_faces(kept: KeptLesson) -> KeptLesson:
    """Hide the faces of a lesson for the export; where that cannot be done, only the numbers are left."""
    try:
        return hide_faces_in(evolve(kept, names=frozenset(name for name in kept.names if not name.startswith(CLIPS))))
    except UsageError:
        return evolve(kept, names=frozenset({DOCUMENT}))


def _check_digest(found: str, lesson: _Lesson, name: str) -> None:
    if found != lesson.digests[name]:
        raise ArchiveError(
            f"{name} of lesson {lesson.number} of {lesson.row['day']} was altered since it was filed. "
            "Restore the archive from a backup, or erase the lesson; nothing was exported."
        )
