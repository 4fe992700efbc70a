"""Truth: every measure of a posed golfer, from joints, skin, putter and ball.

Golfer frame for the definitions, metres: x toward the target, y from the golfer toward the ball, z up; it is the
studio frame with y turned round, and a left-hander's mirrored world gives the same numbers. Out come degrees,
centimetres and per cent, with the names and signs of the program's measures. Joint centres are those of `anatomy`, not
the rig's bones; the foot is the shod foot; lead is the side toward the target.
"""

from __future__ import annotations

import attrs
import numpy as np

from .anatomy import find_centres
from .body import SIDES_LEAD, SIDES_TRAIL, Array
from .contours import find_elbow_clearance, find_rib_front, find_trunk_outline, measure_rounding
from .feet import Shoe, put_on_shoe
from .pose import Posed
from .putter import Putter, hand_centre
from .segments import centre_of_mass

LEAD, TRAIL = SIDES_LEAD, SIDES_TRAIL

BONES = {
    "hip": "upperleg01", "knee": "lowerleg01", "ankle": "foot",
    "shoulder": "upperarm01", "elbow": "lowerarm01", "wrist": "wrist",
}  # fmt: skip
"""Which bone of the rig starts near each joint."""


@attrs.frozen(eq=False)
class Truth:
    """What is true of one golfer at address."""

    measures: dict[str, float | None]
    absent: dict[str, str]
    extras: dict[str, float]


def measure_truth(posed: Posed, putter: Putter | None, ball: Array | None) -> Truth:
    """Measure a posed golfer.

    Returns
    -------
    Truth
        `measures` has every name; without a putter or a ball the measures that need them are None, with the
        reason in `absent`.
    """
    at = golfer_joints(posed)
    shoes = {side: put_on_shoe(posed, side) for side in (LEAD, TRAIL)}
    measures: dict[str, float | None] = {}
    hip, shoulder, ankle = (_middle(at, name) for name in ("hip", "shoulder", "ankle"))
    ear, eyes, hands = _middle(at, "ear"), _middle(at, "eye"), _golfer(hand_centre(posed))
    spine = shoulder - hip
    tilt = np.degrees(np.arctan2(spine[1], spine[2]))
    neck = ear - shoulder
    outline = find_trunk_outline(posed.body, posed.skin, posed.joints)
    mass = _golfer(volume_centre(posed))
    heel, toe = (np.mean([_golfer(getattr(s, end))[1] for s in shoes.values()]) for end in ("heel", "toe"))
    measures["spine_tilt"] = tilt
    measures["back_rounding"] = np.degrees(measure_rounding(outline.back))
    measures["head_drop"] = np.degrees(np.arctan2(neck[1], neck[2])) - tilt
    measures["knee_flex"] = _bend(at, TRAIL, "hip", "knee", "ankle")
    measures["elbow_bend_lead"] = _bend(at, LEAD, "shoulder", "elbow", "wrist")
    measures["elbow_bend_trail"] = _bend(at, TRAIL, "shoulder", "elbow", "wrist")
    measures["hand_offset"] = 100 * (hands - shoulder)[1]
    measures["hand_height"] = 100 * hands[2]
    clearance = {side: 100 * find_elbow_clearance(posed.body, posed.skin, posed.joints, side) for side in (LEAD, TRAIL)}
    measures["elbow_gap_lead"], measures["elbow_gap_trail"] = max(clearance[LEAD], 0.0), max(clearance[TRAIL], 0.0)
    measures["elbow_depth"] = 100 * find_rib_front(posed.body, posed.skin, _as_bones(at), TRAIL, breasts=False)
    measures["eye_offset"] = 100 * (eyes - _golfer(ball))[1] if ball is not None else None
    measures["ball_distance"] = 100 * (_golfer(ball)[1] - toe) if ball is not None else None
    measures["balance"] = 100 * (mass[1] - heel) / (toe - heel)
    measures |= _of_putter(putter)
    line = at[f"shoulder.{LEAD}"] - at[f"shoulder.{TRAIL}"]
    measures["stance_width"] = 100 * (at[f"ankle.{LEAD}"] - at[f"ankle.{TRAIL}"])[0]
    measures["ball_position"] = 100 * (_golfer(ball) - ankle)[0] if ball is not None else None
    measures["shoulder_level"] = np.degrees(np.arctan2(line[2], line[0]))
    measures["side_bend"] = np.degrees(np.arctan2(-spine[0], spine[2]))
    measures["head_position"] = 100 * (eyes - _golfer(ball))[0] if ball is not None else None
    measures["shaft_lean"] = measures.pop("shaft_lean")
    measures["sideways_balance"] = (
        100 * (mass - at[f"ankle.{TRAIL}"])[0] / (at[f"ankle.{LEAD}"] - at[f"ankle.{TRAIL}"])[0]
    )
    segments = _with_shoes(at, shoes)
    segment_mass = centre_of_mass(posed.body.sex, segments)
    extras = {
        "balance_from_segments": 100 * (segment_mass[1] - heel) / (toe - heel),
        "sideways_balance_from_segments": 100
        * (segment_mass - at[f"ankle.{TRAIL}"])[0]
        / (at[f"ankle.{LEAD}"] - at[f"ankle.{TRAIL}"])[0],
        "elbow_clearance_lead": clearance[LEAD],
        "elbow_clearance_trail": clearance[TRAIL],
        "elbow_depth_with_breasts": 100 * find_rib_front(posed.body, posed.skin, _as_bones(at), TRAIL, breasts=True),
        "knee_flex_lead": _bend(at, LEAD, "hip", "knee", "ankle"),
        "shod_foot_length": 100 * (toe - heel),
        "shoulder_to_ankle": 100 * float(np.linalg.norm(shoulder - ankle)),
        "thigh": 100 * float(np.linalg.norm(at[f"hip.{TRAIL}"] - at[f"knee.{TRAIL}"])),
        "shank": 100 * float(np.linalg.norm(at[f"knee.{TRAIL}"] - at[f"ankle.{TRAIL}"])),
        "trunk": 100 * float(np.linalg.norm(spine)),
        "upper_arm": 100 * float(np.linalg.norm(at[f"shoulder.{TRAIL}"] - at[f"elbow.{TRAIL}"])),
        "forearm": 100 * float(np.linalg.norm(at[f"elbow.{TRAIL}"] - at[f"wrist.{TRAIL}"])),
        "stature": 100 * posed.body.stature,
        "wrist_floor": 100 * standing_wrist_height(posed),
    }
    if putter is not None:
        extras["butt_to_hand_centre"] = 100 * float(np.linalg.norm(hands - _golfer(putter.butt)))
    reasons = {
        name: "there is no putter or no ball in this picture" for name, value in measures.items() if value is None
    }
    rounded = {name: None if value is None else round(float(value), 3) for name, value in measures.items()}
    return Truth(
        measures=rounded, absent=reasons, extras={name: round(float(value), 3) for name, value in extras.items()}
    )


