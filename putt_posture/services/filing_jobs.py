"""Lessons that are measured and filed by the process that measures them.

An archive in PostgreSQL takes many writers, so each worker files what it measured, in short transactions of its own;
what a lesson holds then does not travel. SQLite takes one writer at a time: there, the process that leads files. Both
call `file_measured`, and consent is judged in the transaction that files.

A worker never makes or clears up anything in an archive. It files only where it sees the same files as the process that
leads, by a mark that this process keeps among them. If it sees others, or the archive is away, it gives back what it
measured, and the process that leads files that.
"""

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from attrs import evolve, frozen

from putt_posture.archive import Archive, find_lesson_of_clips
from putt_posture.archive.files.file_store import new_token
from putt_posture.archive.opening import open_unchecked
from putt_posture.archive.place import Place
from putt_posture.documents import DOCUMENT
from putt_posture.errors import AlreadyFiled, ArchiveError, NotAllowed, NotInArchive
from putt_posture.services.filing import Filed, Filing, file_measured
from putt_posture.services.jobs import JobResult, LessonJob
from putt_posture.values import Progress, View

__all__ = ["FilingJob", "SharedArchive", "refuse_filed_clips", "share_archive"]


@frozen(kw_only=True)
class SharedArchive:
    """An archive in which workers file too.

    Attributes
    ----------
    place : Place
        As the process that leads has it open. It may hold a password, which is sent to the workers.
    token : str
        Of the mark that the process that leads keeps among the archive's files.
    """

    place: Place
    token: str


@frozen(kw_only=True)
class FilingJob:
    """A lesson to measure, and to file where it was measured.

    Attributes
    ----------
    job : LessonJob
        From `prepare_job`, with this filing.
    filing : Filing
    archive : SharedArchive
    today : date
        The day by which consent and ages are judged.
    """

    job: LessonJob
    filing: Filing
    archive: SharedArchive
    today: date

    @property
    def clips(self) -> Mapping[View, Path]:
        """The clips that are measured."""
        return self.job.clips

    def run(self, *, progress: Progress | None = None) -> JobResult:
        """Measure and file; where the archive cannot be reached from here, return the files of the lesson.

        Parameters
        ----------
        progress : callable, optional

        Raises
        ------
        PuttPostureError
            As `LessonJob.run` and `file_measured` do. Nothing of the lesson is kept then.
        """
        result = self.job.run(progress=progress)
        try:
            filed = _file(self.archive, self.filing, result, today=self.today)
        except (AlreadyFiled, NotAllowed, NotInArchive):
            raise
        except (ArchiveError, OSError):
            return result
        return result if filed is None else evolve(result, files={}, filed=filed)


@contextmanager
def share_archive(archive: Archive) -> Iterator[SharedArchive | None]:
    """Let workers file in an archive during the block; None where only this process can.

    Parameters
    ----------
    archive : Archive

    Raises
    ------
    ArchiveError
        If its files cannot be written.
    """
    if archive.place.folder is not None:
        yield None
        return
    token = new_token()
    with archive.files.claim(token):
        yield SharedArchive(place=archive.place, token=token)


def _file(shared: SharedArchive, filing: Filing, result: JobResult, *, today: date) -> Filed | None:
    """File a lesson; None where other files than those of the process that leads are seen here."""
    with open_unchecked(shared.place) as archive:
        if shared.token not in set(archive.files.tokens()):
            return None
        refuse_filed_clips(archive, filing, result)
        return file_measured(archive, filing, result, today=today)


def refuse_filed_clips(archive: Archive, filing: Filing, result: JobResult) -> None:
    """Refuse a lesson of clips that the archive holds by now, also where it is dated otherwise.

    Parameters
    ----------
    archive : Archive
    filing : Filing
    result : JobResult
        With files.

    Raises
    ------
    AlreadyFiled
    """
    views = json.loads(result.files.get(DOCUMENT, b"{}")).get("views", {})
    clips = {view: about["sha256"] for view, about in views.items()}
    number = find_lesson_of_clips(archive, filing.student, clips, moment=filing.moment) if clips else None
    if number is not None:
        raise AlreadyFiled(f"These clips are filed already, as lesson {number}. Nothing was changed.", lesson=number)
