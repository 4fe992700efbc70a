"""A lesson put right by hand: opened once, measured after each change, kept with the automatic values beside.

What was seen is loaded once. After that a change takes a fraction of a second, since only what it touches is worked
out again; see `putt_posture.measuring`.
"""

from collections.abc import Hashable, Mapping
from datetime import date
from pathlib import Path

from attrs import evolve, field, frozen

from putt_posture.archive import Archive, load_first_and_newest, open_lesson
from putt_posture.clips import read_clip, read_frames_at
from putt_posture.detection.loading import load_detections
from putt_posture.documents import ARRAYS
from putt_posture.drawing import hide_faces
from putt_posture.drawing.ghost import GhostLines, trace_ghost
from putt_posture.errors import NotAllowed
from putt_posture.findings import read_coach_file
from putt_posture.measuring import Measuring
from putt_posture.pages import Paper, store_lesson
from putt_posture.records import KeptLesson, read_result_folder
from putt_posture.services.measuring_again import MeasuredAgain, measure_again
from putt_posture.services.overlays import draw_overlays_again
from putt_posture.values import Given, Lesson, Progress, View

__all__ = [
    "Corrected",
    "CorrectedLesson",
    "StillPicture",
    "correct",
    "find_filed_state",
    "keep_corrected",
    "keep_filed_corrected",
    "measure_for_page",
    "open_filed_for_correcting",
    "open_folder_for_correcting",
]


@frozen(kw_only=True, eq=False)
class StillPicture:
    """The still of one view as it was kept.

    Attributes
    ----------
    jpeg : bytes
    box_px : (int, int, int, int)
        u0, v0, u1, v1 of the part of the full-size picture that it shows.
    """

    jpeg: bytes = field(repr=False)
    box_px: tuple[int, int, int, int]


@frozen(kw_only=True, eq=False)
class CorrectedLesson:
    """A lesson that is open to be put right by hand.

    Attributes
    ----------
    title : str
        What to call it in a sentence.
    measuring : Measuring
    found : Lesson
        The lesson with nothing by hand.
    given : mapping of View to Given
        What counts by hand in the lesson as it is kept.
    stills : mapping of View to StillPicture
        Those that may be shown.
    faces_hidden : bool
        Whether the heads in the stills are hidden.
    made_on : date or None
        The day of the lesson.
    says : tuple of str
        What may not be shown, and why.
    """

    title: str
    measuring: Measuring = field(repr=False)
    found: Lesson = field(repr=False)
    given: Mapping[View, Given]
    stills: Mapping[View, StillPicture] = field(repr=False)
    faces_hidden: bool = False
    made_on: date | None = None
    says: tuple[str, ...] = ()


@frozen(kw_only=True, eq=False)
class Corrected:
    """A lesson after a change by hand.

    Attributes
    ----------
    lesson : Lesson
        As `Measuring.measure_quickly` returns it.
    by_hand : frozenset of str
        The numbers that depend on something by hand; see `Measuring.measure_quickly`.
    ghost : GhostLines or None
        The student's body in the wanted setup; None where it cannot be drawn.
    """

    lesson: Lesson
    by_hand: frozenset[str]
    ghost: GhostLines | None


def open_folder_for_correcting(folder: Path | str) -> CorrectedLesson:
    """Open the lesson of a result folder.

    Parameters
    ----------
    folder : Path or str

    Raises
    ------
    UsageError
        If there is no lesson in it, or none with outlines.
    """
    return _open(read_result_folder(folder))


def open_filed_for_correcting(archive: Archive, number: int, *, today: date) -> CorrectedLesson:
    """Open a filed lesson, as far as it may be shown today.

    Parameters
    ----------
    archive : Archive
    number : int
        The lesson's, of any of its results; the one that counts is opened.
    today : date

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures, or for keeping outlines, does not count today.
    UsageError
        If the lesson was kept without outlines.
    ArchiveError
        If a file is missing or was altered.
    """
    _, newest = load_first_and_newest(archive, number)
    kept = open_lesson(archive, newest, today=today)
    if ARRAYS not in kept.names and kept.says:
        raise NotAllowed(f"{kept.says[0].rstrip('.')}, so it cannot be put right by hand.")
    return _open(kept)


def find_filed_state(archive: Archive, number: int, *, today: date) -> Hashable:
    """Return what tells a filed lesson, as it may be shown today, from what it was before.

    Whoever keeps an open lesson asks for this at each use: it differs once another result counts, or the consents allow
    more or less than before.

    Parameters
    ----------
    archive : Archive
    number : int
        The lesson's, of any of its results.
    today : date

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures does not count today.
    """
    _, newest = load_first_and_newest(archive, number)
    kept = open_lesson(archive, newest, today=today)
    return newest, kept.names, kept.says