def golfer_bones(posed: Posed) -> dict[str, Array]:
    """Where the rig's bones start (3,), in the golfer frame, under the names of the joints."""
    return {
        f"{name}.{side}": _golfer(posed.joints[f"{bone}.{side}"])
        for name, bone in BONES.items()
        for side in (LEAD, TRAIL)
    }


def measure_by_bones(posed: Posed) -> dict[str, float]:
    """Measure what a `Wish` is told in: the rig's bones, as if they were joints."""
    at = golfer_bones(posed)
    spine = _middle(at, "shoulder") - _middle(at, "hip")
    return {
        "spine_tilt": float(np.degrees(np.arctan2(spine[1], spine[2]))),
        "knee_flex": _bend(at, TRAIL, "hip", "knee", "ankle"),
        "hand_offset": 100 * float((_golfer(hand_centre(posed)) - _middle(at, "shoulder"))[1]),
    }


def golfer_joints(posed: Posed) -> dict[str, Array]:
    """Joints and face marks (3,) in the golfer frame, `.L` being the lead side."""
    joints = posed.joints
    at = {f"wrist.{side}": joints[f"wrist.{side}"] for side in (LEAD, TRAIL)} | find_centres(posed)
    fingers = {"index": "finger2-1", "middle": "finger3-1", "little": "finger5-1", "thumb": "finger1-2"}
    at |= {f"{name}.{side}": joints[f"{bone}.{side}"] for name, bone in fingers.items() for side in (LEAD, TRAIL)}
    for side, word in ((LEAD, "left"), (TRAIL, "right")):
        at[f"eye.{side}"] = posed.mark(f"{word}_eye")
        at[f"ear.{side}"] = posed.mark(f"{word}_ear")
    at["nose"] = posed.mark("nose")
    crown = posed.body.vertices[:, 2].argmax()
    at["crown"] = posed.skin[crown]
    at["nape"] = joints["neck01"]
    return {name: _golfer(point) for name, point in at.items()}


def volume_centre(posed: Posed) -> Array:
    """Centre of the volume inside the skin (3,), by signed tetrahedra; studio frame."""
    corners = posed.skin[posed.body.faces]
    volume = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2]))
    return np.asarray((volume[:, None] * corners.sum(axis=1) / 4).sum(axis=0) / volume.sum())


def standing_wrist_height(posed: Posed) -> float:
    """Wrist joint above the ground when the same body stands upright in its shoes, arms hanging straight, metres."""
    from .body import SOLE

    head, index = posed.body.heads, posed.body.index
    shoulder, elbow, wrist = (head[index[f"{bone}.{LEAD}"]] for bone in ("upperarm01", "lowerarm01", "wrist"))
    return float(shoulder[2] + SOLE - np.linalg.norm(elbow - shoulder) - np.linalg.norm(wrist - elbow))


def _of_putter(putter: Putter | None) -> dict[str, float | None]:
    if putter is None:
        return dict.fromkeys(("shaft_lie", "putter_length", "shaft_lean"))
    up = _golfer(putter.butt - putter.sole)
    return {
        "shaft_lie": float(np.degrees(np.arctan2(up[2], -up[1]))),
        "putter_length": 100 * putter.length,
        "shaft_lean": float(np.degrees(np.arctan2(up[0], up[2]))),
    }


def _with_shoes(at: dict[str, Array], shoes: dict[str, Shoe]) -> dict[str, Array]:
    ends = {f"{end}.{side}": _golfer(getattr(shoe, end)) for side, shoe in shoes.items() for end in ("heel", "toe")}
    return at | ends


def _as_bones(at: dict[str, Array]) -> dict[str, Array]:
    """Joints of the golfer frame in the studio frame, under the names of the rig's bones."""
    return {f"{bone}.{side}": _golfer(at[f"{name}.{side}"]) for name, bone in BONES.items() for side in (LEAD, TRAIL)}


def _golfer(point: Array) -> Array:
    return np.asarray(point * np.array([1.0, -1.0, 1.0]))


def _middle(at: dict[str, Array], name: str) -> Array:
    return (at[f"{name}.L"] + at[f"{name}.R"]) / 2


def _bend(at: dict[str, Array], side: str, *names: str) -> float:
    start, corner, end = (at[f"{name}.{side}"] for name in names)
    first, second = corner - start, end - corner
    return float(np.degrees(np.arctan2(np.linalg.norm(np.cross(first, second)), first @ second)))
