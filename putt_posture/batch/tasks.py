"""What a run does with one lesson: whether it is done already, the job to run, and how its result is filed.

A lesson of clips and a lesson of the archive that is measured again differ in nothing else. The rules about people are
in the services that are called here.
"""

from collections.abc import Mapping
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Final, Generic, Protocol, TypeVar

from attrs import define, evolve, field, fields, frozen

from putt_posture.archive import Archive, find_lesson_of_clips, load_lesson, load_result
from putt_posture.batch.archived import AgainLesson
from putt_posture.batch.ledger import Ledger, LedgerEntry, LessonState, key_of
from putt_posture.batch.lessons import BatchLesson
from putt_posture.batch.method import present_method
from putt_posture.buckets import BucketFile
from putt_posture.errors import AlreadyFiled, NotInArchive
from putt_posture.figures import count_of
from putt_posture.services import (
    AgainJob,
    BucketJob,
    Filing,
    FilingJob,
    Job,
    JobResult,
    LessonJob,
    SharedArchive,
    clips_at_hand,
    file_again,
    file_measured,
    find_day_of_clips,
    prepare_again,
    prepare_job,
    refuse_filed_clips,
    stand_ins,
)
from putt_posture.values import View

__all__ = ["AgainTask", "Ended", "LessonTask", "Task", "begin_task"]

L = TypeVar("L", BatchLesson, AgainLesson)
_ERASED: Final = (
    "It was filed as lesson {}, which is not in the archive any more. To file it once more, give the command again "
    "with --try-again."
)


@frozen(kw_only=True)
class Ended:
    """What became of a lesson.

    Attributes
    ----------
    state : {"filed", "already filed", "unchanged", "laid aside"}
    lesson : int or None
        Its number in the archive.
    says : str
    keys : tuple of str
        Of other lessons that need not be done either, as they came of this one.
    """

    state: LessonState
    lesson: int | None = None
    says: str = ""
    keys: tuple[str, ...] = ()


class Task(Protocol):
    """One lesson in a run.

    Attributes
    ----------
    where : str
    student : int
    key : str
        Digest of what makes the lesson what it is.
    clips : mapping of View to str
        What tells the clips that are read from all others; none where they need not be there.
    tries : int
        How often it was begun.
    killed : int
        How often something outside ended its process.
    """

    key: str
    clips: Mapping[View, str]
    tries: int
    killed: int

    @property
    def where(self) -> str:
        """How the list or the folder calls it."""
        ...

    @property
    def student(self) -> int:
        """The student's number."""
        ...

    def find_ended(self, archive: Archive, known: LedgerEntry | None) -> Ended | None:
        """Return what became of the lesson in an earlier run; None where it is to do.

        Parameters
        ----------
        archive : Archive
        known : LedgerEntry or None
            What is noted of it.
        """
        ...

    def prepare(self, archive: Archive, *, today: date) -> Job:
        """Return the job; what is allowed is asked.

        Parameters
        ----------
        archive : Archive
        today : date
        """
        ...

    def let_file(self, archive: SharedArchive, *, today: date) -> Job:
        """Return the job that was prepared so that its worker may file the result itself.

        Parameters
        ----------
        archive : SharedArchive
        today : date
        """
        ...

    def name_result(self) -> str:
        """Return the name of the job's result: the digest of all that its numbers and pages depend on."""
        ...

    def file(self, archive: Archive, result: JobResult, *, today: date) -> Ended:
        """File the result, unless its worker did; what is allowed is asked once more.

        Parameters
        ----------
        archive : Archive
        result : JobResult
        today : date
        """
        ...


@define(kw_only=True, eq=False)
class _Begun(Generic[L]):
    """What every task has; see `Task`."""

    lesson: L
    key: str = field(init=False)
    tries: int = 0
    killed: int = 0

    @property
    def where(self) -> str:
        """How the list, the folder or the table calls it."""
        return self.lesson.where

    @property
    def student(self) -> int:
        """The student's number."""
        return self.lesson.student


