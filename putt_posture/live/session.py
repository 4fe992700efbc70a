"""A lesson before a camera: frames in, the student and the numbers out.

`LiveSession.push` takes every frame and returns the smoothed student at once. `LiveReader.read` measures one of these
moments and takes longer, so that whoever draws calls it for some of them, in another thread if need be.
"""

from collections.abc import Iterable, Iterator
from typing import Final

import numpy as np
from attrs import define, evolve, field, frozen

from putt_posture.landmarks.person import Person
from putt_posture.landmarks.swaps import find_facing
from putt_posture.live.following import LiveModels, State, StudentFollower
from putt_posture.live.measuring import LiveLesson, LiveMoment, LiveReading, find_live_roll, measure_moment
from putt_posture.live.showing import LiveStep, NumberDisplay
from putt_posture.live.smoothing import OneEuroFilter
from putt_posture.live.stillness import StillnessWatch
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, Estimate, Floats, Frame, Point, Segment, Side, View

__all__ = ["LiveFrame", "LiveReader", "LiveSession", "ShownReading", "watch_live"]

READ_EVERY_S: Final = 0.2
"""Numbers are measured as often as this, s: a person reads no faster, and a reading takes three times as long as a
look."""
ROLL_AGAIN_S: Final = 5.0
"""So often it is looked for whether the camera was turned, s."""
HANDS_APART: Final = 0.14
"""Hands farther apart than this, in lengths of the body, are not on one grip (18 cm of some 130 cm): down the line the
far one is then a guess."""


@frozen(kw_only=True, eq=False)
class LiveFrame:
    """The student in one frame.

    Attributes
    ----------
    time_s : float
    state : State
    says : str
        A sentence for the coach; empty while the student is followed.
    moment : LiveMoment or None
        None where the student was not seen.
    hands_px : Point or None
        The hand centre, for the trail.
    still : bool
        Whether the student has been still for half a second.
    last_still_s : (float, float) or None
        The last stretch of stillness.
    lag_s : float
        Median lag of the smoothing of the joints, s.
    people : int
        How many people the last look at everybody saw.
    """

    time_s: float
    state: State
    says: str = ""
    moment: LiveMoment | None = field(default=None, repr=False)
    hands_px: Point | None = None
    still: bool = False
    last_still_s: tuple[float, float] | None = None
    lag_s: float = 0.0
    people: int = 1

    @property
    def points_px(self) -> Floats | None:
        """The smoothed landmarks, (33, 2) pixels; None where the student was not seen."""
        return None if self.moment is None else self.moment.person.points_px


@frozen(kw_only=True, eq=False)
class ShownReading:
    """What is on the screen beside the picture.

    Attributes
    ----------
    steps : tuple of LiveStep
    says : str
        Why there are no numbers; empty where there are.
    plumb_px : Segment or None
        The line that hangs from the shoulders (down the line) or stands over the middle of the feet (face on), top
        first; None without the student.
    reading : LiveReading
        What was measured.
    """

    steps: tuple[LiveStep, ...]
    says: str
    plumb_px: Segment | None
    reading: LiveReading = field(repr=False)


@define
class LiveSession:
    """Follow and smooth the student, frame after frame.

    Attributes
    ----------
    models : LiveModels
    view : View
    student_at : Point or None
        A point on the student, pixels, where several people could be.
    """

    models: LiveModels
    view: View
    student_at: Point | None = None
    _follower: StudentFollower = field(init=False)
    _filter: OneEuroFilter = field(factory=OneEuroFilter, init=False)
    _stillness: StillnessWatch = field(factory=StillnessWatch, init=False)

    def __attrs_post_init__(self) -> None:
        self._follower = StudentFollower(self.models, self.view, self.student_at)

    def choose(self, student_at: Point | None) -> None:
        """Choose the student anew.

        Parameters
        ----------
        student_at : Point or None
            A point on the student, pixels of the frames.
        """
        self._follower.choose(student_at)
        self._filter.forget()
        self._stillness = StillnessWatch()

    def push(self, frame: Frame) -> LiveFrame:
        """Take the next frame.

        Parameters
        ----------
        frame : Frame
            Of full size, later than the one before.

        Returns
        -------
        LiveFrame
        """
        followed = self._follower.push(frame)
        person = followed.person
        if person is None:
            return LiveFrame(
                time_s=frame.time_s,
                state=followed.state,
                says=followed.says,
                last_still_s=self._stillness.last_s,
                people=followed.people,
            )
        size_px = _size_px(person)
        points = self._filter.push(person.points_px, time_s=frame.time_s, size=size_px)
        speed, lag_s = self._filter.speed, self._filter.lag_s
        smoothed = evolve(person, points_px=points)
        still = self._stillness.push(speed, time_s=frame.time_s, size_px=size_px)
        return LiveFrame(
            time_s=frame.time_s,
            state=followed.state,
            moment=LiveMoment(frame=frame, person=smoothed, late_px=speed * lag_s[:, None]),
            hands_px=_hands(smoothed, view=self.view, size_px=size_px),
            still=still,
            last_still_s=self._stillness.last_s,
            lag_s=float(np.median(lag_s[LANDMARK_INDEX["left_shoulder"] :])),
            people=followed.people,
        )


