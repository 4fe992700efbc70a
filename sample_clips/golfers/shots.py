"""Shots: the camera, the surroundings and the conditions of the accuracy study's pictures, drawn at random."""

from __future__ import annotations

from typing import Literal

import attrs
import numpy as np

from . import develop, mural
from .body import Array
from .camera import Camera, View, stand_camera
from .golfer import Golfer, fits
from .room import Room
from .scene import Light
from .style import RenderStyle

Shot = Literal["usual", "hard"]
Part = Literal["tuning", "held_out", "other_renderer", "unusual", "planted"]
Lighting = Literal["room", "backlight", "shade"]

RANGES: dict[Shot, dict[str, tuple[float, float]]] = {
    "usual": {"distance": (2.5, 6.0), "height": (0.6, 1.4), "yaw": (-6, 6), "roll": (-2, 2), "fill": (0.50, 0.85)},
    "hard": {"distance": (2.5, 6.0), "height": (0.6, 1.4), "yaw": (-15, 15), "roll": (-3, 3), "fill": (0.40, 0.85)},
}
"""Metres, degrees, and share of the picture's height that the golfer takes."""
OTHER_FILL = (0.32, 0.92)
"""The same share with the other renderer settings: a wider and a narrower field of view."""
NARROWEST = 14.0
"""Equivalent focal length below which no camera is tried, millimetres."""
MARGIN = 0.04
"""How far the bare golfer stays from the picture's edge, share of its size: clothes reach a little farther."""
CLEAR_OF_FEET = 0.45
"""No other ball lies nearer to the middle between the ankles, metres."""


@attrs.frozen
class Condition:
    """What is hard about one picture."""

    light: Lighting = "room"
    backdrop: Literal["plain", "busy"] = "plain"
    quality: develop.Quality = "clean"
    shape: Literal["portrait", "landscape"] = "portrait"


FIRST_UNUSUAL = 132
"""From this seed on golfers have grips, ages and builds that the others lack."""
FIRST_PLANTED = 1900
"""From this seed on golfers stand as wanted but for one planted fault; those from 2054 on are for checking alone."""


def part_of(seed: int) -> Part:
    """Which part of the study a seed belongs to."""
    if seed >= FIRST_PLANTED:
        return "planted"
    if seed >= FIRST_UNUSUAL:
        return "unusual"
    return "held_out" if 48 <= seed < 72 else "other_renderer" if 72 <= seed < 96 else "tuning"


def draw_condition(rng: np.random.Generator, shot: Shot) -> Condition:
    """Draw conditions: in a hard shot each occurs about once in three."""
    shape = str(rng.choice(["portrait", "portrait", "portrait", "landscape"]))
    if shot == "usual":
        return Condition(shape=shape)  # type: ignore[arg-type]
    return Condition(
        light=str(rng.choice(["room", "backlight", "shade"])),  # type: ignore[arg-type]
        backdrop=str(rng.choice(["plain", "plain", "busy"])),  # type: ignore[arg-type]
        quality=str(rng.choice(["clean", "blur", "compressed"])),  # type: ignore[arg-type]
        shape=shape,  # type: ignore[arg-type]
    )


def place_camera(rng: np.random.Generator, golfer: Golfer, view: View, *, shot: Shot, part: Part, shape: str) -> Camera:
    """Draw a camera that has the whole golfer in the picture."""
    spot = {name: float(rng.uniform(*limits)) for name, limits in RANGES[shot].items()}
    fill = spot.pop("fill")
    if part == "other_renderer":
        fill = float(rng.uniform(*OTHER_FILL))
    size = (1080, 1920) if shape == "portrait" else (1920, 1080)
    aim = golfer.hands * [1, 1, 0] + np.array([*rng.uniform(-0.08, 0.08, 2), rng.uniform(0.72, 0.90)])
    if view == "face_on":
        aim[0] = float(rng.uniform(-0.08, 0.08))
    equivalent = 30.0
    stand = {"view": view, "mirror": golfer.mirror, "aim": aim, "size": size, **spot}
    pixels, _ = stand_camera(equivalent=equivalent, **stand).see(golfer.posed.skin * [golfer.mirror, 1, 1])
    equivalent *= fill * size[1] / float(np.ptp(pixels[:, 1]))
    while True:
        camera = stand_camera(equivalent=equivalent, **stand)
        if fits(golfer, camera, margin=MARGIN) or equivalent < NARROWEST:
            return camera
        equivalent *= 0.96


