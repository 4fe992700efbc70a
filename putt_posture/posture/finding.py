"""Phrases on shaft and ball: drawn by the coach, found, or neither."""

from collections.abc import Mapping
from typing import Final

from putt_posture.values import VIEW_WORDS, ButtSource, Scene

__all__ = ["ball_as", "no_ball", "no_shaft", "putter_ends_as", "shaft_as"]

_BUTTS: Final[Mapping[ButtSource, str]] = {
    "seen": "",
    "given": "",
    "other_view": ", its butt end by the face-on picture",
    "judged": ", its hidden butt end judged from the hands and the usual length of a grip",
    "none": "",
}


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
