"""Golfer: one person at address with a putter and a ball, and what a truth file says of them.

Golfer frame for joints in the file: x toward the target, y toward the ball, z up, metres. Left and right in the file
are the person's own.
"""

from __future__ import annotations

from typing import Any, Literal

import attrs
import numpy as np

from .body import ADULT, Array, Body, Sex, load_body
from .camera import Camera
from .contours import find_trunk_outline
from .feet import put_on_shoe
from .outfit import Colour, Outfit
from .pose import Posed, Wish, place, shaft_direction, solve_address
from .putter import Putter, hand_centre, hold_putter, place_ball
from .shapes import STEEL, WHITE, Shape, shape_ball, shape_person, shape_putter
from .skeleton import Skeleton
from .truth import Truth, golfer_bones, golfer_joints, measure_by_bones, measure_truth
from .wardrobe import FINE, Dressed, dress

Handed = Literal["right", "left"]
CENTIMETRES_PER_INCH = 2.54
BODY_SLIDERS = ("weight", "muscle", "proportions", "age")
"""With sex and stature they make the same body again."""
TRUNK_JOINTS = ("hip", "shoulder", "ankle")
"""Their mean depth is the golfer's middle plane, which the scale is quoted for."""


@attrs.frozen
class Student:
    """Who is filmed: an invented person."""

    sex: Sex
    stature: float
    """Metres."""
    handed: Handed = "right"
    weight: float = 0.5
    muscle: float = 0.5
    proportions: float = 0.5
    age: float = ADULT
    outfit: Outfit = attrs.field(factory=Outfit)


@attrs.frozen
class Gear:
    """Colours of ball and shaft."""

    ball: Colour = WHITE
    shaft: Colour = STEEL


@attrs.frozen(eq=False)
class Golfer:
    """A student at address."""

    student: Student
    wish: Wish
    posed: Posed
    putter: Putter
    ball: Array
    truth: Truth
    dressed: Dressed
    gear: Gear = Gear()

    @property
    def mirror(self) -> int:
        """-1 for a left-hander, whose world is mirrored."""
        return -1 if self.student.handed == "left" else 1

    @property
    def hands(self) -> Array:
        """Hand centre (3,), studio frame."""
        return hand_centre(self.posed)

    def shapes(self) -> list[Shape]:
        """Everything to draw, at address."""
        person = shape_person(self.posed, self.dressed, shoes=self.student.outfit.shoes, mirror=self.mirror)
        putter = shape_putter(self.putter, mirror=self.mirror, shaft=self.gear.shaft)
        return [*person, *putter, shape_ball(self.ball, mirror=self.mirror, colour=self.gear.ball)]


def set_up(
    student: Student,
    wish: Wish,
    *,
    putter_length: float | None = None,
    butt_above: float = 0.13,
    fine: int = FINE,
    angles: Array | None = None,
) -> Golfer:
    """Stand a student at address.

    Parameters
    ----------
    putter_length : metres; without it the butt ends `butt_above` metres over the hand centre.
    fine : how finely clothes are drawn, see `wardrobe.dress`.
    angles : of the pose where it was solved before.
    """
    body = body_of(student)
    posed = solve_address(body, wish) if angles is None else place(Skeleton(body), angles)
    putter = hold_putter(posed, shaft_direction(wish), length=putter_length, butt_above=butt_above)
    ball = place_ball(putter)
    truth = measure_truth(posed, putter, ball)
    return Golfer(
        student=student,
        wish=wish,
        posed=posed,
        putter=putter,
        ball=ball,
        truth=truth,
        dressed=dress(body, student.outfit, fine=fine),
    )


def body_of(student: Student) -> Body:
    """Load the body of a student."""
    sliders = {name: getattr(student, name) for name in BODY_SLIDERS}
    return load_body(sex=student.sex, stature=student.stature, **sliders)


def wear(golfer: Golfer, outfit: Outfit, gear: Gear, *, fine: int = FINE) -> Golfer:
    """Dress a golfer anew and change the ball and the shaft; the posture stays."""
    student = attrs.evolve(golfer.student, outfit=outfit)
    return attrs.evolve(golfer, student=student, gear=gear, dressed=dress(golfer.posed.body, outfit, fine=fine))


