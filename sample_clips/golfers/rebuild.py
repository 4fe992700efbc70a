"""Rebuild: one golfer without putter and ball, who stands still in one setup after another.

Between two of them the body moves evenly from the one pose to the next. Times in seconds from the start of the clip;
studio frame of `body`.
"""

from __future__ import annotations

import attrs

from .camera import View
from .golfer import Golfer
from .pose import Posed, place
from .shapes import Shape, shape_person
from .skeleton import Skeleton
from .stroke import sway_at, swing
from .walk import blend


@attrs.frozen(eq=False)
class Rebuild:
    """One clip of a setup that is rebuilt."""

    golfers: tuple[Golfer, ...]
    """The same body in each setup, in order."""
    hold: float = 2.0
    """Seconds that each setup is held."""
    move: float = 1.2
    """Seconds from one to the next."""

    @property
    def golfer(self) -> Golfer:
        """The golfer in the first setup, at whom the camera is aimed."""
        return self.golfers[0]

    @property
    def duration(self) -> float:
        """Seconds of the whole clip."""
        return len(self.golfers) * (self.hold + self.move) - self.move

    @property
    def marks(self) -> tuple[float, ...]:
        """When the golfer stands exactly as the truth says: in the middle of each setup."""
        return tuple(number * (self.hold + self.move) + self.hold / 2 for number in range(len(self.golfers)))

    def shapes_at(self, time: float, _view: View) -> list[Shape]:
        """Everything to draw at one moment."""
        first = self.golfers[0]
        posed, _ = swing(self._pose_at(time), first.putter, 0.0, sway_at(time, self.marks))
        return shape_person(posed, first.dressed, shoes=first.student.outfit.shoes, mirror=first.mirror)

    def _pose_at(self, time: float) -> Posed:
        number = min(int(time / (self.hold + self.move)), len(self.golfers) - 1)
        share = (time - number * (self.hold + self.move) - self.hold) / self.move
        golfer = self.golfers[number]
        if share <= 0 or number + 1 == len(self.golfers):
            return golfer.posed
        later = self.golfers[number + 1].posed.angles
        return place(Skeleton(golfer.posed.body), blend(golfer.posed.angles, later, min(share, 1.0)))