@define(kw_only=True, eq=False)
class LessonTask(_Begun[BatchLesson]):
    """A lesson of clips; see `Task`.

    Attributes
    ----------
    clips : mapping of View to str
    """

    clips: Mapping[View, str]
    _filing: Filing | None = None
    _job: LessonJob | None = None

    def __attrs_post_init__(self) -> None:
        left_out = ("where", "clips", "fault")
        said = {each.name: getattr(self.lesson, each.name) for each in fields(BatchLesson) if each.name not in left_out}
        self.key = key_of({**said, "clips": self.clips})

    def find_ended(self, archive: Archive, known: LedgerEntry | None) -> Ended | None:
        """Return the lesson of these clips, which the archive knows also where a stopped run noted nothing.

        Parameters
        ----------
        archive : Archive
        known : LedgerEntry or None
        """
        number = find_lesson_of_clips(archive, self.student, self.clips, moment=self.lesson.moment)
        if number is not None:
            return Ended(state="already filed", lesson=number)
        if known is not None and known.lesson is not None:
            if self._is_in_bucket:  # what the archive calls its clips is known once they were loaded
                with suppress(NotInArchive):
                    return Ended(state="already filed", lesson=load_lesson(archive, known.lesson).number)
            return Ended(state="laid aside", says=_ERASED.format(known.lesson))
        return None

    @property
    def _is_in_bucket(self) -> bool:
        return any(isinstance(clip, BucketFile) for clip in self.lesson.clips.values())

    def prepare(self, archive: Archive, *, today: date) -> Job:
        """Return the job that measures the clips.

        Parameters
        ----------
        archive : Archive
        today : date
        """
        lesson = self.lesson
        self._filing = Filing(
            student=lesson.student,
            day=find_day_of_clips(lesson.clips, given=lesson.day, today=today).day,
            moment=lesson.moment,
            notes=lesson.notes,
            clips=stand_ins(lesson.clips),
            keep_pictures=lesson.keep_pictures,
            keep_clips=lesson.keep_clips,
        )
        job = prepare_job(
            archive,
            self._filing,
            today=today,
            putter_length_cm=lesson.putter_length_cm,
            putter_lie_deg=lesson.putter_lie_deg,
            given=lesson.given,
        )
        self._job = evolve(job, made_on=self._filing.day)
        return self._with_clips(self._job)

    def name_result(self) -> str:
        """Return the digest of clips, of all that is given to the measuring, and of the method."""
        given = {each.name: getattr(self._job, each.name) for each in fields(LessonJob) if each.name != "clips"}
        return key_of({**given, "clips": self.clips, "method": present_method()})

    def let_file(self, archive: SharedArchive, *, today: date) -> Job:
        """Return the job that measures the clips and files the lesson.

        Parameters
        ----------
        archive : SharedArchive
        today : date
        """
        assert self._filing is not None
        assert self._job is not None
        return self._with_clips(FilingJob(job=self._job, filing=self._filing, archive=archive, today=today))

    def _with_clips(self, job: LessonJob | FilingJob) -> Job:
        """Return the job; one whose clips are in a bucket loads them first."""
        return BucketJob(job=job, sources=self.lesson.clips) if self._is_in_bucket else job

    def file(self, archive: Archive, result: JobResult, *, today: date) -> Ended:
        """File the lesson, unless its worker did.

        Parameters
        ----------
        archive : Archive
        result : JobResult
        today : date
        """
        assert self._filing is not None
        assert self._job is not None
        keeps = self._filing.wants_clips and not self._job.hide_faces
        try:
            if result.error is not None:
                raise result.error
            filed = result.filed
            if filed is None:
                if self._is_in_bucket:  # what the archive calls the clips was not known before
                    refuse_filed_clips(archive, self._filing, result)
                with clips_at_hand(self.lesson.clips if keeps else {}) as clips:
                    filing = evolve(self._filing, clips=clips) if keeps else self._filing
                    filed = file_measured(archive, filing, evolve(result, job=self._job), today=today)
        except AlreadyFiled as error:
            return Ended(state="already filed", lesson=error.lesson)
        return Ended(state="filed", lesson=filed.lesson.number, says=" ".join(filed.says))


