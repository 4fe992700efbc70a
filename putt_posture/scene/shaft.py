"""The putter in one picture, searched for from the hands down: its line, its butt end and its sole.

A wrong shaft is worse than none. So every step has a test, and a line that fails it gives a reason instead of a shaft.
"""

import math
from typing import Final

import numpy as np

from putt_posture.scene.camera import camera_drop, ground_v_at
from putt_posture.scene.grip import estimate_hidden_butt, find_butt, find_grip_end
from putt_posture.scene.shaft_line import BareShaft, find_lines, refine_line
from putt_posture.scene.sole import PutterHead, find_putter_head
from putt_posture.values import Estimate, Floats, FoundShaft, Picture, Scene, View

__all__ = ["find_shaft"]

LIE_DEG: Final = (58.0, 82.0)
"""Lies that are searched; the Rules of Golf (Equipment Rules, part 2, 1d) ask for 10° or more off the vertical, and
putters lie at 68 to 74° (common practice)."""
LEAN_DEG: Final = 20.0
_ROLL_REACH_DEG: Final = 3.0
_OFF_HANDS_CM: Final = 6.0
"""How far from the hand centre a shaft may pass, cm."""
SOLE_AHEAD_CM: Final = 45.0
"""Face on, how much nearer to the camera than the ankles the sole lies, cm (geometry of a usual setup)."""

_MIN_SCORE: Final = 0.42
"""Mean evidence: shafts of rendered golfers reach 0.55 to 0.77, pictures without one at most 0.39."""
_RIVAL: Final = 0.8
"""A second line with this share of the evidence may also be the shaft; on rendered golfers it has at most 0.71."""
_MIN_SURE: Final = 0.5
_MIN_SHOWN: Final = 0.6
_MIN_RUN_CM: Final = 32.0
_LOWEST_TOP_CM: Final = 40.0
_MAX_SCATTER_CM: Final = 0.3
_STEEPEST: Final = 0.65
"""Height over distance of a camera that looks down more steeply than any should: 1.6 m high, 2.5 m away."""
_END_ABOVE_GROUND_CM: Final[dict[View, tuple[float, float]]] = {
    "down_the_line": (-4.0, 10.0),
    "face_on": (-_STEEPEST * SOLE_AHEAD_CM, 7.0),
}
"""Where the bare shaft may end, above the ground at the feet, cm. Face on the sole lies nearer than the feet. How much
lower it is seen depends on the camera's height and distance, and neither is known well."""

_HEAD_BEHIND_CM: Final[dict[View, tuple[float, float]]] = {"down_the_line": (1.6, 1.0), "face_on": (6.0, 2.5)}
"""How far toward the camera the visible edge of the head lies from the shaft's axis, and one sigma, cm: half of the
head's depth down the line, from shaft to toe face on (common practice: blades are 2 to 4 cm deep and 10 to 12 cm
long)."""
_HEAD_LONG_CM: Final = 11.0
_HEAD_HIGH_CM: Final = 3.0
_HEAD_HIGH_SD_CM: Final = 0.7
"""From where the shaft enters the head down to the sole, one sigma, cm (common practice: 2.5 to 4 cm)."""
_BELOW_TOP_CM: Final[dict[View, tuple[float, float]]] = {"down_the_line": (3.0, 1.5), "face_on": (4.5, 1.5)}
"""How far the sole is below the upper edge of a head whose lower edge does not show, and one sigma, cm. Face on the
upper edge is that of the heel, behind the shaft."""
_END_SD_CM: Final = 4.0
"""One sigma of the sole where no head shows at the end of the line, cm: the line may follow a shadow, or end early."""
_GROUND_SD_CM: Final = 2.5
"""One sigma of the ground along the shaft, cm, from feet and camera down the line; face on it is not known well
enough."""
BUTT_SD_CM: Final = 0.5
SOLE_SD_CM: Final = 0.4
ANGLE_SD_DEG: Final = 0.25
"""One sigma of the line's direction, deg: the lit side of a round shaft is not its middle."""


