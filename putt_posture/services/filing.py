"""Filing a lesson in the archive, from clips that are measured first or from an existing result folder.

The student's consent is checked before the long work, and again by `file_lesson`. Without consent for showing the face,
the lesson is measured with every head hidden, and its clips are not kept.
"""

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any, Final

from attrs import evolve, field, frozen

from putt_posture.archive import (
    Archive,
    EnrolledStudent,
    FiledLesson,
    LessonNotes,
    OverviewLine,
    ask_about_putter,
    check_filing,
    compare_last_with_tests,
    file_lesson,
    load_lesson,
    load_overview_line,
    load_student,
    take_up_last_plan,
)
from putt_posture.clips.days import LessonDay, find_lesson_day
from putt_posture.documents import ARRAYS
from putt_posture.errors import PuttPostureError, UsageError
from putt_posture.figures import format_given
from putt_posture.pages import Paper
from putt_posture.records import KeptLesson, read_result_files, read_result_folder
from putt_posture.services.jobs import JobResult, LessonJob, paths_by_view
from putt_posture.values import Moment, Progress, View

__all__ = ["Filed", "Filing", "file_folder", "file_measured", "find_filing_day", "measure_and_file", "prepare_job"]

_TOLD_CM: Final = 1.0
"""A smaller difference in height is not reported, cm."""
_CLIPS_STAY_OUT: Final = "The clips are not kept, as there is no consent for showing the face in them."


@frozen(kw_only=True)
class Filing:
    """A lesson to file, and what to keep of it.

    Attributes
    ----------
    student : int
        The student's number.
    day : date
        Of the lesson.
    moment : Moment
    notes : LessonNotes
        What the student and the coach said. Answers that are missing in it are taken from a folder that is filed.
    clips : mapping of View to Path
        The clips that were measured, or will be.
    keep_pictures : bool
        Whether stills, reports and outlines are kept; if not, clips are not kept either.
    keep_clips : bool
        Whether the clips are kept.
    paper : {"a4", "letter"}
        What the PDFs are set for, where clips are measured.
    """

    student: int
    day: date
    moment: Moment
    notes: LessonNotes = field(factory=LessonNotes)
    clips: Mapping[View, Path] = field(factory=dict, converter=paths_by_view)
    keep_pictures: bool = True
    keep_clips: bool = True
    paper: Paper = "a4"

    @property
    def wants_clips(self) -> bool:
        """Whether there are clips to keep."""
        return bool(self.clips) and self.keep_pictures and self.keep_clips


@frozen(kw_only=True)
class Filed:
    """A lesson that was filed.

    Attributes
    ----------
    lesson : FiledLesson
        As the archive lists it.
    student : EnrolledStudent
    notes : LessonNotes
        What was said, typed or taken from the folder.
    says : tuple of str
        Sentences for the coach: what became of the last plan, what practice tests say beside the findings, signs that
        it is another student, what was not kept, a different putter.
    overview : OverviewLine or None
        The student's line in the overview; None where it may not be shown.
    seen_bytes : int
        Size of what was seen, from which the lesson is measured again; 0 where it is not kept.
    """

    lesson: FiledLesson
    student: EnrolledStudent
    notes: LessonNotes
    says: tuple[str, ...]
    overview: OverviewLine | None
    seen_bytes: int = 0


def find_filing_day(
    clips: Mapping[View, Path], *, folder: Path | str | None = None, given: date | None = None, today: date
) -> LessonDay:
    """Find the day of a lesson that is to be filed: what was given, else that of the report or the clips, else today.

    Parameters
    ----------
    clips : mapping of View to Path
        The clips that will be measured.
    folder : Path or str, optional
        The result folder that is filed instead; its report has a day, which goes before that of the clips.
    given : date, optional
        What the coach typed.
    today : date
        A day after it is not believed.

    Raises
    ------
    UsageError, ArchiveError
        As `read_result_folder` does.
    """
    if folder is not None and given is None:
        day = read_result_folder(folder).record.made_on
        if day is not None and day <= today:
            return LessonDay(day=day, says=f"The lesson is dated {day}, as its report is. Another day: --day.")
    return find_lesson_day(clips.values(), today=today, given=given)


def file_folder(archive: Archive, filing: Filing, folder: Path | str, *, today: date) -> Filed:
    """File a result folder.

    Parameters
    ----------
    archive : Archive
    filing : Filing
        Its clips are kept with the lesson; they must be the ones that were measured.
    folder : Path or str
        As `store_lesson` wrote it.
    today : date

    Raises
    ------
    NotInArchive
    NotAllowed
        If there is no consent for it, or clips are to be kept and there is no consent for faces.
    UsageError, ArchiveError
        As `read_result_folder` and `file_lesson` do. Nothing of the lesson is kept then.
    """
    check_filing(archive, filing.student, day=filing.day, today=today, pictures=filing.keep_pictures)
    clips = filing.clips if filing.wants_clips else {}
    return _file(archive, filing, read_result_folder(folder), clips=clips, today=today)


