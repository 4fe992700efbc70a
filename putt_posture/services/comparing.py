"""Lessons side by side, each in a result folder or in the archive.

All lessons are of one student. So if one of them is in the archive, its student's consent today counts for the others
too: if heads are hidden in one lesson, they are also hidden in a result folder beside it.
"""

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from datetime import date
from pathlib import Path
from typing import Final

from putt_posture.archive import (
    Archive,
    check_outside,
    load_lesson,
    load_permission,
    open_lesson,
    show_as_allowed,
)
from putt_posture.clips.days import find_lesson_day
from putt_posture.comparison import compare as compare_lessons
from putt_posture.disk.folders import check_folder
from putt_posture.errors import UsageError
from putt_posture.figures import count_of
from putt_posture.findings import CoachFile
from putt_posture.marked_steps import measure_steps
from putt_posture.pages import ComparisonLayout, Paper, store_comparison
from putt_posture.pages import lay_out_comparison as lay_out_pages
from putt_posture.records import KeptLesson, read_result_folder
from putt_posture.services.stroke_clips import filed_clips
from putt_posture.services.strokes_in_step import ShownLesson, join_overlays
from putt_posture.stages import check_stages
from putt_posture.stages import lay_out_stages as lay_side_by_side
from putt_posture.values import Comparison, Progress, Stages, Student, View, part_of_progress

__all__ = ["compare", "lay_out_comparison", "lay_out_marked", "lay_out_stages", "open_lessons"]

_WRITING: Final = 0.1
"""Share of the progress for drawing and writing."""


def compare(
    before: Path | int,
    after: Path | int,
    out: Path,
    *,
    today: date,
    archive: Archive | None = None,
    hide_faces: bool = False,
    replace: bool = False,
    paper: Paper = "a4",
    progress: Progress | None = None,
) -> Comparison:
    """Compare two lessons of one student, and write the pages, pictures and tables to a folder.

    Parameters
    ----------
    before, after : Path or int
        The folder of a report, or the number of a lesson of the archive.
    out : Path
        The folder to write.
    today : date
        Today, for the consent of the student in the archive.
    archive : Archive, optional
        Needed if one of the two is in it.
    hide_faces : bool
        Whether heads are hidden even if showing them is allowed.
    replace : bool
        Whether an existing comparison in the folder may be replaced.
    paper : {"a4", "letter"}
        What the PDF is set for.
    progress : callable, optional

    Returns
    -------
    Comparison
        The `says` of its two lessons name what was left out.

    Raises
    ------
    UsageError
        If a folder is not there or cannot be read, the two cannot be compared, or `out` lies in the archive.
    NotInArchive
    NotAllowed
        If a lesson of the archive may not be shown today.
    OutputError
        If the folder is in use or cannot be written.
    """
    first, second = open_lessons((before, after), out=out, today=today, archive=archive)
    check_folder(out, replace=replace, keep=[*first.files, *second.files])
    found = compare_lessons(first, second, hide_faces=hide_faces)
    with ExitStack() as open_clips:
        sides = [
            ShownLesson(lesson=lesson)
            if archive is None or isinstance(place, Path)
            else ShownLesson(lesson=lesson, clips=open_clips.enter_context(filed_clips(archive, place, today=today)))
            for lesson, place in ((first, before), (second, after))
        ]
        overlays = join_overlays(*sides, hide_heads=hide_faces)
    store_comparison(found, out, replace=replace, made_on=today, paper=paper, overlays=overlays, progress=progress)
    return found


def lay_out_comparison(
    before: Path | int, after: Path | int, *, today: date, archive: Archive | None = None, hide_faces: bool = False
) -> ComparisonLayout:
    """Compare two lessons of one student, and lay the page out; nothing is written.

    Parameters
    ----------
    before, after, today, archive, hide_faces
        As for `compare`.

    Raises
    ------
    UsageError, NotInArchive, NotAllowed
        As `compare` does.
    """
    first, second = open_lessons((before, after), today=today, archive=archive)
    found = compare_lessons(first, second, hide_faces=hide_faces)
    return lay_out_pages(found, made_on=today)