@define
class LiveReader:
    """Measure moments, and remember what is on the screen.

    Attributes
    ----------
    lesson : LiveLesson
    """

    lesson: LiveLesson
    _display: NumberDisplay = field(factory=NumberDisplay, init=False)
    _roll: Estimate | None = field(default=None, init=False)
    _roll_s: float = field(default=-np.inf, init=False)

    def read(self, moment: LiveMoment) -> ShownReading:
        """Measure one moment.

        Parameters
        ----------
        moment : LiveMoment
            Later than the one before.

        Returns
        -------
        ShownReading
        """
        time_s = moment.frame.time_s
        if self._roll is None or time_s - self._roll_s > ROLL_AGAIN_S:
            self._roll, self._roll_s = find_live_roll(moment, view=self.lesson.view), time_s
        reading = measure_moment(moment, self.lesson, roll=self._roll)
        return ShownReading(
            steps=self._display.show(reading),
            says=reading.says,
            plumb_px=_plumb(moment.person, view=self.lesson.view, roll_deg=self._roll.value),
            reading=reading,
        )

    def clear(self) -> None:
        """Forget what was shown, as for another student or camera."""
        self._display.clear()
        self._roll = None


def watch_live(
    frames: Iterable[Frame], models: LiveModels, lesson: LiveLesson, *, student_at: Point | None = None
) -> Iterator[tuple[LiveFrame, ShownReading | None]]:
    """Go through a source of frames, such as a camera or a clip, and yield each with the numbers as they are then.

    Parameters
    ----------
    frames : iterable of Frame
        Of full size, each later than the one before.
    models : LiveModels
    lesson : LiveLesson
    student_at : Point, optional
        As for `LiveSession`.
    """
    session, reader = LiveSession(models, lesson.view, student_at), LiveReader(lesson)
    shown, read_s = None, -np.inf
    for frame in frames:
        live = session.push(frame)
        if live.moment is not None and live.time_s - read_s >= READ_EVERY_S:
            shown, read_s = reader.read(live.moment), live.time_s
        yield live, shown


def _point(person: Person, name: str) -> Floats:
    found: Floats = person.points_px[LANDMARK_INDEX[name]]
    return found


def _middle(person: Person, part: str) -> Floats:
    return (_point(person, f"left_{part}") + _point(person, f"right_{part}")) / 2


def _size_px(person: Person) -> float:
    """Return the body's size: from ankle to knee to hip to shoulder, pixels."""
    chain = np.stack([_middle(person, part) for part in ("ankle", "knee", "hip", "shoulder")])
    return max(float(np.linalg.norm(np.diff(chain, axis=0), axis=1).sum()), 1.0)


def _hands(person: Person, *, view: View, size_px: float) -> Point:
    """Return the hand centre; down the line that of the near hand where the far one cannot be on the same grip."""
    sides: tuple[Side, Side] = ("left", "right")
    centre = {side: np.mean([_point(person, f"{side}_{joint}") for joint in HAND_POINTS], axis=0) for side in sides}
    middle = (centre["left"] + centre["right"]) / 2
    if view == "down_the_line" and np.linalg.norm(centre["left"] - centre["right"]) > HANDS_APART * size_px:
        middle = centre["right" if find_facing(person.points_px[None]) > 0 else "left"]
    return float(middle[0]), float(middle[1])


def _plumb(person: Person, *, view: View, roll_deg: float) -> Segment:
    """Return a true vertical from the height of the shoulders to the feet, top first."""
    top_v, foot_v = float(_middle(person, "shoulder")[1]), float(_middle(person, "foot_index")[1])
    slope = float(np.tan(np.radians(roll_deg)))
    if view == "down_the_line":
        u = float(_middle(person, "shoulder")[0])
        return (u, top_v), (u - slope * (foot_v - top_v), foot_v)
    u = float(_middle(person, "ankle")[0])
    return (u + slope * (foot_v - top_v), top_v), (u, foot_v)