def draw_surroundings(rng: np.random.Generator, golfer: Golfer, condition: Condition, part: Part) -> Room:
    """Draw what is round the golfer."""
    room = Room(
        green=tuple(float(c) for c in np.array([0.34, 0.50, 0.29]) * rng.uniform(0.75, 1.25)),
        wall=tuple(float(c) for c in np.clip(rng.uniform(0.45, 0.88) + rng.normal(0, 0.03, 3), 0, 1)),
        trim=tuple(float(c) for c in rng.uniform(0.15, 0.6) * np.array([1.0, 0.8, 0.65])),
        wall_distance=float(rng.uniform(1.8, 4.5)),
        post_every=float(rng.uniform(1.2, 2.6)),
        seed=int(rng.integers(2**31)),
        brightness=float(rng.uniform(0.8, 1.1)),
    )
    busy = condition.backdrop == "busy"
    if part == "other_renderer":
        paint = mural.paint_shards if busy else mural.paint_bricks
        room = attrs.evolve(room, mown=float(rng.uniform(0.3, 1.2)))
    elif busy:
        paint = (mural.paint_outdoors, mural.paint_clutter)[int(rng.integers(2))]
    else:
        paint = None
    if paint is not None:
        painted = paint(rng, like=golfer.student.outfit.shirt, crowd=int(rng.integers(1, 5)))
        room = attrs.evolve(room, mural=painted, wall_distance=float(rng.uniform(2.0, 6.0)))
    if condition.light == "backlight":
        room = attrs.evolve(room, brightness=float(rng.uniform(1.35, 1.7)))
    return room


def draw_light(rng: np.random.Generator, camera: Camera, condition: Condition) -> Light:
    """Draw where the light comes from: usually from the side of the camera, in backlight from behind the golfer."""
    if condition.light == "backlight":
        ahead = np.degrees(np.arctan2(camera.axes[2][1], camera.axes[2][0]))
        return Light(
            azimuth=float(ahead + rng.uniform(-35, 35)),
            elevation=float(rng.uniform(22, 45)),
            key=float(rng.uniform(0.7, 1.0)),
            fill=float(rng.uniform(0.05, 0.18)),
        )
    azimuth, elevation = float(rng.uniform(-165, -15)), float(rng.uniform(40, 72))
    if condition.light == "shade":
        key, fill = float(rng.uniform(0.10, 0.25)), float(rng.uniform(0.40, 0.60))
    else:
        key, fill = float(rng.uniform(0.6, 1.0)), float(rng.uniform(0.35, 0.6))
    return Light(azimuth=azimuth, elevation=elevation, key=key, fill=fill)


def draw_style(rng: np.random.Generator, condition: Condition, part: Part) -> RenderStyle:
    """Draw the renderer's settings."""
    style = RenderStyle()
    if part == "other_renderer":
        style = RenderStyle(
            shading=str(rng.choice(["flat", "pbr", "phong"])),  # type: ignore[arg-type]
            lamps=str(rng.choice(["three_points", "sky"])),  # type: ignore[arg-type]
            ambient=float(rng.uniform(0.15, 0.65)),
            diffuse=float(rng.uniform(0.5, 0.9)),
            specular=float(rng.uniform(0.0, 0.4)),
            specular_power=float(rng.uniform(5, 60)),
            samples=int(rng.choice([1, 4, 16])),
            shadow_depth=float(rng.uniform(0.15, 0.65)),
        )
    if condition.light == "backlight":
        style = attrs.evolve(style, ambient=style.ambient * float(rng.uniform(0.45, 0.9)))
    if condition.light == "shade":
        style = attrs.evolve(style, shadow_depth=0.15)
    return style


def develop_picture(picture: Array, rng: np.random.Generator, condition: Condition, part: Part) -> Array:
    """Do to a rendered picture what its conditions say, and add a sensor's noise."""
    other = part == "other_renderer"
    wish = develop.Grade(gain=float(rng.uniform(0.92, 1.06)))
    if condition.light == "backlight":
        wish = develop.Grade(gain=float(rng.uniform(0.85, 1.1)), veil=float(rng.uniform(0.05, 0.16)))
    elif condition.light == "shade":
        picture = develop.cast_shadow_edge(picture, rng, depth=float(rng.uniform(0.25, 0.5)))
        low = float(rng.uniform(0.6, 0.85))
        wish = develop.Grade(gain=low, contrast=float(rng.uniform(0.55, 0.8)), gamma=1.05, tint=(0.94, 0.98, 1.05))
    if other:
        tint = tuple(float(t) for t in rng.uniform(0.85, 1.15, 3))
        saturation, gamma = float(rng.uniform(0.4, 1.3)), wish.gamma * float(rng.uniform(0.75, 1.3))
        wish = attrs.evolve(wish, tint=tint, saturation=saturation, gamma=gamma)
    picture = develop.grade(picture, wish)
    if condition.quality == "blur":
        picture = develop.smear(picture, length=float(rng.uniform(3, 12)), turn=float(rng.uniform(0, np.pi)))
    noise = rng.uniform(2.5, 6.0) if condition.light == "shade" else rng.uniform(0.8, 3.0)
    picture = develop.add_noise(picture, rng, spread=float(noise * (1.5 if other else 1.0)))
    if condition.quality == "compressed":
        picture = develop.compress(picture, quality=int(rng.integers(25, 46)))
    return picture


def stray_balls(rng: np.random.Generator, golfer: Golfer) -> list[Array]:
    """Draw where other balls lie on the green, (3,) each, studio frame; mostly there are none."""
    if rng.uniform() > 0.3:
        return []
    turn, far = rng.uniform(0, 2 * np.pi, 5), rng.uniform(0.45, 2.2, 5)
    spots = golfer.ball + np.stack([np.cos(turn) * far, np.sin(turn) * far, np.zeros(5)], axis=1)
    clear = [spot for spot in spots if np.linalg.norm(spot[:2]) > CLEAR_OF_FEET]
    return clear[: int(rng.integers(1, 6))]