def lay_out_stages(
    places: Sequence[Path | int],
    out: Path,
    *,
    today: date,
    archive: Archive | None = None,
    hide_faces: bool = False,
    replace: bool = False,
    paper: Paper = "a4",
    progress: Progress | None = None,
) -> Stages:
    """Lay two to eight lessons of one student side by side in order, and write the page to a folder.

    Parameters
    ----------
    places : sequence of Path or int
        Folders of reports, or numbers of lessons of the archive.
    out, today, archive, hide_faces, replace, paper, progress
        As for `compare`.

    Returns
    -------
    Stages
        Its `says` name what was left out.

    Raises
    ------
    UsageError, NotInArchive, NotAllowed, OutputError
        As `compare` does, and if there are too few lessons or too many.
    """
    lessons = open_lessons(places, out=out, today=today, archive=archive)
    check_folder(out, replace=replace, keep=[file for lesson in lessons for file in lesson.files])
    return lay_side_by_side(
        lessons, out, hide_faces=hide_faces, replace=replace, made_on=today, paper=paper, progress=progress
    )


def lay_out_marked(
    student: Student,
    clips: Mapping[View, Path],
    steps: Mapping[str, Mapping[View, Sequence[float]]],
    out: Path,
    *,
    today: date,
    day: date | None = None,
    coach: CoachFile | None = None,
    without_putter: bool = False,
    hide_faces: bool = False,
    replace: bool = False,
    paper: Paper = "a4",
    progress: Progress | None = None,
) -> Stages:
    """Measure clips at marked times, and write the page of these steps side by side to a folder.

    Parameters
    ----------
    student : Student
    clips : mapping of View to Path
        One or two.
    steps : mapping of str to mapping of View to seconds
        As for `measure_steps`.
    out, today
        As for `compare`.
    day : date, optional
        Of the lesson; without it the day of the clips, or else today.
    coach : CoachFile, optional
        Whose steps they are; the shipped ones without.
    without_putter : bool
        As for `measure_lesson`.
    hide_faces, replace, paper, progress
        As for `compare`.

    Raises
    ------
    UsageError, ClipError, OutputError
        As `measure_steps` and `lay_out_stages` do.
    """
    check_folder(out, replace=replace, keep=clips.values())
    check_stages(len(steps), f"{count_of(len(steps), 'step')} marked")
    lessons = measure_steps(
        student=student,
        steps=steps,
        down_the_line=clips.get("down_the_line"),
        face_on=clips.get("face_on"),
        without_putter=without_putter,
        coach=coach,
        progress=part_of_progress(progress, 0.0, 1.0 - _WRITING),
    )
    return lay_side_by_side(
        lessons,
        out,
        day=find_lesson_day(clips.values(), today=today, given=day).day,
        hide_faces=hide_faces,
        replace=replace,
        made_on=today,
        paper=paper,
        progress=part_of_progress(progress, 1.0 - _WRITING, 1.0),
    )


def open_lessons(
    places: Sequence[Path | int], *, today: date, out: Path | None = None, archive: Archive | None = None
) -> list[KeptLesson]:
    """Open lessons of one student, in the given order, as far as they may be shown today.

    Parameters
    ----------
    places : sequence of Path or int
    today : date
        As for `compare`.
    out : Path, optional
        The folder to write; it may not be in the archive.
    archive : Archive, optional
        As for `compare`. The archive must stay open while the lessons are read.

    Raises
    ------
    UsageError, NotInArchive, NotAllowed, ArchiveError
        As `compare` does.
    """
    numbers = [place for place in places if isinstance(place, int)]
    if not numbers:
        return [read_result_folder(place) for place in places if not isinstance(place, int)]
    if archive is None:
        raise UsageError(f"Lesson {numbers[0]} is in an archive, and no archive was given. Open it first.")
    if out is not None:
        check_outside(archive, out)
    students = {load_lesson(archive, number).student: number for number in numbers}
    if len(students) > 1:
        says = " and ".join(f"lesson {number} is of student {student}" for student, number in students.items())
        raise UsageError(f"The lessons are of different students: {says}. Give lessons of one.")
    permission = load_permission(archive, next(iter(students)))
    return [
        open_lesson(archive, place, today=today)
        if isinstance(place, int)
        else show_as_allowed(read_result_folder(place), permission, today=today)
        for place in places
    ]
