"""An invented student, drawn with capsules from joints whose places are known, in centimetres."""

import math

import numpy as np
from PIL import Image, ImageDraw

SIZE = (1080, 1920)
PX_PER_CM = 6.5
GROUND_V = 1560.0
TILT, FLEX, DROP, LIE = 34.0, 18.0, 22.0, 70.6

SKIN, SHIRT, SLEEVE = (214, 170, 140), (74, 104, 160), (92, 122, 178)
TROUSERS, SHOE = (64, 62, 70), (235, 235, 232)


def px(y: float, z: float, forward: int) -> tuple[float, float]:
    return SIZE[0] / 2 + forward * y * PX_PER_CM, GROUND_V - z * PX_PER_CM


def down(angle_deg: float, length: float) -> np.ndarray:
    return length * np.array([math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg))])


def side_joints() -> dict[str, np.ndarray]:
    """Return y (toward the ball), z (up) in cm of the joints seen down the line."""
    ankle = np.array([0.0, 8.0])
    knee = ankle + down(12.0, 43.0)
    hip = knee + down(12.0 - FLEX - 4.0, 43.0)
    shoulder = hip + down(TILT, 50.0)
    ear = shoulder + down(TILT + DROP, 21.0)
    elbow = shoulder + down(186.0, 31.0)
    wrist = elbow + down(163.0, 25.0)
    return {
        "ankle": ankle,
        "knee": knee,
        "hip": hip,
        "shoulder": shoulder,
        "ear": ear,
        "elbow": elbow,
        "wrist": wrist,
        "hands": wrist + down(165.0, 7.0),
        "heel": np.array([-6.0, 0.5]),
        "toe": np.array([20.0, 0.5]),
        "eyes": ear + down(150.0, 9.0),
        "ball": np.array([60.0, 2.1]),
        "nose": ear + down(140.0, 13.0),
    }


def side_shaft() -> tuple[np.ndarray, np.ndarray]:
    """Return the butt end and the sole of the putter, seen down the line, cm."""
    hands = side_joints()["hands"]
    sole = np.array([hands[0] + (hands[1] - 0.8) / math.tan(math.radians(LIE)), 0.8])
    return hands + 12.0 * np.array([-math.cos(math.radians(LIE)), math.sin(math.radians(LIE))]), sole


def front_joints() -> dict[str, np.ndarray]:
    """Return x (toward the target), z (up) in cm of the joints seen face on; the lead side is at + x."""
    side = side_joints()
    z = {name: float(point[1]) for name, point in side.items()}
    return {
        "trail_ankle": np.array([-16.0, z["ankle"]]),
        "lead_ankle": np.array([16.0, z["ankle"]]),
        "trail_knee": np.array([-14.0, z["knee"]]),
        "lead_knee": np.array([14.0, z["knee"]]),
        "trail_hip": np.array([-9.0, z["hip"]]),
        "lead_hip": np.array([9.0, z["hip"]]),
        "trail_shoulder": np.array([-21.0, z["shoulder"] - 1.2]),
        "lead_shoulder": np.array([15.0, z["shoulder"] + 1.2]),
        "trail_elbow": np.array([-24.0, z["elbow"]]),
        "lead_elbow": np.array([20.0, z["elbow"]]),
        "trail_wrist": np.array([-3.0, z["wrist"]]),
        "lead_wrist": np.array([4.0, z["wrist"]]),
        "hands": np.array([1.0, z["hands"]]),
        "eyes": np.array([-4.0, z["eyes"]]),
        "ball": np.array([4.0, 2.1]),
    }


def _scenery() -> tuple[Image.Image, ImageDraw.ImageDraw]:
    """Return a plain evening green, so that light and dark both lie behind the labels."""
    rows = np.linspace(0.0, 1.0, SIZE[1])[:, None, None]
    sky = (1 - rows) * np.array([196, 214, 228]) + rows * np.array([232, 226, 210])
    picture = np.broadcast_to(sky, (SIZE[1], SIZE[0], 3)).astype(np.uint8).copy()
    picture[1250:] = (96, 136, 84)
    picture[1180:1250] = (58, 84, 60)
    image = Image.fromarray(picture)
    return image, ImageDraw.Draw(image)


def _capsule(
    draw: ImageDraw.ImageDraw, one: np.ndarray, two: np.ndarray, *, cm: float, colour: object, forward: int
) -> None:
    a, b, r = px(*one, forward), px(*two, forward), cm * PX_PER_CM
    draw.line([a, b], fill=colour, width=round(2 * r))
    for u, v in (a, b):
        draw.ellipse([u - r, v - r, u + r, v + r], fill=colour)


def _figure(draw: ImageDraw.ImageDraw, parts: list[tuple[np.ndarray, np.ndarray, float, object]], forward: int) -> None:
    for one, two, cm, colour in parts:
        _capsule(draw, one, two, cm=cm, colour=colour, forward=forward)


def side_parts() -> list[tuple[np.ndarray, np.ndarray, float, object]]:
    j = side_joints()
    return [
        (j["heel"] + (3, 3), j["toe"] - (3, -3), 3.5, SHOE),
        (j["ankle"], j["knee"], 6, TROUSERS),
        (j["knee"], j["hip"], 8, TROUSERS),
        (j["hip"], j["shoulder"], 12, SHIRT),
        (j["ear"], j["ear"] + down(100, 2), 10, SKIN),
        (j["shoulder"], j["elbow"], 4.5, SLEEVE),
        (j["elbow"], j["wrist"], 3.4, SKIN),
        (j["wrist"], j["hands"], 4, SKIN),
    ]


def front_parts() -> list[tuple[np.ndarray, np.ndarray, float, object]]:
    j = front_joints()
    parts = []
    for side in ("trail", "lead"):
        parts += [
            (j[f"{side}_ankle"] - (0, 5), j[f"{side}_ankle"], 5, SHOE),
            (j[f"{side}_ankle"], j[f"{side}_knee"], 6, TROUSERS),
            (j[f"{side}_knee"], j[f"{side}_hip"], 8, TROUSERS),
        ]
    parts += [
        ((j["trail_hip"] + j["lead_hip"]) / 2, (j["trail_shoulder"] + j["lead_shoulder"]) / 2, 15, SHIRT),
        (j["trail_shoulder"], j["lead_shoulder"], 7, SHIRT),
        (j["eyes"] + (0, 6), j["eyes"] - (0, 2), 9, SKIN),
    ]
    for side in ("trail", "lead"):
        parts += [
            (j[f"{side}_shoulder"], j[f"{side}_elbow"], 4.5, SLEEVE),
            (j[f"{side}_elbow"], j[f"{side}_wrist"], 3.4, SKIN),
        ]
    return parts


def picture_and_mask(parts: list, forward: int, butt: np.ndarray, sole: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    image, draw = _scenery()
    _figure(draw, parts, forward)
    _capsule(draw, butt, sole, cm=0.6, colour=(40, 40, 44), forward=forward)
    mask = Image.new("L", SIZE)
    _figure(ImageDraw.Draw(mask), [(a, b, r, 255) for a, b, r, _ in parts], forward)
    return np.ascontiguousarray(np.asarray(image)), np.asarray(mask)
