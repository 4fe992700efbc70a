"""Filing a lesson: its numbers as rows, its files by digest, all in one transaction."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from attrs import asdict, frozen
from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.rows import as_clip_row, as_fit_row, as_landmark_rows, as_measure_rows, as_setup_rows
from putt_posture.archive.db.tables import CLIPS, ClipRow, LessonFile, LessonRow, StudentRow
from putt_posture.archive.db.texts import clean
from putt_posture.archive.files.pending import Content, PendingFiles, adding_files, digest_of_content
from putt_posture.archive.lessons.histories import update_summary
from putt_posture.archive.people.consents import permission_of
from putt_posture.archive.people.permissions import SCOPE_TITLES, Scope
from putt_posture.archive.people.students import row_of
from putt_posture.documents import ARRAYS, DOCUMENT, StoredArrays, open_arrays, read_document
from putt_posture.errors import AlreadyFiled, NotAllowed, UsageError
from putt_posture.records import KeptLesson, check_files, hide_faces_in, shows_student
from putt_posture.values import Interview, LessonRecord, Moment, View

__all__ = ["LessonNotes", "check_filing", "file_lesson"]


@frozen(kw_only=True)
class LessonNotes(Interview):
    """What the student said, as in `Interview`, and who gave the lesson and where.

    Attributes
    ----------
    place, coach : str
    """

    place: str = ""
    coach: str = ""


def check_filing(archive: Archive, number: int, *, day: date, today: date, pictures: bool = True) -> frozenset[Scope]:
    """Check, before any long work, that a lesson of a student may be filed, and return what is allowed.

    Parameters
    ----------
    archive, number, day, today, pictures
        As for `file_lesson`.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for it is missing.
    UsageError
        If the day is still to come.
    """
    _check_day(day, today=today)
    with archive.read() as session:
        return permission_of(session, number).check_filing(day, today=today, pictures=pictures)


def file_lesson(
    archive: Archive,
    number: int,
    lesson: KeptLesson,
    *,
    day: date,
    moment: Moment,
    today: date,
    notes: LessonNotes | None = None,
    clips: Mapping[View, Path] | None = None,
    pictures: bool = True,
) -> int:
    """File a lesson of a student and return its number.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    lesson : KeptLesson
        For instance a result folder.
    day : date
        Of the lesson.
    moment : Moment
        Before, after or a check.
    today : date
        The day by which consent and ages are judged.
    notes : LessonNotes, optional
        What the coach typed about the lesson; answers that are missing in it are taken from the lesson.
    clips : mapping of View to Path, optional
        The clips that were measured, to keep them too.
    pictures : bool
        Whether stills, reports, outlines and clips are kept; if not, only the measures and landmarks are.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for it is missing.
    UsageError
        If it is another student's, its day is in the future, it is filed already, a clip is not the one that was
        measured, or a file of the lesson is not as `measure` writes it.
    ArchiveError
        If a file cannot be read or written. Nothing of the lesson is kept then.
    """
    _check_day(day, today=today)
    with archive.read() as session:
        student = row_of(session, number)
        _check_same(student, lesson)
        allowed = permission_of(session, number).check_filing(day, today=today, pictures=pictures)
    if pictures and clips and "faces" not in allowed:
        raise NotAllowed(
            f"There is no consent for {SCOPE_TITLES['faces']} of {student.name}, and clips show it. "
            "File the lesson without its clips, or write the consent down with archive consent."
        )
    wanted = lesson.names if pictures else {name for name in lesson.names if not shows_student(name)} | {ARRAYS}
    lesson = check_files(lesson, wanted)
    if pictures and ("faces" not in allowed or lesson.record.faces_hidden):
        lesson = hide_faces_in(lesson)  # hides heads even if the document says that they are hidden
    _check_clips(lesson.record, clips or {})
    names = [name for name in sorted(lesson.names) if pictures or not shows_student(name)]
    contents: dict[str, Content] = {name: lesson.read(name) for name in names}
    if pictures:
        contents |= {_name_of_clip(view, path): path for view, path in (clips or {}).items()}
    where = f"The landmarks of {lesson.title}"
    landmarks = open_arrays(lesson.read(ARRAYS), record=lesson.record, where=where) if ARRAYS in lesson.names else None
    spec = lesson.read("spec_sheet.json") if "spec_sheet.json" in lesson.names else None
    said = (LessonNotes() if notes is None else notes).filled_from(lesson.record.interview)
    row = _as_row(lesson.record, number=number, day=day, moment=moment, notes=said)
    with adding_files(archive) as pending:
        digests = pending.add(contents)
        row.document = digests[DOCUMENT]
        with archive.write() as session:
            still = permission_of(session, number).check_filing(day, today=today, pictures=pictures)
            if pictures and not allowed <= still:
                raise NotAllowed(
                    f"What is allowed of {student.name} changed meanwhile. Nothing was filed; file the lesson again."
                )
            _check_new(session, row)
            _write(session, row, lesson.record, pending=pending, digests=digests)
            _write_views(session, row.id, lesson, landmarks)
            fit = as_fit_row(lesson.record, spec)
            fit.lesson_id = row.id
            session.add(fit)
            session.flush()
            update_summary(session, number)
            return row.id


def _write(
    session: Session, row: LessonRow, record: LessonRecord, *, pending: PendingFiles, digests: Mapping[str, str]
) -> None:
    pending.confirm(session)
    session.add(row)
    session.flush()
    session.add_all(
        LessonFile(lesson_id=row.id, name=name, digest=digest, shows_student=shows_student(name))
        for name, digest in digests.items()
    )
    for measure in as_measure_rows(record):
        measure.lesson_id = row.id
        session.add(measure)


def _write_views(session: Session, number: int, lesson: KeptLesson, landmarks: StoredArrays | None) -> None:
    views: Mapping[str, Any] = read_document(lesson.read(DOCUMENT), where=DOCUMENT)["views"]
    for view in lesson.record.views:
        clip: ClipRow = as_clip_row(lesson.record, view)
        clip.lesson_id = number
        session.add(clip)
        session.flush()
        session.add_all(as_setup_rows(clip.id, views[view]["setups"]))
        if landmarks is not None:
            session.add_all(as_landmark_rows(clip.id, view, landmarks))


def _as_row(record: LessonRecord, *, number: int, day: date, moment: Moment, notes: LessonNotes) -> LessonRow:
    student = record.student
    return LessonRow(
        student_id=number,
        day=day,
        moment=moment,
        stature_cm=student.stature_cm,
        handed=student.handed,
        sex=student.sex,
        wrist_floor_cm=student.wrist_floor_cm,
        putter_length_cm=student.putter_length_cm,
        putter_lie_deg=student.putter_lie_deg,
        faces_hidden=record.faces_hidden,
        versions=dict(record.versions),
        warnings=list(record.warnings),
        **{name: clean(said) if isinstance(said, str) else said for name, said in asdict(notes).items()},
    )


def _check_day(day: date, *, today: date) -> None:
    if day > today:
        raise UsageError(f"The lesson is of {day}, which is in the future. Give the day on which it was filmed.")


def _check_same(student: StudentRow, lesson: KeptLesson) -> None:
    if lesson.record.student.handed != student.handed:
        raise UsageError(
            f"The lesson is of a student who putts {lesson.record.student.handed}-handed, and {student.name} putts "
            f"{student.handed}-handed. Give the right student, or measure the clips again."
        )


def _check_new(session: Session, row: LessonRow) -> None:
    there = session.execute(
        select(LessonRow.id, LessonRow.day).where(
            LessonRow.student_id == row.student_id, LessonRow.document == row.document
        )
    ).first()
    if there is not None:
        raise AlreadyFiled(
            f"This lesson is filed already, as lesson {there.id} of {there.day}. Nothing was changed.", lesson=there.id
        )


def _name_of_clip(view: View, path: Path) -> str:
    """Return the name under which a clip is kept, which is valid on every system."""
    ending = path.suffix.lower()
    return f"{CLIPS}{view}{ending if ending.isascii() and ending[1:].isalnum() else ''}"


def _check_clips(record: LessonRecord, clips: Mapping[View, Path]) -> None:
    for view, path in clips.items():
        if view not in record.views:
            raise UsageError(f"The lesson has no {view.replace('_', ' ')} view, so {path} cannot be its clip.")
        if digest_of_content(path) != record.views[view].sha256:
            raise UsageError(
                f"{path} is not the clip that was measured ({record.views[view].file}). Give the right one, or none."
            )
