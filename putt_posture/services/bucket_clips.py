"""Lessons whose clips are in a bucket: brought to this machine for as long as they are needed.

A clip is loaded by the process that measures it, into a folder for this user alone, and removed at the end. What a
process leaves that was killed is removed by the next one on that machine.
"""

import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, Final

from attrs import evolve, frozen

from putt_posture.buckets import BucketFile
from putt_posture.clips.days import LessonDay, find_lesson_day
from putt_posture.disk.reading import open_privately
from putt_posture.disk.unfinished import begin_work, settle
from putt_posture.services.filing_jobs import FilingJob
from putt_posture.services.jobs import JobResult, LessonJob
from putt_posture.values import Progress, View

__all__ = ["BucketJob", "clips_at_hand", "find_day_of_clips", "stand_ins"]

_ENDS_BYTES: Final = 4_000_000
"""Of each end of a clip, to read when it was filmed: phones write that before or behind the pictures."""


@frozen(kw_only=True)
class BucketJob:
    """A job whose clips are loaded first.

    Attributes
    ----------
    job : LessonJob or FilingJob
    sources : mapping of View to Path or BucketFile
        Its clips.
    """

    job: LessonJob | FilingJob
    sources: Mapping[View, Path | BucketFile]

    def run(self, *, progress: Progress | None = None) -> JobResult:
        """Load the clips, do the job, and remove them.

        Parameters
        ----------
        progress : callable, optional

        Raises
        ------
        PuttPostureError
            As the job does.
        UnreadableClip, BucketAway
            If a clip cannot be loaded.
        """
        with clips_at_hand(self.sources) as clips:
            result: JobResult = _with_clips(self.job, clips).run(progress=progress)
        return evolve(result, job=self.job.job if isinstance(self.job, FilingJob) else self.job)


@contextmanager
def clips_at_hand(sources: Mapping[View, Path | BucketFile], *, ends_only: bool = False) -> Iterator[dict[View, Path]]:
    """Yield the paths of clips on this machine; what was loaded for that is removed at the end.

    Parameters
    ----------
    sources : mapping of View to Path or BucketFile
    ends_only : bool
        Whether the begin and the end of each is enough.

    Raises
    ------
    UnreadableClip, BucketAway
        If one cannot be loaded.
    """
    if not any(isinstance(each, BucketFile) for each in sources.values()):
        yield {view: each for view, each in sources.items() if isinstance(each, Path)}
        return
    place = Path(tempfile.gettempdir())
    settle(place)
    with begin_work(place) as work:
        yield {view: _load(each, work.new / view, ends_only=ends_only) for view, each in sources.items()}


def find_day_of_clips(
    sources: Mapping[View, Path | BucketFile], *, given: date | None = None, today: date
) -> LessonDay:
    """Find the day of a lesson as `find_lesson_day` does, without loading whole clips.

    Parameters
    ----------
    sources : mapping of View to Path or BucketFile
    given : date, optional
        What the coach typed.
    today : date

    Raises
    ------
    UnreadableClip, BucketAway
        If one cannot be loaded.
    """
    if given is not None:
        return find_lesson_day((), today=today, given=given)
    with clips_at_hand(sources, ends_only=True) as clips:
        return find_lesson_day(clips.values(), today=today)


def stand_ins(sources: Mapping[View, Path | BucketFile]) -> dict[View, Path]:
    """Return the paths of clips, and only the names of those that are in a bucket.

    Parameters
    ----------
    sources : mapping of View to Path or BucketFile
    """
    return {view: each if isinstance(each, Path) else Path(each.name) for view, each in sources.items()}


def _load(source: Path | BucketFile, folder: Path, *, ends_only: bool) -> Path:
    if isinstance(source, Path):
        return source
    folder.mkdir(parents=True)
    path = folder / source.name
    with open(path, "xb", opener=open_privately) as target:
        if ends_only:
            source.copy_ends_to(target, most_bytes=_ENDS_BYTES)
        else:
            source.copy_to(target)
    return path


def _with_clips(job: Any, clips: Mapping[View, Path]) -> Any:
    if isinstance(job, FilingJob):
        return evolve(job, job=_with_clips(job.job, clips), filing=evolve(job.filing, clips=clips))
    return evolve(job, clips=clips)
