"""Murals: what stands behind a golfer, painted flat: people, trees, posts, signs, shelves, bricks.

A mural is (height, width, 3) float32, sRGB 0 to 1, `SCALE` pixels a metre, its lowest row on the ground and its middle
column behind the golfer.
"""

from __future__ import annotations

import cv2
import numpy as np

from .body import Array
from .outfit import Colour

SCALE = 150
"""Pixels a metre."""
WIDE, HIGH = 18.0, 8.0
"""Metres."""


def look_up(mural: Array, across: Array, up: Array) -> Array:
    """Colours (N, 3) at `across` and `up` metres, (N,) each; beyond the rim the rim's."""
    u = np.asarray((across + WIDE / 2) * SCALE, dtype=np.float32)[:, None]
    v = np.asarray((HIGH - up) * SCALE, dtype=np.float32)[:, None]
    rows = []
    for start in range(0, len(u), 30_000):  # remap takes pictures no longer than 32 767
        part = np.s_[start : start + 30_000]
        rows.append(cv2.remap(mural, u[part], v[part], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)[:, 0])
    return np.concatenate(rows) if rows else np.zeros((0, 3), dtype=np.float32)


def paint_outdoors(rng: np.random.Generator, *, like: Colour, crowd: int) -> Array:
    """Paint sky, hedge and trees, with `crowd` people, posts and signs; some have the colour `like`."""
    mural = _blank()
    rows = np.linspace(1.0, 0.0, len(mural), dtype=np.float32)[:, None, None]
    sky = np.array([0.62, 0.76, 0.92]) * rng.uniform(0.8, 1.05)
    mural[:] = sky * (0.75 + 0.25 * rows) + (1 - rows) * 0.12
    _speckle(rng, mural, 0.0, rng.uniform(0.8, 1.8), np.array([0.16, 0.30, 0.12]) * rng.uniform(0.7, 1.4), 0.30)
    for _ in range(rng.integers(4, 9)):
        _tree(rng, mural, float(rng.uniform(-8, 8)))
    _crowd(rng, mural, like=like, count=crowd)
    return np.clip(mural, 0, 1)


def paint_clutter(rng: np.random.Generator, *, like: Colour, crowd: int) -> Array:
    """Paint a wall full of things: shelves, posters, signs, `crowd` people; some have the colour `like`."""
    mural = _blank()
    mural[:] = np.clip(rng.uniform(0.3, 0.9) + rng.normal(0, 0.06, 3), 0, 1)
    for _ in range(rng.integers(14, 30)):
        wide, high = rng.uniform(0.2, 1.3), rng.uniform(0.2, 1.5)
        left, low = rng.uniform(-6, 6), rng.uniform(0, 2.6)
        _box(mural, left, low, wide, high, like if rng.uniform() < 0.15 else _strong(rng))
        for level in np.arange(low + 0.08, low + high - 0.05, rng.uniform(0.08, 0.3)):
            _box(mural, left + 0.05, level, wide - 0.1, 0.03, _strong(rng))
    _crowd(rng, mural, like=like, count=crowd)
    return np.clip(mural, 0, 1)


def paint_bricks(rng: np.random.Generator, **_: object) -> Array:
    """Paint a brick or tiled wall with a window: the plain backdrop of the other renderer settings."""
    mural = _blank()
    high, wide = rng.uniform(0.07, 0.3), rng.uniform(0.2, 0.6)
    base, joint = np.clip(0.35 * _strong(rng) + rng.uniform(0.2, 0.5), 0, 1), np.full(3, rng.uniform(0.4, 0.9))
    mural[:] = joint
    for k, low in enumerate(np.arange(0, HIGH, high)):
        for left in np.arange(-WIDE / 2 - wide * (k % 2) / 2, WIDE / 2, wide):
            _box(mural, left, low, wide - 0.012, high - 0.012, base * rng.uniform(0.9, 1.1))
    left = rng.choice([-1, 1]) * rng.uniform(1.0, 2.4)
    _box(mural, left, 1.0, 1.2, 1.3, np.array([0.85, 0.92, 0.97]))
    _box(mural, left + 0.57, 1.0, 0.06, 1.3, joint * 0.5)
    return np.clip(mural, 0, 1)


def paint_shards(rng: np.random.Generator, *, like: Colour, crowd: int) -> Array:
    """Paint overlapping polygons and discs: the busy backdrop of the other renderer settings."""
    mural = _blank()
    mural[:] = _strong(rng) * 0.6 + 0.2
    for k in range(160):
        middle = np.array([rng.uniform(-7, 7), rng.uniform(0, 4.5)])
        turn = np.sort(rng.uniform(0, 2 * np.pi, rng.integers(3, 7)))
        reach = rng.uniform(0.1, 0.8) * rng.uniform(0.5, 1.0, len(turn))
        paint = np.array(like) if k % 12 == 0 else _strong(rng)
        _polygon(mural, middle + np.stack([np.cos(turn), np.sin(turn)], 1) * reach[:, None], paint)
    soft = cv2.GaussianBlur(mural, (0, 0), float(rng.uniform(0.5, 6.0)))
    _crowd(rng, soft, like=like, count=crowd)
    return np.clip(soft, 0, 1)


