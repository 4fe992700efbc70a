"""Whether the ball is on the side of the putter head that fits the student's handedness, face on.

A right-hander's target side is on the right of a face-on picture, and the ball lies on that side of the head. With the
wrong handedness it is searched for on the other side, where the head itself or its shadow may be mistaken for it.
"""

from typing import Final, Literal

from attrs import evolve

from putt_posture.scene.ball import find_ball
from putt_posture.values import VIEW_TITLES, FoundBall, Handed, Picture, Point, Scene, Segment

__all__ = ["find_ball_by_hand", "warn_of_ball_side"]

CLEARER: Final = 0.1
"""A ball on the other side is accepted where its score is higher by this than that of the expected side, 0 to 1. Of
rendered golfers the ball's side came to 0.95 and more, the other side to nothing."""

_Side = Literal[-1, 1]


def find_ball_by_hand(
    picture: Picture, *, shaft_px: Segment, scene: Scene, px_per_cm: float, handed: Handed
) -> tuple[FoundBall, tuple[str, ...]]:
    """Find the ball; face on, search the other side of the head as well.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    shaft_px : Segment
        Butt and sole.
    scene : Scene
        View and facing of the same picture.
    px_per_cm : float
        At the ball.
    handed : Handed
        As typed.

    Returns
    -------
    ball : FoundBall
        Falsy where the ball is on the wrong side for this handedness: every distance from it would have the wrong sign.
    warnings : tuple of str
        The sentence that says so.
    """
    found = find_ball(picture, shaft_px=shaft_px, scene=scene, px_per_cm=px_per_cm)
    if scene.view == "down_the_line":
        return found, ()
    other_side: _Side = -1 if scene.forward == 1 else 1
    turned = evolve(scene, forward=other_side)
    other = find_ball(picture, shaft_px=shaft_px, scene=turned, px_per_cm=px_per_cm)
    if not other or (found and other.score < found.score + CLEARER):
        return found, ()
    why_not = "it is on the side of the putter head that is away from the target"
    return FoundBall(why_not=why_not), _say(other_side, handed)


def warn_of_ball_side(ball_px: Point, *, shaft_px: Segment, scene: Scene, handed: Handed) -> tuple[str, ...]:
    """Return a sentence where the ball that the coach marked is on the other side of the head, face on.

    Parameters
    ----------
    ball_px : Point
    shaft_px : Segment
        Butt and sole.
    scene : Scene
    handed : Handed
        As typed.
    """
    if scene.view == "down_the_line" or (ball_px[0] - shaft_px[1][0]) * scene.forward >= 0:
        return ()
    return _say(-1 if scene.forward == 1 else 1, handed)


def _say(side: _Side, handed: Handed) -> tuple[str, ...]:
    other: Handed = "right" if side == 1 else "left"
    return (
        f"{VIEW_TITLES['face_on']}, are you sure: the ball is to the {other} of the putter head, as for a "
        f"{other}-hander, but --handed {handed} was given. Give --handed {other}, or, where the clip is mirrored, film "
        "again without the mirror; now lead and trail may be swapped.",
    )
