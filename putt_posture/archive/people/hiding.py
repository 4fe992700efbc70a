"""Making kept pictures again with every head hidden, when showing the face is no longer allowed.

After a consent is withdrawn this is the alternative to erasing: stills and the report stay and show no face. Files that
cannot be made again are deleted for good: clips, `report.pdf`, and pictures whose heads cannot be located. Each lesson
is one transaction, so if the program is stopped, every lesson is either done or unchanged.
"""

from collections.abc import Mapping, Sequence
from datetime import date

from attrs import frozen
from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import LessonFile, LessonRow
from putt_posture.archive.db.vacuum import request_vacuum
from putt_posture.archive.files.pending import adding_files, digest_of_content
from putt_posture.archive.lessons.lessons import digests_of, open_unasked
from putt_posture.archive.people.consents import permission_of
from putt_posture.archive.people.erasing import let_go, room_to_erase
from putt_posture.archive.people.retention import OverduePictures, find_overdue
from putt_posture.documents import DOCUMENT
from putt_posture.errors import UsageError
from putt_posture.records import hide_faces_in, shows_student
from putt_posture.values import Progress, ignore_progress

__all__ = ["HiddenFaces", "find_faces_to_hide", "hide_kept_faces"]


@frozen(kw_only=True)
class HiddenFaces:
    """The result of hiding the faces in kept pictures.

    Attributes
    ----------
    lessons : int
        Number of lessons in whose kept pictures all heads are hidden now.
    made_again : int
        Files whose heads were hidden.
    erased : int
        Files that were deleted, as the faces in them cannot be hidden.
    left : tuple of str
        One sentence for each lesson that could not be done; it is unchanged, and not shown.
    """

    lessons: int
    made_again: int
    erased: int
    left: tuple[str, ...] = ()


def find_faces_to_hide(archive: Archive, *, today: date, student: int | None = None) -> tuple[OverduePictures, ...]:
    """Find the lessons whose pictures may be kept today and whose faces may not be shown.

    Parameters
    ----------
    archive : Archive
    today : date
        The day by which consent and ages are judged.
    student : int, optional
        Only of this student.
    """
    found = find_overdue(archive, today=today).pictures
    return tuple(each for each in found if each.hiding_helps and student in (None, each.student))


def hide_kept_faces(
    archive: Archive, lessons: Sequence[OverduePictures], *, today: date, progress: Progress | None = None
) -> HiddenFaces:
    """Make the pictures of lessons again with every head hidden, and erase those that show a face for good.

    Parameters
    ----------
    archive : Archive
    lessons : sequence of OverduePictures
        As `find_faces_to_hide` found them.
    today : date
        The day by which consent and ages are judged.
    progress : callable, optional
        Called with what is going on and the share done, 0 to 1.

    Returns
    -------
    HiddenFaces

    Raises
    ------
    ArchiveError
        If a file is missing or altered, cannot be written, or another program uses the archive for too long. Lessons
        that are done stay done, the others are unchanged.
    InstallationError
        If the pose model, which looks for heads, cannot be opened.
    """
    tell = progress or ignore_progress
    counts, left = [], []
    with room_to_erase(archive):
        for place, each in enumerate(lessons):
            tell(f"Hiding heads in lesson {each.lesson}", place / len(lessons))
            try:
                counts.append(_hide_in(archive, each.lesson, today=today))
            except UsageError as error:
                left.append(f"Lesson {each.lesson} of {each.day} is as it was: {error}")
    return HiddenFaces(
        lessons=len(counts),
        made_again=sum(made for made, _ in counts),
        erased=sum(erased for _, erased in counts),
        left=tuple(left),
    )


def _hide_in(archive: Archive, number: int, *, today: date) -> tuple[int, int]:
    """Hide the heads in one lesson; return how many files were made again, and how many deleted.

    Raises
    ------
    UsageError
        If it cannot be done for this lesson, which is unchanged.
    """
    lesson, had = open_unasked(archive, number)
    hidden = hide_faces_in(lesson)
    contents = {name: hidden.read(name) for name in sorted(hidden.names)}
    changed = {name: content for name, content in contents.items() if digest_of_content(content) != had[name]}
    gone = had.keys() - contents.keys()
    with adding_files(archive) as pending:
        digests = pending.add(changed)
        with archive.write(keep=False) as session:
            row = _check_still(session, number, had, today=today)
            pending.confirm(session)
            chosen = LessonFile.name.in_({*changed, *gone})
            session.execute(delete(LessonFile).where(LessonFile.lesson_id == number, chosen))
            session.add_all(
                LessonFile(lesson_id=number, name=name, digest=digest, shows_student=shows_student(name))
                for name, digest in digests.items()
            )
            row.document, row.faces_hidden = digests.get(DOCUMENT, row.document), True
            _check_single(session, row)
            session.flush()
            request_vacuum(session)
            let_go(session, {had[name] for name in (*changed, *gone)})
    return sum(map(shows_student, changed)), len(gone)


def _check_still(session: Session, number: int, had: Mapping[str, str], *, today: date) -> LessonRow:
    """Return the row of a lesson, if it was not changed and its faces still may not be shown."""
    row = session.get(LessonRow, number)
    if row is None or digests_of(session, number) != had:
        raise UsageError("another program changed it meanwhile. Do it again.")
    if permission_of(session, row.student_id).showing(today) != "hidden":
        raise UsageError("what is allowed of it changed meanwhile. Look again with archive retention.")
    return row


def _check_single(session: Session, row: LessonRow) -> None:
    """Refuse if the result would be the same as another lesson, filed from the same clips with heads hidden."""
    with session.no_autoflush:
        same = select(LessonRow.id).where(
            LessonRow.student_id == row.student_id, LessonRow.document == row.document, LessonRow.id != row.id
        )
        other = session.scalar(same)
    if other is not None:
        raise UsageError(
            f"lesson {other} holds the same with heads hidden already. Erase one with archive erase-lesson."
        )
