"""The one student before a camera, frame after frame: found, followed, kept apart from others, left and right kept.

First all people are looked at for a moment, and the student is chosen as in a clip. Then the pose model follows that
person from picture to picture, which takes two thirds of the time. What it finds has to be where the student can be by
now, as large, and dressed alike; anyone else is refused, and the student is searched for among all people again.
"""

from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final, Literal

import numpy as np
from attrs import define, field, frozen

from putt_posture.errors import PuttPostureError
from putt_posture.landmarks import PeopleStream, Person, PoseModel, open_pose_model
from putt_posture.landmarks.crops import pad_box
from putt_posture.landmarks.identities import reach_of, unlikeness
from putt_posture.landmarks.person import is_plausible
from putt_posture.landmarks.student import choose_student
from putt_posture.landmarks.suitability import check_student
from putt_posture.landmarks.swaps import Sides, correct_swaps
from putt_posture.live.clothes import OTHER_CLOTHES, colour_distance, read_clothes
from putt_posture.shown import begin_upper
from putt_posture.values import Floats, Frame, Picture, Point, View

__all__ = ["Followed", "LiveModels", "StudentFollower", "open_live_models"]

State = Literal["searching", "followed", "lost", "refused"]
"""Whom the picture shows: nobody who was chosen yet; the student; no one; someone else."""

SEARCH_S: Final = 0.6
SEARCH_LOOKS: Final = 4
"""For this long, and in this many frames, people are looked at before the student is chosen."""
SEARCH_MEMORY_S: Final = 2.0
"""Looks older than this are forgotten while no student could be chosen, s."""
ROOM: Final = 0.35
"""Around the student's box; what lies outside is painted over, so that the model cannot see others there."""
FORGET_S: Final = 4.0
"""Who is away for longer is chosen anew, s: in that time people change places."""
AGAIN_S: Final = 0.12
"""After so long without the student all people in the picture are looked at, s, and as often from then on."""
SIDES_MEMORY: Final = 9
"""So many frames decide which side is which."""
CLOTHES_MEMORY: Final = 0.03
"""Share by which the remembered colours follow those of each frame, as the light changes."""
CLOTHES_FRAMES: Final = 4
"""So many frames in a row must show other clothes; an arm before the shirt for a moment does not count."""
_GREY: Final = 128


@frozen(kw_only=True)
class LiveModels:
    """The open pose models, each in a process of its own.

    Attributes
    ----------
    one : PoseModel
        Follows one person from picture to picture, with the outline.
    all : PoseModel
        Searches whole pictures for several people.
    """

    one: PoseModel
    all: PoseModel


@contextmanager
def open_live_models() -> Iterator[LiveModels]:
    """Open the models for as long as the block lasts.

    Yields
    ------
    LiveModels

    Raises
    ------
    InstallationError, ProcessStopped
        As `open_pose_model` does.
    """
    with (
        open_pose_model("small", people=1, outline=True, follows=True) as one,
        open_pose_model("small") as everybody,
    ):
        yield LiveModels(one=one, all=everybody)


@frozen(kw_only=True, eq=False)
class Followed:
    """What became of one frame.

    Attributes
    ----------
    state : State
    person : Person or None
        The student, left and right corrected, in pixels of the frame; None where the student was not seen.
    says : str
        A sentence for the coach; empty while the student is followed.
    swapped : bool
        Whether arms or legs were put right.
    people : int
        How many people the last look at everybody saw.
    """

    state: State
    person: Person | None = None
    says: str = ""
    swapped: bool = False
    people: int = 1


