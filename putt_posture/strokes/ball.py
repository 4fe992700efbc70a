"""Which way the ball leaves, down the line, against the line that the coach marked on the ground.

Ball and line are seen by one camera and put on the ground in the same way (`scene/ground.py`), so a camera that stood
off square turns both by the same angle and drops out. What stays of the camera is how high it stood, how far away, and
how level: these stretch the ground toward the camera, and with it the angle between ball and line; more so where the
line was marked far beside the ball's.
"""

import math
from typing import Final

import numpy as np

from putt_posture.scene.ground import LEVEL_SD_DEG, put_on_ground
from putt_posture.scene.scale import CLICK_SD_PX
from putt_posture.values import Estimate, Floats, Scene, SeenStroke, Segment, absent

__all__ = ["find_start_direction"]

FIRST_CM: Final = 50.0
"""The part of the roll that counts, cm: half a metre, before a green has turned it much."""
_LEAST_CM: Final = 20.0
_LEAST_FRAMES: Final = 4
_LEAST_SPOT_CM: Final = 0.1
"""The ball's middle is not better known than this from one frame to the next, to the side, one sigma, cm."""
_LONGEST_TURN_DEG: Final = 25.0
"""No putt leaves farther off its line; then the line or the ball is something else."""


def find_start_direction(
    seen: SeenStroke, scene: Scene, target_px: Segment | None, *, size_px: tuple[int, int]
) -> Estimate:
    """Find the angle between the ball's first half metre and the target line.

    Parameters
    ----------
    seen : SeenStroke
        Its `ball_px`, `ball_sd_px` and `ball_leaves_s`; down the line.
    scene : Scene
        Scale, distance, ground and roll of the still.
    target_px : Segment or None
        Two points of the ground on the target line or on a line parallel to it, pixels of the still; the ball's place
        and the hole are such points. Which of them is farther does not matter.
    size_px : (int, int)
        Width and height of the picture.

    Returns
    -------
    Estimate
        Deg, + = away from the golfer. One sigma from the ball's places (`ball`), from both points of the line
        (`target line`), and from the camera (`camera`: distance, scale, ground, roll, level). A camera off square turns
        ball and line alike. Absent, with the reason, where there is no line or too little of the ball's way.
    """

    def missing(reason: str) -> Estimate:
        return absent(reason, unit="deg", view=seen.view)

    if seen.view != "down_the_line":
        return missing("The direction of the ball is seen down the line only.")
    if target_px is None:
        return missing("No target line was given; mark two points of the ground on it, or ball and hole.")
    if seen.kind != "putt" or not seen.ball_leaves_s:
        return missing(seen.ball_leaves_s.absent or seen.why)
    line_px = np.array(target_px, dtype=np.float64)
    middle = size_px[1] / 2
    if (line_px[:, 1] <= middle).any():
        return missing("A point of the target line is not on the ground.")
    way = _still_px(seen)
    with np.errstate(invalid="ignore"):
        rolling = np.isfinite(way[:, 0]) & (way[:, 1] > middle) & (seen.times_s > seen.ball_leaves_s.value)
        resting = np.isfinite(way[:, 0]) & (seen.times_s <= seen.ball_leaves_s.value)
    if not resting.any():
        return missing("The ball is not seen at its place before it leaves.")
    rest_px = np.median(way[resting], axis=0)
    rolled = put_on_ground(way[rolling], scene, size_px)
    gone = rolled[:, 1] - put_on_ground(rest_px[None], scene, size_px)[0, 1]
    first = gone <= FIRST_CM
    if first.sum() < _LEAST_FRAMES or not gone[first].max(initial=0.0) >= _LEAST_CM:
        return missing("The ball was followed through too little of its first half metre.")
    # Where it lay counts as one frame more: it was seen there many times, but not rolling.
    ball_px = np.concatenate([rest_px[None], way[rolling][first]])

    def angle(clicked: Floats | None = None, **moved: float) -> float:
        marked = put_on_ground(line_px if clicked is None else line_px + clicked, scene, size_px, **moved)
        ball = put_on_ground(ball_px, scene, size_px, **moved)
        return _azimuth(ball[:, 0], ball[:, 1]) - _azimuth(marked[:, 0], marked[:, 1])

    value = angle()
    if not abs(value) <= _LONGEST_TURN_DEG:
        return missing(
            f"The ball would have left {abs(value):.0f}° off the target line, more than a putt can; check both points "
            "of the line."
        )
    scale, distance = scene.px_per_cm, scene.distance_cm
    steps = {
        "distance": distance.standard_uncertainty / distance.value,
        "scale": scale.standard_uncertainty / scale.value,
        "ground": scene.ground_v_px.standard_uncertainty,
        "roll": scene.roll.standard_uncertainty,
        "level": LEVEL_SD_DEG,
    }
    camera = math.hypot(
        *(_half(angle(None, **{name: step}), angle(None, **{name: -step})) for name, step in steps.items())
    )
    clicks = CLICK_SD_PX * np.eye(4).reshape(4, 2, 2)
    line = math.hypot(*(_half(angle(each), angle(-each)) for each in clicks))
    budget = {
        "ball": _ball_sd(put_on_ground(ball_px, scene, size_px), seen, scene),
        "target line": line,
        "camera": camera,
    }
    return Estimate(
        value=value,
        standard_uncertainty=math.hypot(*budget.values()),
        unit="deg",
        view=seen.view,
        frames=int(first.sum()),
        method="the ball's first half metre against the target line that was given",
        budget=budget,
    )


def _still_px(seen: SeenStroke) -> Floats:
    """Return the ball in pixels of the still, (N, 2)."""
    turned = np.einsum("nij,nj->ni", seen.camera_px[:, :, :2], seen.ball_px)
    return np.asarray(turned + seen.camera_px[:, :, 2])


def _azimuth(beside: Floats, away: Floats) -> float:
    """Return the direction of the straight line through places on the ground, deg, + toward the ball side."""
    slope = np.polyfit(away - away.mean(), beside, 1)[0]
    return math.degrees(math.atan(slope))


def _ball_sd(ball: Floats, seen: SeenStroke, scene: Scene) -> float:
    """Return one sigma of the direction of the roll, deg, from how well its places and how well they line up."""
    away = ball[:, 1] - ball[:, 1].mean()
    off = ball[:, 0] - np.polyval(np.polyfit(away, ball[:, 0], 1), away)
    spread = math.sqrt(float((off**2).sum()) / max(len(off) - 2, 1))
    told = float(np.nanmedian(seen.ball_sd_px)) / scene.px_per_cm.value
    slope_sd = max(spread, told, _LEAST_SPOT_CM) / math.sqrt(float((away**2).sum()))
    return math.degrees(slope_sd)


def _half(one: float, other: float) -> float:
    return abs(one - other) / 2
