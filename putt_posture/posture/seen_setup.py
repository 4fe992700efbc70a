"""One setup in its views: from it every measure is calculated."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.posture.depth import ahead_of_ankles_cm, beside_midline_cm, measured_ahead_cm, measured_beside_cm
from putt_posture.posture.elbows import ArmPlace, place_arm
from putt_posture.posture.nape import find_nape
from putt_posture.posture.plane import Plane, near_side, place_in_plane
from putt_posture.posture.shaft_and_ball import (
    SeenBall,
    SeenShaft,
    ball_seen_from_front,
    ball_seen_from_side,
    shaft_seen_from_front,
    shaft_seen_from_side,
)
from putt_posture.posture.side_outline import SideOutline, read_side_outline
from putt_posture.posture.trunk_shape import TrunkShape, shape_trunk
from putt_posture.values import Floats, Landmarks, Scene, Side, Student, View, ViewResult, Whose, median_shift, side_of

__all__ = ["SeenSetup", "see_setup"]

PASSES: Final = 2
"""How often each view gives the other its depths; after that they no longer change (0.01 cm)."""
_SIDES: Final[tuple[Side, ...]] = ("left", "right")


@frozen(kw_only=True, eq=False)
class SeenSetup:
    """One setup in one or both views.

    Attributes
    ----------
    student : Student
    results : mapping of View to ViewResult
        One or both views.
    planes : mapping of View to Plane
        Of the same views; the depth of one view is measured in the other.
    outlines : tuple of SideOutline
        Of back and front in each frame down the line; empty without that view.
    trunk : TrunkShape
        Breadth and depth of the trunk, from the outlines and the body tables.
    arms : mapping of Side to ArmPlace
        Places of the arms along the trunk that the view down the line shows, in the frames that belong to those of the
        view face on.
    """

    student: Student
    results: Mapping[View, ViewResult]
    planes: Mapping[View, Plane]
    outlines: tuple[SideOutline, ...]
    trunk: TrunkShape
    arms: Mapping[Side, ArmPlace] = field(factory=dict)

    def has(self, view: View) -> bool:
        """Return whether there is a view.

        Parameters
        ----------
        view : View
        """
        return view in self.results

    def scene(self, view: View) -> Scene:
        """Return the scene of a view.

        Parameters
        ----------
        view : View
        """
        return self.results[view].scene

    def landmarks(self, view: View) -> Landmarks:
        """Return the landmarks of a view as the model gave them.

        Parameters
        ----------
        view : View
        """
        return self.results[view].landmarks

    def pair(self, view: View) -> tuple[Plane, Scene] | None:
        """Return plane and scene of a view; None where there is none.

        Parameters
        ----------
        view : View
        """
        return (self.planes[view], self.scene(view)) if self.has(view) else None

    @property
    def near(self) -> Side | None:
        """The golfer's side toward the camera down the line; None without that view."""
        return near_side(self.scene("down_the_line")) if self.has("down_the_line") else None

    def side(self, whose: Whose) -> Side:
        """Return the golfer's own side of the lead or trail limb.

        Parameters
        ----------
        whose : Whose
        """
        return side_of(whose, self.student.handed)

    def ball(self, view: View) -> SeenBall:
        """Return the ball of a view that shows it, with its depth from the other view or judged.

        Parameters
        ----------
        view : View

        Raises
        ------
        ValueError
            Where the view shows no ball.
        """
        seen = self.scene(view).ball_px
        if seen is None:
            raise ValueError(f"The {view} view shows no ball.")
        if view == "down_the_line":
            return ball_seen_from_side(seen, plane=self.planes[view], front=self.pair("face_on"))
        return ball_seen_from_front(seen, side=self.pair("down_the_line"), stature_cm=self.student.stature_cm)

    def shaft(self, view: View) -> SeenShaft:
        """Return the shaft of a view that shows it, with its depth from the other view or judged.

        Parameters
        ----------
        view : View

        Raises
        ------
        ValueError
            Where the view shows no shaft.
        """
        seen = self.scene(view).shaft_px
        if seen is None:
            raise ValueError(f"The {view} view shows no shaft.")
        if view == "down_the_line":
            return shaft_seen_from_side(seen, plane=self.planes[view], front=self.pair("face_on"))
        return shaft_seen_from_front(seen, side=self.pair("down_the_line"), stature_cm=self.student.stature_cm)


def see_setup(views: Mapping[View, ViewResult], student: Student) -> SeenSetup:
    """Put the views of one setup together.

    Parameters
    ----------
    views : mapping of View to ViewResult
        One or both, each with a scale.
    student : Student
    """
    planes = _planes(views, student)
    side = views.get("down_the_line")
    if side is None:
        return SeenSetup(student=student, results=views, planes=planes, outlines=(), trunk=shape_trunk(student))
    outlines = _outlines(side, student)
    plane = planes["down_the_line"]
    beside = plane.beside(planes.get("face_on", plane))
    arms = {each: place_arm(beside, side=each) for each in _SIDES}
    return SeenSetup(
        student=student,
        results=views,
        planes=planes,
        outlines=outlines,
        trunk=shape_trunk(student, outlines, px_per_cm=side.scene.px_per_cm.value),
        arms={each: arm for each, arm in arms.items() if arm is not None},
    )


def _planes(views: Mapping[View, ViewResult], student: Student) -> dict[View, Plane]:
    planes: dict[View, Plane] = {}
    side, front = views.get("down_the_line"), views.get("face_on")
    ahead = ahead_of_ankles_cm(student.stature_cm)
    if side is not None:
        beside = beside_midline_cm(student.stature_cm, near=near_side(side.scene))
        planes["down_the_line"] = place_in_plane(side, toward_cm=beside)
        ahead = measured_ahead_cm(planes["down_the_line"], fallback=ahead)
    if front is not None:
        planes["face_on"] = place_in_plane(front, toward_cm=ahead)
    if side is not None and front is not None:
        for _ in range(PASSES):
            beside = measured_beside_cm(planes["face_on"], fallback=beside)
            planes["down_the_line"] = place_in_plane(side, toward_cm=beside)
            ahead = measured_ahead_cm(planes["down_the_line"], fallback=ahead)
            planes["face_on"] = place_in_plane(front, toward_cm=ahead)
    return planes


def _outlines(side: ViewResult, student: Student) -> tuple[SideOutline, ...]:
    forward, px_per_cm = side.scene.forward, side.scene.px_per_cm.value
    napes = find_nape(side.landmarks, near=near_side(side.scene), forward=forward, sex=student.sex)
    return tuple(
        read_side_outline(
            side.joints, index, forward=forward, px_per_cm=px_per_cm, nape_px=nape, drawn_px=_drawn_back(side, index)
        )
        for index, nape in enumerate(napes)
    )


def _drawn_back(side: ViewResult, index: int) -> Floats | None:
    """Return the back that was drawn in the still, (N, 2) px, as it lies in a frame of the same setup; else None."""
    landmarks, still = side.landmarks, side.still_index
    if not side.given.back_px or landmarks.setup_index[index] != landmarks.setup_index[still]:
        return None
    return np.array(side.given.back_px, dtype=np.float64) + median_shift(landmarks, still, index)