def find_shaft(picture: Picture, *, hands_px: Floats, scene: Scene, grip_distance: Estimate) -> FoundShaft:
    """Find the putter's shaft below the hands.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        RGB, upright and not mirrored, full size.
    hands_px : (2,)
        Hand centre, px; NaN where hidden.
    scene : Scene
        Scale, roll, facing and ground of the same picture.
    grip_distance : Estimate
        From the butt to the hand centre along the shaft, cm; used where the butt is hidden.

    Returns
    -------
    FoundShaft
        Ends in px with one sigma in cm; falsy with a reason where none was found.
    """
    if not np.isfinite(hands_px).all():
        return FoundShaft(why_not="the hands are hidden")
    if scene.ground_v_px.frames == 0:
        return FoundShaft(why_not="the feet are hidden, so that the ground is not known")
    scale, size = scene.px_per_cm.value, (picture.shape[1], picture.shape[0])
    ground_v = ground_v_at(float(hands_px[0]), scene, size)
    reach_cm = (ground_v - float(hands_px[1])) / scale
    if reach_cm < _MIN_RUN_CM:
        return FoundShaft(why_not="the hands are seen too near to the ground")
    lines = find_lines(
        picture,
        start_px=hands_px,
        angles_deg=_angles(scene),
        px_per_cm=scale,
        first_cm=6.0,
        last_cm=reach_cm - 2.0,
        offset_cm=_OFF_HANDS_CM,
    )
    if not lines or lines[0].score < _MIN_SCORE:
        return FoundShaft(why_not="no thin straight line runs from the hands to the ground")
    if len(lines) > 1 and lines[1].score > _RIVAL * lines[0].score:
        return FoundShaft(why_not="several lines run from the hands to the ground")
    slant, lowest_cm = float(lines[0].along[1]), reach_cm - _END_ABOVE_GROUND_CM[scene.view][0]
    bare = refine_line(
        picture,
        lines[0],
        px_per_cm=scale,
        first_cm=3.0,
        again_cm=(lowest_cm if scene.view == "face_on" else reach_cm) / slant,
        last_cm=lowest_cm / slant,
    )
    if bare is None:
        return FoundShaft(why_not="too little of a line below the hands shows")
    why_not = _why_not(bare, scene, size)
    return FoundShaft(why_not=why_not) if why_not else _with_ends(picture, bare, scene, size, grip_distance)


def _angles(scene: Scene) -> tuple[float, float]:
    if scene.view == "face_on":
        return -LEAN_DEG - _ROLL_REACH_DEG, LEAN_DEG + _ROLL_REACH_DEG
    low, high = 90.0 - LIE_DEG[1] - _ROLL_REACH_DEG, 90.0 - LIE_DEG[0] + _ROLL_REACH_DEG
    return (low, high) if scene.forward == 1 else (-high, -low)


def _why_not(bare: BareShaft, scene: Scene, size: tuple[int, int]) -> str:
    """Return why a line is not a shaft; empty where every test is passed."""
    scale = scene.px_per_cm.value
    end = bare.line.start_px + bare.bottom * bare.line.along
    over = (ground_v_at(float(end[0]), scene, size) - float(end[1])) / scale
    low, high = _END_ABOVE_GROUND_CM[scene.view]
    turn = math.degrees(math.atan2(bare.line.along[0], bare.line.along[1])) + scene.roll.value
    lean = turn * scene.forward if scene.view == "down_the_line" else abs(turn)
    fits = 90.0 - LIE_DEG[1] <= lean <= 90.0 - LIE_DEG[0] if scene.view == "down_the_line" else lean <= LEAN_DEG
    checks = {
        "the line below the hands lies at no putter's angle": fits,
        "the line below the hands is interrupted": bare.line.score >= _MIN_SURE and bare.shown >= _MIN_SHOWN,
        "the line below the hands is too short": bare.bottom - bare.top >= _MIN_RUN_CM * scale,
        "the line begins too far below the hands": bare.top <= _LOWEST_TOP_CM * scale,
        "the line below the hands is not straight": bare.scatter_px <= max(_MAX_SCATTER_CM * scale, 1.0),
        "the line from the hands does not end at the ground": low <= over <= high,
    }
    return next((why_not for why_not, passed in checks.items() if not passed), "")