def correct(opened: CorrectedLesson, given: Mapping[View, Given]) -> Corrected:
    """Measure a lesson with something else given by hand.

    Parameters
    ----------
    opened : CorrectedLesson
    given : mapping of View to Given
        All that counts by hand from now on; a view without an entry is as found.

    Raises
    ------
    UsageError
        A point outside of the picture, or a shaft or ball drawn where there is none.
    StudentNotFound, SetupNotFound
        With these points it is no address.
    """
    lesson, by_hand = opened.measuring.measure_quickly(given)
    return Corrected(lesson=lesson, by_hand=by_hand, ghost=trace_ghost(lesson))


def measure_for_page(opened: CorrectedLesson, given: Mapping[View, Given]) -> Lesson:
    """Measure a lesson with something else given by hand, without the ghost.

    Parameters
    ----------
    opened : CorrectedLesson
    given : mapping of View to Given
        As for `correct`.

    Raises
    ------
    UsageError, StudentNotFound, SetupNotFound
        As `correct` does.
    """
    return opened.measuring.measure_quickly(given)[0]


def keep_corrected(
    opened: CorrectedLesson,
    given: Mapping[View, Given],
    folder: Path | str,
    *,
    clips: Mapping[View, Path] | None = None,
    paper: Paper = "a4",
    progress: Progress | None = None,
) -> Lesson:
    """Measure a lesson with what is given by hand, and write it to its result folder in place of the one there.

    Every number that depends on something by hand says so, and has the automatic value beside it. What was seen stays
    as it was, so that the lesson can be put back as found.

    Parameters
    ----------
    opened : CorrectedLesson
        From the same folder.
    given : mapping of View to Given
        All that counts by hand from now on.
    folder : Path or str
    clips : mapping of View to Path, optional
        The clips of the lesson, where they are there: its stills are then made from them, and not from stills that were
        compressed before, and the overlay clips are drawn again.
    paper : {"a4", "letter"}
        What the PDFs are set for.
    progress : callable, optional

    Raises
    ------
    UsageError, StudentNotFound, SetupNotFound
        As `correct` does.
    OutputError
        If the folder cannot be written. The result in it stays then.
    """
    lesson = _with_stills_of(opened.measuring.measure(given), clips or {}, faces_hidden=opened.faces_hidden)
    overlays = draw_overlays_again(lesson, clips or {}, kept=read_result_folder(folder))
    store_lesson(
        lesson, folder, replace=True, made_on=opened.made_on, paper=paper, overlays=overlays, progress=progress
    )
    return lesson


def keep_filed_corrected(
    archive: Archive, number: int, given: Mapping[View, Given], *, today: date, paper: Paper = "a4"
) -> MeasuredAgain:
    """Measure a filed lesson with what is given by hand, and file the result beside the first.

    Parameters
    ----------
    archive : Archive
    number : int
        The lesson's, of any of its results.
    given : mapping of View to Given
        All that counts by hand from now on, in place of all that counted before.
    today : date
    paper : {"a4", "letter"}
        What the PDFs are set for.

    Raises
    ------
    NotInArchive, NotAllowed, UsageError, StudentNotFound, SetupNotFound, ArchiveError
        As `measure_again` does. Nothing is filed then.
    """
    return measure_again(archive, number, today=today, given=given, counts="alone", paper=paper)


def _with_stills_of(lesson: Lesson, clips: Mapping[View, Path], *, faces_hidden: bool) -> Lesson:
    """Return the lesson with its stills as its clips show them; those of clips that are not there stay."""
    stills = {}
    for view, path in clips.items():
        result = lesson.views.get(view)
        if result is None or not path.is_file():
            continue
        clip = read_clip(path, view=view)
        if clip.sha256 == result.clip.sha256:
            stills[view] = read_frames_at(clip, [float(result.landmarks.times_s[result.still_index])])[0]
    if set(stills) != set(lesson.views):
        return evolve(lesson, faces_hidden=faces_hidden)
    views = {view: evolve(result, still=stills[view]) for view, result in lesson.views.items()}
    whole = evolve(lesson, views=views)
    return hide_faces(whole) if faces_hidden else whole


def _open(kept: KeptLesson) -> CorrectedLesson:
    stored, record = load_detections(kept), kept.record
    measuring = Measuring(
        detections=stored.detections,
        student=stored.student,
        without_putter=record.without_putter,
        step=record.step,
        wanted=stored.wanted,
        coach=read_coach_file(stored.coach_text, where=f"The coach's file of {kept.title}"),
        interview=record.interview,
    )
    names = {view: f"stills/{view}_plain.jpg" for view in record.views}
    return CorrectedLesson(
        title=kept.title,
        measuring=measuring,
        found=measuring.measure_quickly()[0],
        given=stored.given,
        stills={
            view: StillPicture(jpeg=kept.read(name), box_px=record.views[view].still_box_px)
            for view, name in names.items()
            if name in kept.names
        },
        faces_hidden=stored.faces_hidden,
        made_on=record.made_on,
        says=kept.says,
    )
