"""Room: the indoor green that a clip is filmed on, drawn pixel by pixel for one camera.

A green with a fine nap and a lighter border, a wall behind with posts, a door frame and a board; a pure function of
the camera and a seed. World frame, metres; colours sRGB 0 to 1.
"""

from __future__ import annotations

import attrs
import cv2
import numpy as np
from scipy.ndimage import gaussian_filter

from .body import Array
from .camera import Camera
from .mural import look_up
from .outfit import Colour

SUPERSAMPLE = 2
"""Rays along each side of a pixel."""


FAR = 60.0
"""Nothing is farther away, metres."""


@attrs.frozen(eq=False)
class Room:
    """Colours and places of one room."""

    green: Colour = (0.34, 0.50, 0.29)
    wall: Colour = (0.72, 0.71, 0.67)
    trim: Colour = (0.38, 0.29, 0.22)
    wall_distance: float = 3.2
    """From the golfer to the wall behind, metres."""
    post_every: float = 1.6
    seed: int = 0
    brightness: float = 1.0
    mural: Array | None = None
    """What stands there instead of the wall, see `mural`."""
    mown: float = 0.0
    """Width of mown stripes on the green, metres; 0 is none."""


def draw_room(camera: Camera, room: Room, *, aim: Array) -> Array:
    """Draw the empty room as a camera sees it.

    Parameters
    ----------
    aim : (3,) world point of the golfer; the wall stands `wall_distance` behind it, square to the view's nominal
    direction.

    Returns
    -------
    (height, width, 3) float32 picture, 0 to 1.
    """
    rng = np.random.default_rng(room.seed)
    wide, high = camera.width * SUPERSAMPLE, camera.height * SUPERSAMPLE
    u, v = np.meshgrid(*((np.arange(n, dtype=np.float32) + 0.5) / SUPERSAMPLE for n in (wide, high)))
    offset = np.stack([u - camera.width / 2, v - camera.height / 2], axis=-1).astype(np.float32) / camera.focal
    rays = offset @ camera.axes[:2].astype(np.float32) + camera.axes[2].astype(np.float32)
    # the wall's normal: the world axis nearest to the viewing direction
    axis = int(np.argmax(np.abs(camera.axes[2][:2])))
    sign = float(np.sign(camera.axes[2][axis]))
    plane = aim[axis] + sign * room.wall_distance
    reach = (plane - camera.position[axis]) / np.where(np.abs(rays[..., axis]) < 1e-6, 1e-6, rays[..., axis])
    to_wall = np.where(reach > 0, reach, np.inf)
    to_ground = np.where(rays[..., 2] < -1e-6, -camera.position[2] / np.minimum(rays[..., 2], -1e-6), np.inf)
    on_ground = to_ground < to_wall
    reach = np.minimum(np.where(on_ground, to_ground, to_wall), FAR)[..., None]
    where = camera.position.astype(np.float32) + reach * rays
    picture = np.empty((high, wide, 3), dtype=np.float32)
    floor = where[on_ground]
    shade = 1.0 - 0.35 * np.exp(-np.abs(floor[:, axis] - np.float32(plane)) / np.float32(0.25))
    picture[on_ground] = _ground(floor, room, rng, span=reach[on_ground, 0] / camera.focal) * shade[:, None]
    wall = where[~on_ground]
    across = wall[:, 1 - axis] - np.float32(aim[1 - axis])
    picture[~on_ground] = (
        _wall(across, wall[:, 2], room, rng) if room.mural is None else look_up(room.mural, across, wall[:, 2])
    )
    small = cv2.resize(picture, (camera.width, camera.height), interpolation=cv2.INTER_AREA)
    return np.clip(small * room.brightness, 0, 1)


def _ground(where: Array, room: Room, rng: np.random.Generator, *, span: Array) -> Array:
    """Colour (N, 3) of points on the green; `span` (N,) is a pixel's size there, metres: a far nap blurs away."""
    nap = _look_up(_noise(rng, 512), where[:, 0] * 350, where[:, 1] * 350) * np.clip(
        0.004 / np.maximum(span, 1e-4), 0, 1
    )
    patches = _look_up(_noise(rng, 256), where[:, 0] * 18, where[:, 1] * 18)
    shade = 1.0 + 0.08 * nap + 0.05 * patches
    if room.mown:
        shade *= 1.0 + 0.10 * np.sign(np.sin(np.pi * where[:, 0] / np.float32(room.mown)))
    return np.asarray(np.array(room.green, dtype=np.float32) * shade[:, None])


def _wall(across: Array, up: Array, room: Room, rng: np.random.Generator) -> Array:
    """Colour (N, 3) of points on the wall: plaster, posts, a door in its frame, a board, a skirting."""
    grain = _look_up(_noise(rng, 256), across * 60, up * 60)
    trim, wall = np.array(room.trim), np.array(room.wall)
    shift = rng.uniform(0.2, room.post_every - 0.2)
    side = rng.choice([-1.0, 1.0])
    left = side * rng.uniform(1.1, 1.5)
    post = np.abs((across - shift + room.post_every / 2) % room.post_every - room.post_every / 2) < 0.045
    frame, door = (np.abs(across - left) < 0.52) & (up < 2.10), (np.abs(across - left) < 0.45) & (up < 2.02)
    rim, panel = ((np.abs(across + left) < 0.55 + e) & (np.abs(up - 1.45) < 0.38 + e) for e in (0.03, 0.0))
    paints = [wall, wall * 0.95, trim * 1.1, trim, trim * 0.75, trim * 1.5, trim * 0.6, trim * 0.3 + 0.55]
    label = np.zeros(len(up), dtype=np.uint8)
    for k, mask in enumerate((up < 1.0, post, up < 0.10, frame, door, rim, panel), start=1):
        label[mask] = k
    return np.asarray(np.array(paints, dtype=np.float32)[label] * (1.0 + 0.015 * grain)[:, None])


def _noise(rng: np.random.Generator, size: int) -> Array:
    """Make a square of noise (size, size) with features of several sizes, that tiles without a seam."""
    field = np.zeros((size, size))
    for k in range(5):
        layer = gaussian_filter(rng.standard_normal((size, size)), 0.6 * 2**k, mode="wrap")
        field += layer / layer.std() * (0.7 + 0.15 * k)
    return np.asarray(field / field.std(), dtype=np.float32)


def _look_up(field: Array, u: Array, v: Array) -> Array:
    return np.asarray(field[u.astype(np.int32) % field.shape[0], v.astype(np.int32) % field.shape[1]])