def _with_ends(
    picture: Picture, bare: BareShaft, scene: Scene, size: tuple[int, int], grip_distance: Estimate
) -> FoundShaft:
    scale = scene.px_per_cm.value
    head = find_putter_head(picture, bare, px_per_cm=scale, view=scene.view)
    if scene.view == "face_on" and math.isnan(head.top):
        # Nothing else shows there where the line ends: it may follow a blade of grass or a shadow.
        return FoundShaft(why_not="no putter's head shows at the end of the line below the hands")
    sole, sole_sd = _sole(head, bare, scene, size)
    grip_end = find_grip_end(picture, bare, px_per_cm=scale)
    butt = None if grip_end is None else find_butt(picture, bare, grip_end=grip_end, px_per_cm=scale)
    top, butt_sd = (
        (butt, BUTT_SD_CM) if butt is not None else estimate_hidden_butt(grip_end, grip_distance, px_per_cm=scale)
    )

    def at(distance: float) -> tuple[float, float]:
        point = bare.line.start_px + distance * bare.line.along
        return float(point[0]), float(point[1])

    return FoundShaft(
        ends_px=(at(top), at(sole)),
        butt_seen=butt is not None,
        sole_seen=not math.isnan(head.edge),
        butt_above_cm=-top / scale,
        butt_sd_cm=butt_sd,
        sole_sd_cm=sole_sd,
        angle_sd_deg=math.hypot(ANGLE_SD_DEG, bare.angle_sd_deg),
        grip_share=math.nan if grip_end is None else (sole - grip_end) / (sole - top),
    )


def _sole(head: PutterHead, bare: BareShaft, scene: Scene, size: tuple[int, int]) -> tuple[float, float]:
    """Return the distance of the sole along the shaft, px, and its one sigma, cm."""
    scale, slant = scene.px_per_cm.value, float(bare.line.along[1])
    if math.isnan(head.edge):
        return _hidden_sole(head, bare, scene, size)
    behind, spread = _HEAD_BEHIND_CM[scene.view]
    if scene.view == "down_the_line":
        drop, high_sd = camera_drop(scene, size) / slant, 0.0
    else:
        # Face on the length of the head shows how steeply the camera looks down on it.
        drop = max((head.edge - head.top) / scale * slant - _HEAD_HIGH_CM, 0.0) / _HEAD_LONG_CM / slant
        high_sd = behind / _HEAD_LONG_CM * _HEAD_HIGH_SD_CM
    return head.edge - behind * drop * scale, math.hypot(SOLE_SD_CM, spread * drop, high_sd)


def _hidden_sole(head: PutterHead, bare: BareShaft, scene: Scene, size: tuple[int, int]) -> tuple[float, float]:
    """Return the same from the upper edge of the head and from the ground, where its lower edge does not show."""
    scale, slant = scene.px_per_cm.value, float(bare.line.along[1])
    if math.isnan(head.top):
        sole, sd = bare.bottom + _HEAD_HIGH_CM / slant * scale, _END_SD_CM
    else:
        below, sd = _BELOW_TOP_CM[scene.view]
        sole = head.top + below / slant * scale
    if scene.view == "face_on":
        return sole, sd
    end = bare.line.start_px + bare.bottom * bare.line.along
    ground = bare.bottom + (ground_v_at(float(end[0]), scene, size) - float(end[1])) / slant
    weight = sd**2 / (sd**2 + _GROUND_SD_CM**2)
    return sole + weight * (ground - sole), math.sqrt(weight) * _GROUND_SD_CM