def describe(golfer: Golfer) -> dict[str, Any]:
    """Describe what a truth file says of a golfer, apart from the pictures."""
    joints = golfer_joints(golfer.posed) | _feet(golfer.posed)
    outline = find_trunk_outline(golfer.posed.body, golfer.posed.skin, golfer.posed.joints)
    length = golfer.truth.measures["putter_length"] or 0.0
    return {
        "schema": 1,
        "invented": True,
        "student": {
            "sex": golfer.student.sex,
            "handed": golfer.student.handed,
            "stature_cm": golfer.truth.extras["stature"],
            "wrist_floor_cm": golfer.truth.extras["wrist_floor"],
            "putter_length_cm": length,
            "putter_length_in": round(length / CENTIMETRES_PER_INCH, 3),
        },
        "measures": golfer.truth.measures,
        "absent": golfer.truth.absent,
        "extras": golfer.truth.extras,
        "by_bones": {name: round(value, 3) for name, value in measure_by_bones(golfer.posed).items()},
        "bones_m": {
            own_name(n, golfer.mirror): np.round(p, 5).tolist() for n, p in sorted(golfer_bones(golfer.posed).items())
        },
        "joints_m": {own_name(n, golfer.mirror): np.round(p, 5).tolist() for n, p in sorted(joints.items())},
        "ball_m": np.round(golfer.ball * [1, -1, 1], 5).tolist(),
        "putter_m": {
            "butt": np.round(golfer.putter.butt * [1, -1, 1], 5).tolist(),
            "sole": np.round(golfer.putter.sole * [1, -1, 1], 5).tolist(),
        },
        "back_outline_m": np.round(outline.back[::4], 4).tolist(),
        "wish": attrs.asdict(golfer.wish),
        "body": {name: getattr(golfer.student, name) for name in BODY_SLIDERS} | {"stature_m": golfer.student.stature},
        "pose": np.round(golfer.posed.angles, 6).tolist(),
    }


def describe_view(golfer: Golfer, camera: Camera) -> dict[str, Any]:
    """Describe what a truth file says of one picture: camera, scale and where the joints are."""
    joints = golfer_joints(golfer.posed) | _feet(golfer.posed)
    extra = {
        "ball": golfer.ball,
        "putter_butt": golfer.putter.butt,
        "putter_sole": golfer.putter.sole,
        "hand_centre": golfer.hands,
    }
    world = {n: p * [golfer.mirror, -1, 1] for n, p in joints.items()} | {
        n: p * [golfer.mirror, 1, 1] for n, p in extra.items()
    }
    pixels = {n: camera.see(p) for n, p in world.items()}
    middle = float(np.mean([pixels[f"{n}.{s}"][1] for n in TRUNK_JOINTS for s in ("L", "R")]))
    return {
        "size_px": [camera.width, camera.height],
        "camera": {
            "distance_m": round(camera.distance, 4),
            "height_m": round(float(camera.position[2]), 4),
            "yaw_deg": round(camera.yaw, 4),
            "pitch_deg": round(camera.pitch, 4),
            "roll_deg": round(camera.roll, 4),
            "focal_px": round(camera.focal, 3),
        },
        "px_per_cm": round(camera.focal / middle / 100, 5),
        "px_per_cm_at": {n: round(camera.focal / float(pixels[n][1]) / 100, 5) for n in ("ball", "hand_centre")}
        | {
            f"ankle_{w}": round(camera.focal / float(pixels[f"ankle.{s}"][1]) / 100, 5)
            for s, w in (("L", "lead"), ("R", "trail"))
        },
        "near_side": None if camera.view == "face_on" else ("right" if golfer.mirror == 1 else "left"),
        "joints_px": {own_name(n, golfer.mirror): np.round(uv, 2).tolist() for n, (uv, _) in sorted(pixels.items())},
    }


def fits(golfer: Golfer, camera: Camera, *, margin: float = 0.03) -> bool:
    """Whether body, putter and ball lie within the picture, `margin` of its size from the edge."""
    points = np.concatenate([golfer.posed.skin, golfer.putter.sole[None], golfer.ball[None]]) * [golfer.mirror, 1, 1]
    pixels, _ = camera.see(points)
    share = pixels / [camera.width, camera.height]
    return bool((share > margin).all() and (share < 1 - margin).all())


def _feet(posed: Posed) -> dict[str, Array]:
    shoes = {side: put_on_shoe(posed, side) for side in ("L", "R")}
    return {f"{end}.{side}": getattr(shoe, end) * [1, -1, 1] for side, shoe in shoes.items() for end in ("heel", "toe")}


def own_name(name: str, mirror: int) -> str:
    """`elbow.L` (lead) to the person's own `left_elbow`, which is `right_elbow` for a left-hander."""
    joint, _, side = name.partition(".")
    if not side:
        return joint
    left = (side == "L") == (mirror == 1)
    return f"{'left' if left else 'right'}_{joint}"
