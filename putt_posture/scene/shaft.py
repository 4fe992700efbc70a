"""The putter in one picture, found from the hands down: its line, its butt end and its sole.

A wrong shaft is worse than none: every step has a gate, and what does not pass it gives a reason instead.
"""

import math
from typing import Final

import numpy as np

from putt_posture.scene.butt import estimate_hidden_butt
from putt_posture.scene.grip import find_butt, find_grip_end
from putt_posture.scene.ground import camera_drop, ground_v_at
from putt_posture.scene.refine import BareShaft, refine_line
from putt_posture.scene.ridge import find_lines
from putt_posture.scene.sole import PutterHead, find_putter_head
from putt_posture.values import Estimate, Floats, FoundShaft, Picture, Scene, View

__all__ = ["find_shaft"]

LIE_DEG: Final = (58.0, 82.0)
"""Lies that are looked at; the Rules of Golf (Equipment Rules, part 2, 1d) ask for 10° or more off the vertical, and
putters lie at 68 to 74° (common practice)."""
LEAN_DEG: Final = 20.0
_ROLL_REACH_DEG: Final = 3.0
_OFF_HANDS_CM: Final = 6.0
"""How far from the hand centre a shaft may pass."""
SOLE_AHEAD_CM: Final = 45.0
"""Face on, how much nearer to the camera than the ankles the sole lies (geometry of a nominal setup)."""

_MIN_SCORE: Final = 0.42
"""Mean evidence: shafts of rendered golfers reach 0.55 to 0.77, pictures without one at most 0.39."""
_RIVAL: Final = 0.8
"""A second line with this share of the evidence may as well be the shaft; on rendered golfers it has at most 0.71."""
_MIN_SURE: Final = 0.5
_MIN_SHOWN: Final = 0.6
_MIN_RUN_CM: Final = 32.0
_LOWEST_TOP_CM: Final = 40.0
_MAX_SCATTER_CM: Final = 0.3
_STEEPEST: Final = 0.65
"""Height over distance of a camera that looks down as steeply as any should: 1.6 m up, 2.5 m away."""
_END_ABOVE_GROUND_CM: Final[dict[View, tuple[float, float]]] = {
    "down_the_line": (-4.0, 10.0),
    "face_on": (-_STEEPEST * SOLE_AHEAD_CM, 7.0),
}
"""Where the bare shaft may end, above the ground at the feet. Face on the sole lies nearer than the feet, and how much
lower it is seen depends on the camera's height and distance, neither of which is known well."""

_HEAD_BEHIND_CM: Final[dict[View, tuple[float, float]]] = {"down_the_line": (1.6, 1.0), "face_on": (6.0, 2.5)}
"""How far toward the camera the visible edge of the head lies from the shaft's axis, and one sigma: half of the head's
depth down the line, from shaft to toe face on (common practice: blades are 2 to 4 cm deep and 10 to 12 cm long)."""
_HEAD_LONG_CM: Final = 11.0
_HEAD_HIGH_CM: Final = 3.0
_HEAD_HIGH_SD_CM: Final = 0.7
"""From where the shaft enters the head down to the sole (common practice: 2.5 to 4 cm)."""
_BELOW_TOP_CM: Final[dict[View, tuple[float, float]]] = {"down_the_line": (3.0, 1.5), "face_on": (4.5, 1.5)}
"""The sole below the upper edge of a head whose lower edge does not show, and one sigma; face on the upper edge is that
of the heel, behind the shaft."""
_END_SD_CM: Final = 4.0
"""One sigma of the sole where no head shows at the end of the line: it may run on along a shadow, or end early."""
_GROUND_SD_CM: Final = 2.5
"""Along the shaft, one sigma of the ground that feet and camera tell down the line; face on they tell too little."""
BUTT_SD_CM: Final = 0.5
SOLE_SD_CM: Final = 0.4
ANGLE_SD_DEG: Final = 0.25
"""The lit side of a round shaft is not its middle."""


def find_shaft(picture: Picture, *, hands_px: Floats, scene: Scene, grip_distance: Estimate) -> FoundShaft:
    """Find the putter's shaft below the hands.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    hands_px : (2,)
        Hand centre.
    scene : Scene
        Scale, roll, facing and ground of the same picture.
    grip_distance : Estimate
        From the butt to the hand centre along the shaft, cm, for a butt that is hidden.
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
    doubt = _doubt(bare, scene, size)
    return FoundShaft(why_not=doubt) if doubt else _with_ends(picture, bare, scene, size, grip_distance)


def _angles(scene: Scene) -> tuple[float, float]:
    if scene.view == "face_on":
        return -LEAN_DEG - _ROLL_REACH_DEG, LEAN_DEG + _ROLL_REACH_DEG
    low, high = 90.0 - LIE_DEG[1] - _ROLL_REACH_DEG, 90.0 - LIE_DEG[0] + _ROLL_REACH_DEG
    return (low, high) if scene.forward == 1 else (-high, -low)


def _doubt(bare: BareShaft, scene: Scene, size: tuple[int, int]) -> str:
    """Return what speaks against a line; an empty string where nothing does."""
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
    return next((doubt for doubt, passed in checks.items() if not passed), "")


def _with_ends(
    picture: Picture, bare: BareShaft, scene: Scene, size: tuple[int, int], grip_distance: Estimate
) -> FoundShaft:
    scale = scene.px_per_cm.value
    head = find_putter_head(picture, bare, px_per_cm=scale, view=scene.view)
    if scene.view == "face_on" and math.isnan(head.top):
        # Nothing else tells there how far down the line goes: it may run on along a blade of grass or a shadow.
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
        # Face on the head's own length shows how steeply the camera looks down on it.
        drop = max((head.edge - head.top) / scale * slant - _HEAD_HIGH_CM, 0.0) / _HEAD_LONG_CM / slant
        high_sd = behind / _HEAD_LONG_CM * _HEAD_HIGH_SD_CM
    return head.edge - behind * drop * scale, math.hypot(SOLE_SD_CM, spread * drop, high_sd)


def _hidden_sole(head: PutterHead, bare: BareShaft, scene: Scene, size: tuple[int, int]) -> tuple[float, float]:
    """Return the same where the floor does not show the head's lower edge, from its upper edge and from the ground."""
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
