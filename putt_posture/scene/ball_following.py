"""The ball through all frames of one stroke: where it lies, whether it leaves, and where it rolls.

The frames come as the crops that were kept of them (`scene/crops.py`); all points are crop pixels.
"""

import math
from collections.abc import Callable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from putt_posture.body import BALL_CM
from putt_posture.scene.ball import NOTHING_THERE, find_ball
from putt_posture.scene.ball_leaving import FollowedBall, judge_ball, leaves_within, no_ball
from putt_posture.scene.ball_roll import fit_roll
from putt_posture.scene.ball_watch import BallWatch
from putt_posture.scene.crops import KeptCrops
from putt_posture.scene.putter import nearness
from putt_posture.scene.roll_line import RollLine
from putt_posture.scene.shaft_following import ShaftLine
from putt_posture.values import Floats, FoundBall, Picture, Scene

__all__ = ["ball_px_per_cm", "follow_ball"]

_RESTS: Final = 20
_LEAST_RESTS: Final = 3
"""How many frames are asked for the ball's place of rest, and how many must answer."""
_REST_SD_CM: Final = 0.15
_NO_FRAMES: Final = "No frame of this stroke was seen."
_NO_BALL: Final = "No ball lies at the putter head, as the frames in which it has gone back show."
_NO_PUTTER: Final = "The clip was filmed without putter and ball."


def ball_px_per_cm(scene: Scene, zoom: float) -> float:
    """Return the scale at the ball, crop pixels per cm.

    Parameters
    ----------
    scene : Scene
        Of the still.
    zoom : float
        Crop pixels per still pixel.

    Returns
    -------
    float
    """
    return scene.px_per_cm.value * zoom * nearness(scene)


def follow_ball(
    times_s: Floats,
    kept: KeptCrops,
    lines: Sequence[ShaftLine | None],
    covered: Callable[[int], NDArray[np.bool_] | None],
    *,
    scene: Scene,
    still: Picture,
    behind: Picture,
    picture_size: tuple[int, int],
) -> FollowedBall:
    """Follow the ball.

    Parameters
    ----------
    times_s : (N,)
        Clip times of the frames.
    kept : KeptCrops
        Their crops.
    lines : sequence of ShaftLine or None
        The shaft in each; None where it was not found.
    covered : callable
        Given the number of a frame, where the putter is in its crop, (H, W) bool; None where that is not known.
    scene : Scene
        Of the still.
    still : (H, W, 3) uint8
        The crop of the still.
    behind : (H, W, 3) uint8
        What stands still behind putter and ball.
    picture_size : (int, int)
        Width and height of the whole picture.

    Returns
    -------
    FollowedBall
        With the reason where no ball was followed.
    """
    view, place = scene.view, kept.place
    if scene.without_putter:
        return no_ball(len(times_s), kind="unsure", why=_NO_PUTTER, view=view)
    if not len(times_s):
        return no_ball(0, kind="unsure", why=_NO_FRAMES, view=view)
    found = _resting_place(kept, lines, scene=scene, still=still)
    if isinstance(found, FoundBall):
        nothing = found.why_not == NOTHING_THERE
        why = _NO_BALL if nothing else f"No ball was found: {found.why_not}."
        return no_ball(len(times_s), kind="practice" if nothing else "unsure", why=why, view=view)
    rest, shown = found
    scale = ball_px_per_cm(scene, place.zoom)
    line = _roll_line(kept, rest, scene=scene, picture_size=picture_size)
    watch = BallWatch(shown, behind, line=line, radius_px=BALL_CM / 2 * scale, view=view)
    if not watch.clear:
        why = "The ball looks too much like the floor to be followed."
        return no_ball(len(times_s), kind="unsure", why=why, view=view)
    sights, rests = [], []
    every = max(1, len(times_s) // _RESTS)
    for index in range(len(times_s)):
        crop, hidden = kept[index], covered(index)
        sights.append(watch.look(crop, hidden))
        if sights[-1].state == "there" and index % every == 0:
            rests.append(watch.rest_px(crop, hidden))
    whole = [each for each in rests if each is not None]
    if len(whole) >= _LEAST_RESTS:
        rest = np.median(whole, axis=0)
    after, before = leaves_within(times_s, sights)
    roll = fit_roll(times_s, sights, line.from_rest(rest), after_s=after, before_s=before)
    return judge_ball(times_s, sights, roll, rest_px=rest, rest_sd_px=_REST_SD_CM * scale, view=view)


def _resting_place(
    kept: KeptCrops, lines: Sequence[ShaftLine | None], *, scene: Scene, still: Picture
) -> tuple[Floats, Picture] | FoundBall:
    """Return the ball's centre and a crop that shows it; a falsy ball with the reason where there is none."""
    place = kept.place
    if scene.ball_px is not None:
        return place.to_crop(np.array(scene.ball_px)), still
    not_found = FoundBall(why_not=scene.ball_why_not or "it was not looked for")
    if scene.shaft_px is None:
        return not_found
    # A head that hides the ball at address shows it when it has gone back.
    at_first = next((line.angle_deg for line in lines if line is not None), 0.0)
    away = [0.0 if line is None else line.angle_deg - at_first for line in lines]
    butt, sole = place.to_crop(np.array(scene.shaft_px))
    shaft_px = ((float(butt[0]), float(butt[1])), (float(sole[0]), float(sole[1])))
    found = []
    # Back is one way or the other, and after the stroke the ball is gone.
    order = sorted(range(len(away)), key=lambda k: away[k])
    for index in dict.fromkeys((*order[:2], *order[:-3:-1])):
        crop = kept[index]
        ball = find_ball(crop, shaft_px=shaft_px, scene=scene, px_per_cm=ball_px_per_cm(scene, place.zoom))
        if ball.centre_px is not None:
            return np.array(ball.centre_px), crop
        found.append(ball)
    return next((ball for ball in found if ball.why_not != NOTHING_THERE), found[0])


def _roll_line(kept: KeptCrops, rest: Floats, *, scene: Scene, picture_size: tuple[int, int]) -> RollLine:
    """Return which way a ball that was putted rolls in the picture."""
    roll, place = math.radians(scene.roll.value), kept.place
    scale = ball_px_per_cm(scene, place.zoom)
    if scene.view == "face_on":
        along = scene.forward * np.array([math.cos(roll), math.sin(roll)])
        return RollLine(rest_px=rest, along=along, px_per_cm=scale)
    # The target line runs into the horizon, which a level camera sees in the middle of the picture.
    middle = place.to_crop(np.array(picture_size) / 2)
    focal = scene.px_per_cm.value * scene.distance_cm.value * place.zoom
    ahead = middle - np.array([scene.forward * focal * math.tan(math.radians(scene.yaw.value)), 0.0])
    way = ahead - rest
    return RollLine(
        rest_px=rest,
        along=way / np.linalg.norm(way),
        px_per_cm=scale,
        below_horizon_px=float(np.linalg.norm(way)),
        distance_cm=scene.distance_cm.value,
    )
