"""A filed lesson measured again: with corrections by hand, or by a better version of the program.

It is measured from what was seen when it was filed, so that its clips need not be there. The result is filed beside
the first and counts in its place; the first stays as it was. What is not allowed to be shown is not measured again.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Final, Literal

from attrs import evolve, field, frozen

from putt_posture.archive import (
    Archive,
    file_lesson,
    load_first_and_newest,
    load_landmarks,
    load_lesson,
    load_newest_results,
    open_lesson,
)
from putt_posture.archive.lessons.corrections import FiledLandmarks
from putt_posture.archive.lessons.measured_again import GIVEN_AS_A_WHOLE, MEASURED_AGAIN, load_base
from putt_posture.detection.loading import StoredDetections, load_detections
from putt_posture.documents import ARRAYS
from putt_posture.errors import NotAllowed, PuttPostureError
from putt_posture.findings import read_coach_file
from putt_posture.lesson import measure_detections
from putt_posture.pages import KeptStill, Paper, lesson_as_files, measured_as_files
from putt_posture.records import KeptLesson, read_result_files
from putt_posture.services.jobs import JobResult
from putt_posture.shown_units import LengthUnit, show_lengths_in, shown_length_unit
from putt_posture.values import (
    Estimate,
    Given,
    Lesson,
    LessonRecord,
    MeasureName,
    PlacedLandmark,
    Progress,
    View,
    WantedSetup,
    absent,
)

__all__ = [
    "AgainJob",
    "MeasuredAgain",
    "file_again",
    "measure_again",
    "measure_all_again",
    "measure_stored",
    "prepare_again",
]

_SAME: Final = "Every number is the same as before, so nothing was filed."


@frozen(kw_only=True, eq=False)
class MeasuredAgain:
    """What came of measuring a lesson again; falsy where nothing was filed.

    Attributes
    ----------
    lesson : int
        Number of the result that counted before.
    filed : int or None
        Number of the new result, filed beside it; None where it is the same, or could not be measured.
    changed : mapping of MeasureName to (Estimate, Estimate)
        The measures that came out otherwise, before and after.
    says : str
        Why nothing was filed; empty where something was.
    """

    lesson: int
    filed: int | None = None
    changed: Mapping[MeasureName, tuple[Estimate, Estimate]] = field(factory=dict, repr=False)
    says: str = ""

    def __bool__(self) -> bool:
        return self.filed is not None


@frozen(kw_only=True, eq=False)
class AgainJob:
    """A filed lesson to measure again. It holds all that this needs, so that it may be run anywhere.

    Attributes
    ----------
    lesson, first : int
        Numbers of the result that counts, and of the first.
    stored : StoredDetections
        What was seen when it was filed.
    kept, before : LessonRecord
        The first result and the one that counts.
    stills : mapping of str to KeptStill
        The stills without marks of the first, by name.
    given : mapping of View to Given
        All that counts by hand.
    asks_the_same : bool
        Whether nothing else is given or wanted than for the result that counts.
    wanted : WantedSetup or None
    versions : mapping of str to str
        What is noted with the result besides the versions of the program.
    made_on : date
    paper : {"a4", "letter"}
    units : {"cm", "inches"}
        As in `LessonJob`.
    pages : {"filed", "when asked"}
        Whether pages are among the files, or are made when someone asks for them.
    """

    lesson: int
    first: int
    stored: StoredDetections = field(repr=False)
    kept: LessonRecord = field(repr=False)
    before: LessonRecord = field(repr=False)
    stills: Mapping[str, KeptStill] = field(repr=False)
    given: Mapping[View, Given] = field(repr=False)
    asks_the_same: bool
    wanted: WantedSetup | None
    versions: Mapping[str, str]
    made_on: date
    paper: Paper = "a4"
    units: LengthUnit = field(factory=shown_length_unit)
    pages: Literal["filed", "when asked"] = "filed"

    def run(self, *, progress: Progress | None = None) -> JobResult:
        """Measure the lesson; the result has files only where something is to be filed.

        Parameters
        ----------
        progress : callable, optional
        """
        stored = evolve(self.stored, given=self.given, wanted=self.wanted)
        lesson = measure_stored(stored, self.kept, where=f"lesson {self.first}")
        lesson = evolve(lesson, versions={**lesson.versions, **self.versions})
        strokes = {} if lesson.strokes is None else lesson.strokes.numbers
        changed = _find_changed(self.before, {**lesson.posture.estimates, **strokes})
        files: Mapping[str, bytes] = {}
        if changed or not self.asks_the_same or _program(self.before.versions) != _program(lesson.versions):
            if self.pages == "when asked":
                files = measured_as_files(lesson, made_on=self.made_on, kept=self.stills)
            else:
                with show_lengths_in(self.units):
                    files = lesson_as_files(
                        lesson, made_on=self.made_on, paper=self.paper, kept=self.stills, progress=progress
                    )
        return JobResult(job=self, lesson=evolve(lesson, views={}), files=files)


def measure_stored(stored: StoredDetections, record: LessonRecord, *, where: str) -> Lesson:
    """Measure what was seen in the clips of a stored lesson.

    Parameters
    ----------
    stored : StoredDetections
        With what is given by hand, and wanted.
    record : LessonRecord
        Of the same lesson.
    where : str
        What the lesson is called in a message.

    Raises
    ------
    UsageError, StudentNotFound, SetupNotFound
        As `measure_detections` does.
    """
    lesson = measure_detections(
        stored.detections,
        student=stored.student,
        given=stored.given,
        without_putter=record.without_putter,
        step=record.step,
        wanted=stored.wanted,
        coach=read_coach_file(stored.coach_text, where=f"The coach's file of {where}"),
        interview=record.interview,
    )
    return evolve(lesson, faces_hidden=stored.faces_hidden)


def prepare_again(
    archive: Archive,
    number: int,
    *,
    today: date,
    given: Mapping[View, Given] | None = None,
    counts: Literal["beside", "alone"] = "beside",
    wanted: WantedSetup | None = None,
    paper: Paper = "a4",
    pages: Literal["filed", "when asked"] = "filed",
) -> AgainJob:
    """Return the job that measures a filed lesson again; `file_again` files its result.

    Parameters
    ----------
    archive : Archive
    number : int
        The lesson's, of any of its results.
    today : date
    given : mapping of View to Given, optional
        What is given by hand from now on.
    counts : {"beside", "alone"}
        ``beside``: what is given goes before what was given until now, and the rest stays; its landmarks are left out,
        as they are corrections of the archive (`correct_landmark`). ``alone``: what was given until now, and all
        corrections of landmarks until now, do not count any more.
    wanted : WantedSetup, optional
        What the coach wants from now on; what was wanted until now without it.
    paper : {"a4", "letter"}
        What the PDFs are set for.
    pages : {"filed", "when asked"}
        ``when asked``: the result is filed without pages; `with_pages` makes them.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures, or for keeping outlines, does not count today.
    UsageError
        If the lesson was kept without outlines, or what is given cannot be.
    ArchiveError
        If a file is missing or was altered.
    """
    first, newest = load_first_and_newest(archive, number)
    kept = open_lesson(archive, first, today=today)
    before = kept if newest == first else open_lesson(archive, newest, today=today)
    for each in (kept, before):
        if ARRAYS not in each.names and each.says:
            raise NotAllowed(f"{each.says[0].rstrip('.')}, so it cannot be measured again.")
    stored = load_detections(kept)
    was = stored if newest == first else load_detections(before)
    all_given = {view: (given or {}).get(view, Given()) for view in stored.detections}
    corrections = {view: load_landmarks(archive, first, view, today=today) for view in stored.detections}
    if counts == "beside":
        base, known = load_base(archive, number)
        placed = stored if base == first else load_detections(open_lesson(archive, base, today=today))
        all_given = {
            view: _join(was.given[view], each, placed.given[view].landmarks + _since(known, corrections[view]))
            for view, each in all_given.items()
        }
    versions = {MEASURED_AGAIN: today.isoformat()}
    if counts == "alone":
        numbers = (each.number for of_view in corrections.values() for each in of_view.corrections)
        versions[GIVEN_AS_A_WHOLE] = str(max(numbers, default=0))
    same_wanted = wanted is None or wanted == (was.wanted or WantedSetup())
    return AgainJob(
        lesson=newest,
        first=first,
        stored=stored,
        kept=kept.record,
        before=before.record,
        stills=_load_stills(kept),
        given=all_given,
        asks_the_same=all_given == dict(was.given) and same_wanted,
        wanted=wanted or was.wanted,
        versions=versions,
        made_on=today,
        paper=paper,
        pages=pages,
    )


def file_again(archive: Archive, job: AgainJob, files: Mapping[str, bytes], *, today: date) -> MeasuredAgain:
    """File what came of a job that `prepare_again` made beside the first result; what was filed before stays.

    Parameters
    ----------
    archive : Archive
    job : AgainJob
    files : mapping of str to bytes
        Of its result; none where nothing is to be filed.
    today : date

    Raises
    ------
    NotInArchive, NotAllowed, UsageError, ArchiveError
        As `file_lesson` does. Nothing is filed then.
    """
    if not files:
        return MeasuredAgain(lesson=job.lesson, says=_SAME)
    if load_first_and_newest(archive, job.first)[1] != job.lesson:
        return MeasuredAgain(lesson=job.lesson, says="It was measured again meanwhile, so nothing was filed.")
    filed = load_lesson(archive, job.first, today=today)
    result = read_result_files(files, title=f"lesson {job.first}, measured again")
    made = file_lesson(
        archive, filed.student, result, day=filed.day, moment=filed.moment, today=today, notes=filed.notes
    )
    return MeasuredAgain(lesson=job.lesson, filed=made, changed=_find_changed(job.before, result.record.numbers))


def measure_again(
    archive: Archive,
    number: int,
    *,
    today: date,
    given: Mapping[View, Given] | None = None,
    counts: Literal["beside", "alone"] = "beside",
    wanted: WantedSetup | None = None,
    paper: Paper = "a4",
) -> MeasuredAgain:
    """Measure a lesson again with all corrections that count now; file the result with its pages beside the first.

    Parameters
    ----------
    archive, number, today, given, counts, wanted, paper
        As for `prepare_again`.

    Returns
    -------
    MeasuredAgain
        With nothing filed where every number, what is wanted, and the version of the program are the same as before.

    Raises
    ------
    NotInArchive, NotAllowed, UsageError, ArchiveError
        As `prepare_again` and `file_again` do. Nothing is filed then.
    """
    job = prepare_again(archive, number, today=today, given=given, counts=counts, wanted=wanted, paper=paper)
    return file_again(archive, job, job.run().files, today=today)


def measure_all_again(
    archive: Archive,
    *,
    today: date,
    paper: Paper = "a4",
    progress: Progress | None = None,
    lessons: Iterable[int] | None = None,
) -> Iterator[MeasuredAgain]:
    """Measure all lessons again, for instance with a better version of the program.

    Parameters
    ----------
    archive : Archive
    today : date
    paper : {"a4", "letter"}
        What the PDFs are set for.
    progress : callable, optional
    lessons : iterable of int, optional
        Their numbers; all that were not measured again since where it is left out.

    Yields
    ------
    MeasuredAgain
        Of each lesson, as soon as it is done; one that cannot be measured says why and stops no other.
    """
    numbers = tuple([each.lesson for each in load_newest_results(archive)] if lessons is None else lessons)
    for done, number in enumerate(numbers):
        if progress is not None:
            progress(f"Lesson {number}, {done + 1} of {len(numbers)}", done / len(numbers))
        try:
            yield measure_again(archive, number, today=today, paper=paper)
        except PuttPostureError as error:
            yield MeasuredAgain(lesson=number, says=str(error))


def _load_stills(kept: KeptLesson) -> dict[str, KeptStill]:
    boxes = {f"stills/{view}_plain.jpg": each.still_box_px for view, each in kept.record.views.items()}
    boxes |= {f"stills/stroke_{name}_plain.jpg": box for name, box in kept.record.stroke_boxes_px.items()}
    return {name: KeptStill(box_px=box, jpeg=kept.read(name)) for name, box in boxes.items() if name in kept.names}


def _since(known: int, landmarks: FiledLandmarks) -> tuple[PlacedLandmark, ...]:
    """Return the corrections of one view after the one of a number, in the order in which they were made."""
    return tuple(
        PlacedLandmark(landmark=each.landmark, point_px=each.point_px, time_s=float(landmarks.times_s[each.frame]))
        for each in landmarks.corrections
        if each.number > known
    )


def _join(was: Given, now: Given, landmarks: tuple[PlacedLandmark, ...]) -> Given:
    said = {name: value for name in _SAID if (value := getattr(now, name)) is not None and value != ()}
    return evolve(was, **said, landmarks=landmarks)


_SAID = (
    "scale_object", "roll_deg", "distance_cm", "shaft_px", "ball_px", "ground_px", "back_px", "target_px",
    "setup_times_s", "event_times",
)  # fmt: skip


def _find_changed(
    before: LessonRecord, numbers: Mapping[MeasureName, Estimate]
) -> dict[MeasureName, tuple[Estimate, Estimate]]:
    changed = {}
    for name, now in numbers.items():
        was = before.numbers.get(name) or absent("It was not measured.", unit=now.unit)
        same = bool(was) == bool(now) and (
            not now
            or (was.value, was.standard_uncertainty, was.by_hand) == (now.value, now.standard_uncertainty, now.by_hand)
        )
        if not same:
            changed[name] = (was, now)
    return changed


def _program(versions: Mapping[str, str]) -> tuple[str | None, str | None]:
    return versions.get("putt_posture"), versions.get("weights")
