"""Frames that come faster than they can be worked on: only the newest is, and drawing never waits for measuring.

A thread follows the student in every frame that it gets to; the pose models work in processes of their own. The newest
moment is measured in another process: in this one it would hold up every frame, since Python runs one thread at a time.
"""

import multiprocessing
import signal
import threading
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from types import TracebackType
from typing import Final, Generic, Self, TypeVar

from attrs import define, field, frozen

from putt_posture.errors import PuttPostureError
from putt_posture.live.following import open_live_models
from putt_posture.live.measuring import LiveLesson, LiveMoment
from putt_posture.live.session import READ_EVERY_S, LiveFrame, LiveReader, LiveSession, ShownReading
from putt_posture.values import Frame, Point

__all__ = ["LiveOutcome", "LivePipeline", "Newest"]

_T = TypeVar("_T")
_END_S: Final = 10.0
"""How long to wait for the threads at the end, s: a frame takes far less."""


class Newest(Generic[_T]):
    """A place for one thing; who puts another there replaces it."""

    def __init__(self) -> None:
        self._ready = threading.Condition()
        self._held: _T | None = None
        self._open = True

    def put(self, thing: _T) -> bool:
        """Put a thing there and say whether one was replaced that no one had taken.

        Parameters
        ----------
        thing : object
        """
        with self._ready:
            replaced = self._held is not None
            self._held = thing
            self._ready.notify()
            return replaced

    def take(self) -> _T | None:
        """Wait for a thing and take it away; None once the place is closed."""
        with self._ready:
            self._ready.wait_for(lambda: self._held is not None or not self._open)
            thing, self._held = self._held, None
            return thing if self._open else None

    def close(self) -> None:
        """Wake up whoever waits, for the last time."""
        with self._ready:
            self._open, self._held = False, None
            self._ready.notify_all()


@frozen(kw_only=True, eq=False)
class LiveOutcome:
    """What became of one frame.

    Attributes
    ----------
    frame : LiveFrame or None
        None where the picture could not be worked on.
    shown : ShownReading or None
        The newest numbers; None before the first.
    took_s : float
        From the moment the frame was offered until it was worked on.
    dropped : int
        How many frames were replaced by newer ones since the start.
    error : str
        Why nothing more comes; empty where all is well.
    """

    frame: LiveFrame | None
    shown: ShownReading | None = None
    took_s: float = 0.0
    dropped: int = 0
    error: str = ""


@define(eq=False)
class LivePipeline:
    """Follow and measure in threads of their own; between `start` and `close`, or as a context manager.

    Attributes
    ----------
    lesson : LiveLesson
    tell : callable
        Called with each `LiveOutcome`, in a thread of the pipeline; it must return at once.
    student_at : Point or None
        As for `LiveSession`.
    """

    lesson: LiveLesson
    tell: Callable[[LiveOutcome], None]
    student_at: Point | None = None
    _frames: Newest[tuple[Callable[[], Frame], float]] = field(factory=Newest, init=False)
    _moments: Newest[LiveMoment] = field(factory=Newest, init=False)
    _threads: list[threading.Thread] = field(factory=list, init=False)
    _choice: list[Point | None] = field(factory=list, init=False)
    _shown: ShownReading | None = field(default=None, init=False)
    _anew: bool = field(default=False, init=False)
    _dropped: int = field(default=0, init=False)

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def start(self) -> None:
        """Start the threads."""
        self._threads = [threading.Thread(target=work, daemon=True) for work in (self._follow, self._measure)]
        for thread in self._threads:
            thread.start()

    def close(self) -> None:
        """Stop, after the frame that is being worked on."""
        self._frames.close()
        self._moments.close()
        for thread in self._threads:
            thread.join(_END_S)

    def offer(self, read: Callable[[], Frame]) -> None:
        """Offer the next frame; one that still waits is dropped.

        Parameters
        ----------
        read : callable
            Returns the frame, or raises one of the project's errors where the picture is none; called in a thread of
            the pipeline, and not at all for a frame that is dropped.
        """
        self._dropped += self._frames.put((read, time.monotonic()))

    def choose(self, student_at: Point | None) -> None:
        """Choose the student anew, from the next frame on.

        Parameters
        ----------
        student_at : Point or None
            A point on the student, pixels of the frames.
        """
        self._choice.append(student_at)

    def _follow(self) -> None:
        try:
            with open_live_models() as models:
                session = LiveSession(models, self.lesson.view, self.student_at)
                while (waiting := self._frames.take()) is not None:
                    self._work_on(session, *waiting)
        except Exception as error:
            self._give_up(error)

    def _work_on(self, session: LiveSession, read: Callable[[], Frame], offered_s: float) -> None:
        while self._choice:
            session.choose(self._choice.pop(0))
            self._anew, self._shown = True, None
        live = session.push(read())
        if live.moment is not None:
            self._moments.put(live.moment)
        took_s = time.monotonic() - offered_s
        self.tell(LiveOutcome(frame=live, shown=self._shown, took_s=took_s, dropped=self._dropped))

    def _measure(self) -> None:
        readers = _open_reader(self.lesson)
        try:
            while (moment := self._moments.take()) is not None:
                begun_s = time.monotonic()
                anew, self._anew = self._anew, False
                try:
                    shown = readers.submit(_read, moment, anew).result()
                    self._shown = None if self._anew else shown
                except BrokenProcessPool:  # such as for lack of memory; the next moment is measured in another
                    readers = _open_reader(self.lesson)
                time.sleep(max(READ_EVERY_S - (time.monotonic() - begun_s), 0.0))
        except Exception as error:
            self._give_up(error)
        finally:
            readers.shutdown(wait=False, cancel_futures=True)

    def _give_up(self, error: Exception) -> None:
        """Say why nothing more comes; an error that is not the project's would else end a thread in silence."""
        says = str(error) if isinstance(error, PuttPostureError) else f"Live stopped ({type(error).__name__}: {error})."
        self.tell(LiveOutcome(frame=None, error=says))


_reader: LiveReader | None = None
"""In the process that measures: what is on the screen."""


def _open_reader(lesson: LiveLesson) -> ProcessPoolExecutor:
    spawn = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(max_workers=1, mp_context=spawn, initializer=_begin, initargs=(lesson,))


def _begin(lesson: LiveLesson) -> None:
    global _reader
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process that started this one decides when it ends
    _reader = LiveReader(lesson)


def _read(moment: LiveMoment, anew: bool) -> ShownReading:
    assert _reader is not None
    if anew:
        _reader.clear()
    return _reader.read(moment)