def prepare_job(
    archive: Archive,
    filing: Filing,
    *,
    today: date,
    putter_length_cm: float | None = None,
    putter_lie_deg: float | None = None,
    given: Mapping[str, Any] | None = None,
) -> LessonJob:
    """Return the job that measures a lesson for the archive, with what is known of the student.

    It may be run anywhere; `file_measured` files its result.

    Parameters
    ----------
    archive : Archive
    filing : Filing
    today : date
    putter_length_cm, putter_lie_deg : float, optional
        The putter in use, as in `Student`.
    given : mapping of str to object, optional
        As in `LessonJob`.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for filing is missing.
    UsageError
        If there is no clip, or the day is in the future.
    """
    if not filing.clips:
        raise UsageError("Nothing was given to measure. Give a down-the-line clip, a face-on clip, or both.")
    student, said = load_student(archive, filing.student).student, filing.notes.alone()
    allowed = check_filing(archive, filing.student, day=filing.day, today=today, pictures=filing.keep_pictures)
    return LessonJob(
        student=evolve(student, putter_length_cm=putter_length_cm, putter_lie_deg=putter_lie_deg),
        clips=filing.clips,
        given={**(given or {}), **({"interview": said} if said else {})},
        hide_faces="faces" not in allowed,
        paper=filing.paper,
        made_on=today,
    )


def file_measured(archive: Archive, filing: Filing, result: JobResult, *, today: date) -> Filed:
    """File the result of a job that `prepare_job` made; clips are not kept if faces were hidden.

    Parameters
    ----------
    archive : Archive
    filing : Filing
        The one given to `prepare_job`.
    result : JobResult
        With files.
    today : date

    Raises
    ------
    PuttPostureError
        The reason why the job failed or the lesson cannot be filed; then nothing of it is kept.
    """
    if not result.files:
        result.measured()
    hidden = result.job.hide_faces
    clips = filing.clips if filing.wants_clips and not hidden else {}
    lesson = read_result_files(result.files, title="the lesson")
    return _file(archive, filing, lesson, clips=clips, today=today)


def measure_and_file(
    archive: Archive,
    filing: Filing,
    *,
    today: date,
    putter_length_cm: float | None = None,
    putter_lie_deg: float | None = None,
    given: Mapping[str, Any] | None = None,
    progress: Progress | None = None,
    tell: Callable[[str], None] | None = None,
) -> tuple[JobResult, Filed]:
    """Measure clips and file the lesson; only the archive is written.

    Parameters
    ----------
    archive, filing, today, putter_length_cm, putter_lie_deg, given
        As for `prepare_job`.
    progress : callable, optional
    tell : callable, optional
        Called before the long work with a sentence that the coach may want to act on first.

    Raises
    ------
    PuttPostureError
        As `prepare_job`, `LessonJob.run` and `file_lesson` do. Nothing of the lesson is kept then.
    """
    job = prepare_job(
        archive, filing, today=today, putter_length_cm=putter_length_cm, putter_lie_deg=putter_lie_deg, given=given
    )
    doubt = ask_about_putter(archive, filing.student, length_cm=putter_length_cm, day=filing.day, today=today)
    if doubt and tell is not None:
        tell(doubt)
    result = job.run(progress=progress)
    return result, file_measured(archive, filing, result, today=today)


def _file(archive: Archive, filing: Filing, lesson: KeptLesson, *, clips: Mapping[View, Path], today: date) -> Filed:
    student = load_student(archive, filing.student)
    number = file_lesson(
        archive,
        filing.student,
        lesson,
        day=filing.day,
        moment=filing.moment,
        today=today,
        notes=filing.notes,
        clips=clips,
        pictures=filing.keep_pictures,
    )
    says = _find_differences(student, lesson)
    if filing.wants_clips and not clips:
        says.append(_CLIPS_STAY_OUT)
    typed = lesson.record.student.putter_length_cm
    doubt = ask_about_putter(archive, filing.student, length_cm=typed, day=filing.day, today=today, lesson=number)
    return Filed(
        lesson=load_lesson(archive, number),
        student=student,
        notes=filing.notes.filled_from(lesson.record.interview),
        says=(*_look_back(archive, filing.student, today=today), *says, *([doubt] if doubt else [])),
        overview=load_overview_line(archive, filing.student, today=today),
        seen_bytes=len(lesson.read(ARRAYS)) if filing.keep_pictures and ARRAYS in lesson.names else 0,
    )


def _look_back(archive: Archive, student: int, *, today: date) -> list[str]:
    """Say what became of the last plan, and what practice tests say beside the findings.

    Nothing is said where an earlier lesson cannot be read, as this one is filed by now.
    """
    try:
        taken_up = take_up_last_plan(archive, student, today=today)
        beside = compare_last_with_tests(archive, student, today=today)
    except PuttPostureError:
        return []
    return [*([] if taken_up is None else [taken_up.says]), *([" ".join(beside)] if beside else [])]


def _find_differences(student: EnrolledStudent, lesson: KeptLesson) -> list[str]:
    """Say why the lesson may be of another student."""
    said, found = lesson.record.student, []
    if said.name and said.name.casefold() != student.name.casefold():
        found.append(
            f"The report is named {said.name}. If it is not of {student.name}, remove the lesson with "
            "archive erase-lesson."
        )
    if abs(said.stature_cm - student.student.stature_cm) >= _TOLD_CM:
        found.append(
            f"It was measured with a height of {format_given(said.stature_cm, 'cm')}, and the archive has "
            f"{format_given(student.student.stature_cm, 'cm')}. Lengths depend on it."
        )
    return found