@define(kw_only=True, eq=False)
class AgainTask(_Begun[AgainLesson]):
    """A lesson of the archive that is measured again; see `Task`.

    Attributes
    ----------
    clips : mapping of View to str
        None: they need not be there.
    """

    clips: Mapping[View, str] = field(factory=dict, init=False)
    _job: AgainJob | None = None

    def __attrs_post_init__(self) -> None:
        self.key = _again_key(self.student, self.lesson.document)

    def find_ended(self, archive: Archive, known: LedgerEntry | None) -> Ended | None:
        """Return what an earlier run by the same method noted.

        Parameters
        ----------
        archive : Archive
        known : LedgerEntry or None
        """
        if known is None or known.state == "laid aside" or known.method != present_method():
            return None
        return Ended(state="unchanged", lesson=self.lesson.lesson)

    def prepare(self, archive: Archive, *, today: date) -> Job:
        """Return the job that measures what was seen.

        Parameters
        ----------
        archive : Archive
        today : date
        """
        self._job = prepare_again(archive, self.lesson.lesson, today=today, pages="when asked")
        return self._job

    def name_result(self) -> str:
        """Return the digest of what was kept, of all that counts by hand, and of the method."""
        assert self._job is not None
        given = {"given": self._job.given, "wanted": self._job.wanted, "versions": self._job.versions}
        return key_of({**given, "again": self.lesson.document, "method": present_method()})

    def let_file(self, archive: SharedArchive, *, today: date) -> Job:
        """Return the job as it is: its result is small, and the process that leads files it.

        Parameters
        ----------
        archive : SharedArchive
        today : date
        """
        assert self._job is not None
        return self._job

    def file(self, archive: Archive, result: JobResult, *, today: date) -> Ended:
        """File the result beside the first, where it is another.

        Parameters
        ----------
        archive : Archive
        result : JobResult
        today : date
        """
        assert self._job is not None
        try:
            if result.error is not None:
                raise result.error
            made = file_again(archive, self._job, result.files, today=today)
        except AlreadyFiled as error:
            return Ended(state="already filed", lesson=error.lesson)
        if made.filed is None:
            return Ended(state="unchanged", lesson=made.lesson)
        now = load_result(archive, made.filed)
        changed = f"{count_of(len(made.changed), 'number')} changed" if made.changed else "No number changed"
        return Ended(
            state="filed",
            lesson=made.filed,
            says=f"{changed}; it counts in place of lesson {made.lesson}, which stays.",
            keys=() if now is None else (_again_key(self.student, now.document),),
        )


def begin_task(lesson: BatchLesson | AgainLesson, ledger: Ledger) -> Task:
    """Return a lesson as a task.

    Parameters
    ----------
    lesson : BatchLesson or AgainLesson
    ledger : Ledger
        Knows the digests of clips.

    Raises
    ------
    UsageError, ClipError
        If a clip cannot be read.
    BucketAway
        If its bucket does not answer.
    """
    if isinstance(lesson, AgainLesson):
        return AgainTask(lesson=lesson)
    return LessonTask(lesson=lesson, clips={view: _mark_of(clip, ledger) for view, clip in lesson.clips.items()})


def _mark_of(clip: Path | BucketFile, ledger: Ledger) -> str:
    """Return the digest of a clip on this disk, and what a bucket says of one that is there, which is not loaded."""
    return key_of(clip.look().mark) if isinstance(clip, BucketFile) else ledger.digest_of(clip)


def _again_key(student: int, document: str) -> str:
    return key_of({"again": document, "student": student})
