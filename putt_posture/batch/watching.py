"""A folder that is watched: clips arrive, become lessons of a batch, and are put away once that is done.

A clip that was filed is moved into the sub-folder ``filed``, one that lies aside into ``laid aside`` with a text of the
reason beside it, both under the sub-folders that it came in. No clip is deleted. What is left in the folder is still to
do, so a watch that was stopped goes on where it stood; a lesson that was filed and not moved is known by the ledger.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Final

from attrs import define, evolve, field, frozen

from putt_posture.archive import Archive
from putt_posture.batch.arrivals import ASIDE, FILED, Arrivals, Arrived
from putt_posture.batch.executors import Pool
from putt_posture.batch.ledger import Ledger
from putt_posture.batch.lessons import BatchLesson
from putt_posture.batch.limits import Limits
from putt_posture.batch.looking import Looker
from putt_posture.batch.pairing import Filmed, Paired, find_owner, pair_clips, view_in_name
from putt_posture.batch.running import BatchOutcome, run_batch
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.values import VIEW_TITLES, Moment

__all__ = ["Watch", "WatchRules", "open_watch", "run_watch"]

_AWAY_S: Final = 60.0
"""How long is waited where the archive stays away, s."""


@frozen(kw_only=True)
class WatchRules:
    """How clips that arrive become lessons.

    Attributes
    ----------
    student : int or None
        Whose clips are that do not say it; None lays them aside.
    moment : Moment
        Of clips that do not say it.
    apart_s : float
        How far apart two clips of a lesson may be filmed, s.
    wait_s : float
        How long a clip waits for the other view, s.
    once : bool
        Whether only what is in the folder now is done, without waiting for the other view.
    leaves : bool
        Whether clips stay where they are.
    lesson : BatchLesson
        What all lessons have: what was said, and what is kept.
    """

    student: int | None = None
    moment: Moment = "check"
    apart_s: float = 600.0
    wait_s: float = 600.0
    once: bool = False
    leaves: bool = False
    lesson: BatchLesson = field(factory=lambda: BatchLesson(where=""))


@define(eq=False)
class Watch:
    """The clips of a folder on their way to lessons.

    Attributes
    ----------
    arrivals : Arrivals
    rules : WatchRules
    poll_s : float
        How often the folder is looked through, s.
    tell : callable or None
        Called with a sentence.
    """

    arrivals: Arrivals
    rules: WatchRules = field(factory=WatchRules)
    poll_s: float = field(kw_only=True, default=2.0)
    tell: Callable[[str], None] | None = field(kw_only=True, default=None)
    _waiting: dict[Path, Filmed] = field(factory=dict, init=False)
    _given: dict[str, Paired] = field(factory=dict, init=False)
    _next_look: float = field(default=0.0, init=False)

    @property
    def is_done(self) -> bool:
        """Whether nothing is left of what was to be done once."""
        return self.rules.once and self.arrivals.is_settled and not self._waiting and not self._given

    def lessons(self, *, day: date, today: Callable[[], date] = date.today) -> Iterator[BatchLesson | None]:
        """Go through the lessons of clips that arrive; None where there is none at the moment.

        Parameters
        ----------
        day : date
            On the next one it ends, since consent and ages are judged by the day.
        today : callable
        """
        while today() == day:
            if self.arrivals.clock() < self._next_look:
                yield None
                continue
            for arrived in self.arrivals.look():
                self._waiting[arrived.path] = self._read(arrived)
            self._next_look = self.arrivals.clock() + self.poll_s
            settles = self.rules.once and self.arrivals.is_settled
            yield from self._join(wait_s=0.0 if settles else self.rules.wait_s)
            if settles and not self._waiting:
                return
            yield None

    def put_away(self, outcome: BatchOutcome) -> None:
        """Move the clips of a lesson to where they belong.

        Parameters
        ----------
        outcome : BatchOutcome
            Of a lesson of this watch.
        """
        paired = self._given.pop(outcome.where)
        if self.rules.leaves:
            return
        for clip in paired.clips:
            if self.rules.once and not clip.is_readable:
                continue  # it may still be copied
            try:
                _put(clip.path, self.arrivals.folder, aside=outcome.says if outcome.state == "laid aside" else None)
            except OSError as error:
                self._say(f"{self._name(clip.path)} stays where it is ({error.strerror or error}).")

    def take_back(self) -> None:
        """Offer the lessons again of which nothing was heard."""
        for paired in self._given.values():
            for clip in paired.clips:
                self.arrivals.offer_again(clip.path)
        self._given.clear()

    def _join(self, *, wait_s: float) -> Iterator[BatchLesson]:
        self._waiting = {path: clip for path, clip in self._waiting.items() if path.exists()}
        now = self.arrivals.clock()
        clips = list(self._waiting.values())
        for paired in pair_clips(clips, now=now, apart_s=self.rules.apart_s, wait_s=wait_s):
            for clip in paired.clips:
                del self._waiting[clip.path]
            where = " + ".join(self._name(clip.path) for clip in paired.clips)
            self._given[where] = paired
            yield self._as_lesson(paired, where)

    def _as_lesson(self, paired: Paired, where: str) -> BatchLesson:
        first = paired.clips[0]
        if paired.fault or first.owner is None:
            return evolve(self.rules.lesson, where=where, fault=paired.fault)
        clips = {clip.view: clip.path for clip in paired.clips if clip.view is not None}
        views = " and ".join(VIEW_TITLES[view].lower() for view in clips)
        self._say(f"{where}: a lesson of student {first.owner.student}, {first.owner.moment}, {views}.")
        return evolve(
            self.rules.lesson,
            where=where,
            student=first.owner.student,
            moment=first.owner.moment,
            day=first.owner.day or self.rules.lesson.day,
            clips=clips,
        )

    def _read(self, arrived: Arrived) -> Filmed:
        owner, fault = None, arrived.look.fault
        try:
            inside = arrived.path.relative_to(self.arrivals.folder)
            owner = find_owner(inside, student=self.rules.student, moment=self.rules.moment)
        except UsageError as error:
            fault = fault or str(error)
        return Filmed(
            path=arrived.path,
            owner=owner,
            view=view_in_name(arrived.path) or arrived.look.view,
            filmed_s=arrived.changed_s if arrived.look.filmed_s is None else arrived.look.filmed_s,
            since=arrived.at,
            fault=fault,
            is_readable=not arrived.look.fault,
        )

    def _name(self, path: Path) -> str:
        return str(path.relative_to(self.arrivals.folder))

    def _say(self, text: str) -> None:
        if self.tell is not None:
            self.tell(text)


@contextmanager
def open_watch(
    folder: Path,
    *,
    rules: WatchRules | None = None,
    still_s: float = 5.0,
    give_up_s: float = 300.0,
    poll_s: float = 2.0,
    looker: Looker | None = None,
    tell: Callable[[str], None] | None = None,
) -> Iterator[Watch]:
    """Yield the watch of a folder.

    Parameters
    ----------
    folder : Path
    rules : WatchRules, optional
    still_s, give_up_s
        As in `Arrivals`; what is done once is given up at the first look.
    poll_s
        As in `Watch`.
    looker : Looker, optional
        What looks at the clips.
    tell
        As in `Watch`.

    Raises
    ------
    UsageError
        If it is no folder.
    """
    rules, looker = rules or WatchRules(), looker or Looker()
    try:
        arrivals = Arrivals(
            folder,
            looker,
            still_s=still_s,
            give_up_s=0.0 if rules.once else give_up_s,
            needs_view=lambda path: view_in_name(path) is None,
            tell=tell,
        )
        yield Watch(arrivals, rules, poll_s=min(poll_s, max(still_s, 0.1)), tell=tell)
    finally:
        looker.close()


def run_watch(
    archive: Archive,
    watch: Watch,
    *,
    ledger: Ledger,
    pool: Pool,
    limits: Limits | None = None,
    tries: int = 3,
) -> Iterator[BatchOutcome]:
    """Measure and file what arrives in a folder, until it is stopped, or until what is there now is done.

    Parameters
    ----------
    archive
        As for `run_batch`.
    watch : Watch
    ledger, pool, limits, tries
        As for `run_batch`.

    Yields
    ------
    BatchOutcome
        Of each lesson, and of each clip that is no lesson; its clips have been put away.

    Raises
    ------
    ArchiveError
        If the archive stays away, and what is there now was to be done once. Otherwise it is waited for.
    """
    while not watch.is_done:
        day = date.today()
        try:
            for outcome in run_batch(
                archive,
                watch.lessons(day=day),
                ledger=ledger,
                pool=pool,
                today=day,
                limits=limits,
                tries=tries,
                try_again=not watch.rules.leaves,
                tell=watch.tell,
            ):
                watch.put_away(outcome)
                yield outcome
        except ArchiveError as error:
            if watch.rules.once:
                raise
            watch.take_back()
            if watch.tell is not None:
                watch.tell(f"{error} Waiting {_AWAY_S:g} s.")
            time.sleep(_AWAY_S)


def _put(path: Path, folder: Path, *, aside: str | None) -> None:
    """Move a clip to those that were filed, or to those that lie aside, with the reason; nothing is replaced."""
    inside = path.relative_to(folder)
    place = folder / (FILED if aside is None else ASIDE) / inside
    place.parent.mkdir(parents=True, exist_ok=True)
    free = (place.with_stem(f"{place.stem} ({number})") for number in range(2, 10_000))
    while place.exists():
        place = next(free)
    path.rename(place)
    earlier = folder / ASIDE / inside
    if not earlier.exists():  # it was moved back from there, and what was said of it holds no more
        _reason_of(earlier).unlink(missing_ok=True)
    if aside is not None:
        _reason_of(place).write_text(f"{place.name} was laid aside on {date.today()}.\n\n{aside}\n", encoding="utf-8")


def _reason_of(path: Path) -> Path:
    return path.with_name(f"{path.name}.txt")