@define
class StudentFollower:
    """Follow the student.

    Attributes
    ----------
    models : LiveModels
    view : View
    student_at : Point or None
        A point on the student, pixels of the frames, where several people could be.
    """

    models: LiveModels
    view: View
    student_at: Point | None = None
    _stream: PeopleStream = field(init=False)
    _looks: deque[tuple[float, list[Person]]] = field(factory=deque, init=False)
    _last: Person | None = field(default=None, init=False)
    _last_s: float = field(default=-np.inf, init=False)
    _searched_s: float = field(default=-np.inf, init=False)
    _clothes: Floats = field(factory=lambda: np.full((2, 3), np.nan), init=False)
    _strange: int = field(default=0, init=False)
    _others: bool = field(default=False, init=False)
    _people: int = field(default=1, init=False)
    _sides: Sides | None = field(default=None, init=False)

    def __attrs_post_init__(self) -> None:
        self._stream = PeopleStream(self.models.all)

    def choose(self, student_at: Point | None) -> None:
        """Choose the student anew.

        Parameters
        ----------
        student_at : Point or None
            A point on the student, pixels of the frames.
        """
        self.student_at = student_at
        self._forget()

    def push(self, frame: Frame) -> Followed:
        """Find the student in the next frame.

        Parameters
        ----------
        frame : Frame
            Later than the one before, at full size.

        Returns
        -------
        Followed
        """
        if self._last is not None and frame.time_s - self._last_s > FORGET_S:
            self._forget()
        if self._last is None:
            return self._search(frame)
        return self._follow(frame, self._last)

    def _forget(self) -> None:
        self._looks.clear()
        self._last, self._last_s, self._sides = None, -np.inf, None
        self._clothes, self._strange, self._others = np.full((2, 3), np.nan), 0, False

    def _search(self, frame: Frame) -> Followed:
        people = [person for person in self._stream.push(frame) if is_plausible(person)]
        self._people = len(people)
        self._looks.append((frame.time_s, people))
        while self._looks and frame.time_s - self._looks[0][0] > SEARCH_MEMORY_S:
            self._looks.popleft()
        times = np.array([time for time, _ in self._looks])
        if len(times) < SEARCH_LOOKS or times[-1] - times[0] < SEARCH_S:
            return self._answer("searching", says="Looking for the student.")
        try:
            choice = choose_student(
                times, [found for _, found in self._looks], view=self.view, student_at=self.student_at
            )
            self._check(choice.people, frame.picture)
        except PuttPostureError as error:
            return self._answer("searching", says=_for_a_camera(str(error)))
        student = choice.people[-1]
        if student is None:
            return self._answer("searching", says="Looking for the student.")
        self._clothes = read_clothes(frame.picture, student)
        self.models.one.find_people(np.full_like(frame.picture, _GREY))  # it forgets whom it followed before
        return self._accept(frame, student)

    def _check(self, people: tuple[Person | None, ...], picture: Picture) -> None:
        seen = [person for person in people if person is not None]
        points, visibility, depth = (
            np.stack([getattr(person, name) for person in seen]) for name in ("points_px", "visibility", "depth")
        )
        check_student(points, visibility, depth, view=self.view, size_px=(picture.shape[1], picture.shape[0]))

    def _follow(self, frame: Frame, last: Person) -> Followed:
        around = pad_box(np.array(last.box), size_px=frame.picture.shape[1::-1], room=ROOM)
        found = self.models.one.find_people(_paint_around(frame.picture, around))
        gap_s = frame.time_s - self._last_s
        if found and is_plausible(found[0]) and unlikeness(last, found[0]) <= reach_of(gap_s):
            if not self._is_strange(frame.picture, found[0], at_once=gap_s >= AGAIN_S):
                return self._accept(frame, found[0])
            self._others = True
        if gap_s >= AGAIN_S and frame.time_s - self._searched_s >= AGAIN_S:
            student = self._search_again(frame, last, gap_s=gap_s)
            if student is not None:
                self.models.one.find_people(np.full_like(frame.picture, _GREY))
                return self._accept(frame, student)
        if self._others:
            return self._answer("refused", says="Someone else is there. The student is waited for.")
        return self._answer("lost", says="The student is not seen. Show the whole body.")

    def _search_again(self, frame: Frame, last: Person, *, gap_s: float) -> Person | None:
        """Search all people for the student: where they can be by now, as large, and dressed alike."""
        self._searched_s = frame.time_s
        people = [person for person in self._stream.push(frame) if is_plausible(person)]
        self._people = len(people)
        near = [person for person in people if unlikeness(last, person) <= reach_of(gap_s)]
        alike = [person for person in near if self._distance(frame.picture, person) <= OTHER_CLOTHES]
        self._others = bool(people) and not alike
        return min(alike, key=lambda person: unlikeness(last, person), default=None)

    def _distance(self, picture: Picture, person: Person) -> float:
        return colour_distance(self._clothes, read_clothes(picture, person))

    def _is_strange(self, picture: Picture, person: Person, *, at_once: bool) -> bool:
        """Tell whether the person wears other clothes than the student: in several frames in a row, or at once."""
        self._strange = self._strange + 1 if self._distance(picture, person) > OTHER_CLOTHES else 0
        return self._strange >= (1 if at_once else CLOTHES_FRAMES)

    def _accept(self, frame: Frame, found: Person) -> Followed:
        self._last, self._last_s, self._others = found, frame.time_s, False
        if not self._strange:
            seen = read_clothes(frame.picture, found)
            self._clothes = np.where(
                np.isfinite(self._clothes), self._clothes + CLOTHES_MEMORY * (np.nan_to_num(seen) - self._clothes), seen
            )
        person, swapped = self._keep_sides(found)
        return Followed(state="followed", person=person, swapped=swapped, people=self._people)

    def _keep_sides(self, found: Person) -> tuple[Person, bool]:
        """Put left and right as they were in the frames before, and as the view shows them."""
        points, visibility, depth = found.points_px[None], found.visibility[None], found.depth[None]
        if (held := self._sides) is not None:
            before = np.s_[-SIDES_MEMORY + 1 :]
            points = np.concatenate([held.points_px[before], points])
            visibility = np.concatenate([held.visibility[before], visibility])
            depth = np.concatenate([held.depth[before], depth])
        self._sides = sides = correct_swaps(points, visibility, depth, view=self.view)
        person = Person(
            points_px=sides.points_px[-1], visibility=sides.visibility[-1], depth=sides.depth[-1], mask=found.mask
        )
        return person, bool(sides.swapped[-1, 1:].any())

    def _answer(self, state: State, *, says: str) -> Followed:
        return Followed(state=state, says=says, people=self._people)


def _paint_around(picture: Picture, box: tuple[int, int, int, int]) -> Picture:
    """Return the picture with everything outside a box in grey."""
    u0, v0, u1, v1 = box
    painted = np.full_like(picture, _GREY)
    painted[v0:v1, u0:u1] = picture[v0:v1, u0:u1]
    return painted


def _for_a_camera(says: str) -> str:
    """Turn the sentences about a clip into what helps before a camera."""
    first = begin_upper(says.split(". Give --student-at")[0].split(" Give --student-at")[0])
    if "two people could be the student" in says:
        return "Two people could be the student. Point at the student in the picture."
    return first if first.endswith(".") else f"{first}."
