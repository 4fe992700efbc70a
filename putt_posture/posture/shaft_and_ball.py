"""Shaft and ball: where they are in space, and in words how they were found.

The depth in one view is measured in the other. Without the other view a usual place is taken: face on, butt, sole and
ball are ahead of the ankles as with a shaft at 71° and the hands at 0.41 of stature; down the line they are in the
golfer's mid-plane.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.posture.plane import Plane
from putt_posture.values import VIEW_WORDS, ButtSource, Floats, Point, Scene, Segment

__all__ = [
    "SeenBall",
    "SeenShaft",
    "ball_as",
    "ball_seen_from_front",
    "ball_seen_from_side",
    "no_ball",
    "no_shaft",
    "putter_ends_as",
    "shaft_as",
    "shaft_seen_from_front",
    "shaft_seen_from_side",
]

BUTT_AHEAD: Final = 0.06
SOLE_AHEAD: Final = 0.26
BALL_AHEAD: Final = 0.26
"""How far butt, sole and ball are ahead of the ankles, shares of stature."""

_BUTTS: Final[Mapping[ButtSource, str]] = {
    "seen": "",
    "given": "",
    "other_view": ", its butt end by the face-on picture",
    "judged": ", its hidden butt end judged from the hands and the usual length of a grip",
    "none": "",
}


@frozen(kw_only=True)
class SeenShaft:
    """The shaft in one picture.

    Attributes
    ----------
    ends_px : Segment
        Butt end of the grip, then the sole.
    toward_cm : (float, float)
        How much nearer to the camera than the mid-plane each end is.
    """

    ends_px: Segment
    toward_cm: tuple[float, float] = (0.0, 0.0)

    def ends(self, plane: Plane) -> tuple[Floats, Floats]:
        """Return butt and sole in the plane, (2,) and (2,) cm.

        Parameters
        ----------
        plane : Plane
        """
        butt, sole = plane.to_cm(np.array(self.ends_px), toward_cm=np.array(self.toward_cm))
        return butt, sole


@frozen(kw_only=True)
class SeenBall:
    """The ball in one picture: its centre, and how much nearer to the camera than the mid-plane it lies."""

    centre_px: Point
    toward_cm: float = 0.0

    def along(self, plane: Plane) -> float:
        """Return where the ball lies along the plane, cm.

        Parameters
        ----------
        plane : Plane
        """
        return float(plane.to_cm(np.array(self.centre_px), toward_cm=self.toward_cm)[0])


def ball_seen_from_front(ball_px: Point, *, side: tuple[Plane, Scene] | None, stature_cm: float) -> SeenBall:
    """Return the ball as the face-on view sees it; `side` shows how far it is ahead of the ankles.

    Parameters
    ----------
    ball_px : Point
        Centre of the ball, pixels.
    side : (Plane, Scene) or None
        The view down the line, where there is one.
    stature_cm : float
        Barefoot height, cm.
    """
    ahead = BALL_AHEAD * stature_cm
    if side is not None and side[1].ball_px is not None:
        ahead = SeenBall(centre_px=side[1].ball_px).along(side[0])
    return SeenBall(centre_px=ball_px, toward_cm=ahead)


def shaft_seen_from_front(shaft_px: Segment, *, side: tuple[Plane, Scene] | None, stature_cm: float) -> SeenShaft:
    """Return the shaft as the face-on view sees it; `side` shows how far its ends are ahead of the ankles.

    Parameters
    ----------
    shaft_px : Segment
        Butt and sole, pixels.
    side : (Plane, Scene) or None
        The view down the line, where there is one.
    stature_cm : float
        Barefoot height, cm.
    """
    ahead = BUTT_AHEAD * stature_cm, SOLE_AHEAD * stature_cm
    if side is not None and side[1].shaft_px is not None:
        butt, sole = SeenShaft(ends_px=side[1].shaft_px).ends(side[0])
        ahead = float(butt[0]), float(sole[0])
    return SeenShaft(ends_px=shaft_px, toward_cm=ahead)


def ball_seen_from_side(ball_px: Point, *, plane: Plane, front: tuple[Plane, Scene] | None) -> SeenBall:
    """Return the ball as the down-the-line view sees it; `front` shows how far it is toward the target.

    Parameters
    ----------
    ball_px : Point
        Centre of the ball, pixels.
    plane : Plane
    front : (Plane, Scene) or None
        The face-on view, where there is one.
    """
    if front is None or front[1].ball_px is None:
        return SeenBall(centre_px=ball_px)
    ahead = SeenBall(centre_px=ball_px).along(plane)
    return SeenBall(centre_px=ball_px, toward_cm=-SeenBall(centre_px=front[1].ball_px, toward_cm=ahead).along(front[0]))


def shaft_seen_from_side(shaft_px: Segment, *, plane: Plane, front: tuple[Plane, Scene] | None) -> SeenShaft:
    """Return the shaft as the down-the-line view sees it; `front` shows how far its ends are toward the target.

    Parameters
    ----------
    shaft_px : Segment
        Butt and sole, pixels.
    plane : Plane
    front : (Plane, Scene) or None
        The face-on view, where there is one.
    """
    if front is None or front[1].shaft_px is None:
        return SeenShaft(ends_px=shaft_px)
    ahead = tuple(float(end[0]) for end in SeenShaft(ends_px=shaft_px).ends(plane))
    butt, sole = SeenShaft(ends_px=front[1].shaft_px, toward_cm=(ahead[0], ahead[1])).ends(front[0])
    return SeenShaft(ends_px=shaft_px, toward_cm=(-float(butt[0]), -float(sole[0])))


def shaft_as(scene: Scene) -> str:
    """Return the source of the shaft, for the method of a measure.

    Parameters
    ----------
    scene : Scene
    """
    return "the shaft as found in the picture" if scene.shaft_source == "found" else "the shaft as the coach drew it"


def putter_ends_as(scene: Scene) -> str:
    """Return the source of the putter's two ends, for the method of its length.

    Parameters
    ----------
    scene : Scene
    """
    return shaft_as(scene) + (_BUTTS[scene.butt_source] if scene.shaft_source == "found" else "")


def ball_as(scene: Scene) -> str:
    """Return the source of the ball, for the method of a measure.

    Parameters
    ----------
    scene : Scene
    """
    return "the ball as found in the picture" if scene.ball_source == "found" else "the ball as the coach marked it"


def no_shaft(scene: Scene) -> str:
    """Return the sentence of a measure that lacks the shaft.

    Parameters
    ----------
    scene : Scene
    """
    if scene.without_putter:
        return "Filmed without a putter, so there is no shaft to measure."
    why = f": {scene.shaft_why_not}" if scene.shaft_why_not else ""
    return f"The shaft was not found in the {VIEW_WORDS[scene.view]} picture{why}; give its ends with --shaft-at."


def no_ball(scene: Scene) -> str:
    """Return the sentence of a measure that lacks the ball.

    Parameters
    ----------
    scene : Scene
    """
    if scene.without_putter:
        return "Filmed without a putter and a ball, so there is no ball to measure from."
    why = f": {scene.ball_why_not}" if scene.ball_why_not else ""
    return f"The ball was not found in the {VIEW_WORDS[scene.view]} picture{why}; give its centre with --ball-at."
