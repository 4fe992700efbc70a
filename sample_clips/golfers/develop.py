"""Develop: what light, lens, sensor and file do to a rendered picture.

Pictures are (height, width, 3) uint8 RGB; lengths are pixels.
"""

from __future__ import annotations

from typing import Literal

import attrs
import cv2
import numpy as np

from .body import Array

Quality = Literal["clean", "blur", "compressed"]


@attrs.frozen
class Grade:
    """Exposure and colour of a picture."""

    gain: float = 1.0
    contrast: float = 1.0
    gamma: float = 1.0
    saturation: float = 1.0
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0)
    veil: float = 0.0
    """Share of the light that a lens spreads over the picture."""


def grade(picture: Array, wish: Grade) -> Array:
    """Apply exposure, contrast about the middle, gamma, saturation, tint and veil."""
    light = picture.astype(np.float32) / 255 * wish.gain
    if wish.veil:
        small = cv2.resize(light, None, fx=0.125, fy=0.125, interpolation=cv2.INTER_AREA)
        wide = cv2.GaussianBlur(small, (0, 0), max(small.shape) / 16)
        light = (1 - wish.veil) * light + wish.veil * cv2.resize(wide, picture.shape[1::-1])
    light = np.clip(0.5 + wish.contrast * (light - 0.5), 0, 1) ** wish.gamma
    grey = light.mean(axis=2, keepdims=True)
    return _bytes((grey + wish.saturation * (light - grey)) * np.array(wish.tint, dtype=np.float32))


def cast_shadow_edge(picture: Array, rng: np.random.Generator, *, depth: float) -> Array:
    """Darken one side of a slanting line through the picture, as the shadow of a roof or a tree does."""
    high, wide = picture.shape[:2]
    turn = rng.uniform(0, 2 * np.pi)
    v, u = np.mgrid[0:high, 0:wide].astype(np.float32)
    middle = np.array([wide, high]) * rng.uniform(0.35, 0.65, 2)
    far = (u - middle[0]) * np.float32(np.cos(turn)) + (v - middle[1]) * np.float32(np.sin(turn))
    dark = 1 / (1 + np.exp(-far / np.float32(rng.uniform(3, 25))))
    return _bytes(picture.astype(np.float32) / 255 * (1 - np.float32(depth) * dark)[..., None])


def smear(picture: Array, *, length: float, turn: float) -> Array:
    """Blur along a line `length` pixels long, `turn` radians from the rows."""
    size = 2 * int(np.ceil(length / 2)) + 3
    kernel = np.zeros((8 * size, 8 * size), dtype=np.float32)
    way = 4 * length * np.array([np.cos(turn), np.sin(turn)])
    start, end = (tuple(round(float(4 * size + s * w)) for w in way) for s in (-1, 1))
    cv2.line(kernel, start, end, 1.0, 8)
    kernel = cv2.resize(kernel, (size, size), interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.filter2D(picture, -1, kernel / kernel.sum()))


def add_noise(picture: Array, rng: np.random.Generator, *, spread: float) -> Array:
    """Add a sensor's noise, `spread` in levels of 255, half of it in brightness, a little smeared as phones do."""
    grey = rng.standard_normal((*picture.shape[:2], 1), dtype=np.float32)
    noise = cv2.GaussianBlur(grey + 0.6 * rng.standard_normal(picture.shape, dtype=np.float32), (0, 0), 0.6)
    return _bytes((picture + spread * noise / noise.std()) / 255)


def compress(picture: Array, *, quality: int) -> Array:
    """Store as JPEG of a low quality and read again."""
    _, packed = cv2.imencode(".jpg", picture[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    return np.asarray(cv2.imdecode(packed, cv2.IMREAD_COLOR)[..., ::-1])


def _bytes(light: Array) -> Array:
    return np.clip(np.asarray(light) * 255 + 0.5, 0, 255).astype(np.uint8)