def _blank() -> Array:
    return np.zeros((int(HIGH * SCALE), int(WIDE * SCALE), 3), dtype=np.float32)


def _strong(rng: np.random.Generator) -> Array:
    colour = rng.uniform(0.05, 0.95, 3)
    return np.asarray(np.clip(colour.mean() + (colour - colour.mean()) * 1.5, 0.03, 0.97))


def _pixels(points: Array) -> Array:
    """Mural pixels of points (N, 2) in metres, whole numbers for cv2."""
    return np.asarray(np.round((points + [WIDE / 2, -HIGH]) * [SCALE, -SCALE]), dtype=np.int32)


def _polygon(mural: Array, points: Array, colour: Array | Colour) -> None:
    cv2.fillPoly(mural, [_pixels(np.asarray(points))], [float(c) for c in colour], cv2.LINE_AA)


def _box(mural: Array, left: float, low: float, wide: float, high: float, colour: Array | Colour) -> None:
    corners = np.array([[left, low], [left + wide, low], [left + wide, low + high], [left, low + high]])
    _polygon(mural, corners, colour)


def _disc(mural: Array, middle: tuple[float, float], reach: tuple[float, float], colour: Array | Colour) -> None:
    turn = np.linspace(0, 2 * np.pi, 40)
    _polygon(mural, np.array(middle) + np.stack([np.cos(turn), np.sin(turn)], 1) * np.array(reach), colour)


def _speckle(rng: np.random.Generator, mural: Array, low: float, high: float, colour: Array, rough: float) -> None:
    """Leaves: a band of rough texture with a wavy upper edge."""
    size = mural.shape[:2]
    grain = cv2.GaussianBlur(rng.standard_normal(size).astype(np.float32), (0, 0), 3)
    grain += 1.5 * cv2.GaussianBlur(rng.standard_normal(size).astype(np.float32), (0, 0), 10) * 3
    grain /= grain.std()
    wave = cv2.GaussianBlur(rng.standard_normal((1, size[1])).astype(np.float32), (0, 0), 25)
    edge = high + 0.12 * wave[0] / wave.std()
    up = HIGH - np.arange(size[0])[:, None] / SCALE
    band = (up < edge) & (up >= low)
    mural[band] = (colour * (1 + rough * grain[..., None]))[band]


def _tree(rng: np.random.Generator, mural: Array, across: float) -> None:
    bark = np.array([0.30, 0.22, 0.15]) * rng.uniform(0.6, 1.4)
    wide = rng.uniform(0.06, 0.2)
    _box(mural, across - wide, 0, 2 * wide, rng.uniform(2.0, 4.0), bark)
    for _ in range(60):
        leaf = np.array([0.20, 0.36, 0.14]) * rng.uniform(0.5, 1.5)
        reach = float(rng.uniform(0.1, 0.35))
        _disc(mural, (across + rng.normal(0, 0.7), 3.2 + rng.normal(0, 0.7)), (reach, reach), leaf)


def _crowd(rng: np.random.Generator, mural: Array, *, like: Colour, count: int) -> None:
    """Standing people, posts, and signs, at least one thing close behind the golfer."""
    for k in range(count):
        across = float(rng.uniform(-0.8, 0.8) if k == 0 else rng.uniform(-5, 5))
        _person(rng, mural, across, np.array(like) if k % 3 == 0 else _strong(rng))
    for _ in range(rng.integers(2, 6)):
        across, high = float(rng.uniform(-4, 4)), float(rng.uniform(1.0, 3.5))
        _box(mural, across, 0, rng.uniform(0.02, 0.09), high, _strong(rng))
        if rng.uniform() < 0.6:
            _box(mural, across - 0.3, high - 0.4, 0.65, 0.4, np.array(like) if rng.uniform() < 0.3 else _strong(rng))


def _person(rng: np.random.Generator, mural: Array, across: float, shirt: Array) -> None:
    tall = float(rng.uniform(1.55, 1.9))
    skin, cloth = np.array([0.75, 0.56, 0.44]) * rng.uniform(0.4, 1.2), _strong(rng) * 0.6
    for side in (-1, 1):
        _box(mural, across + side * 0.1 - 0.07, 0.0, 0.14, 0.5 * tall, cloth)
        _disc(mural, (across + side * 0.24, 0.62 * tall), (0.055, 0.2 * tall), shirt * 0.9)
        _disc(mural, (across + side * 0.25, 0.45 * tall), (0.045, 0.05 * tall), skin)
    _disc(mural, (across, 0.66 * tall), (0.2, 0.19 * tall), shirt)
    _box(mural, across - 0.05, 0.8 * tall, 0.1, 0.08 * tall, skin)
    _disc(mural, (across, 0.925 * tall), (0.075, 0.068 * tall), skin)
    _disc(mural, (across, 0.95 * tall), (0.08, 0.05 * tall), skin * rng.uniform(0.2, 0.7))
