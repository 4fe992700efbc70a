"""Scene: people, putter and ball drawn over the room, with shadows on the ground.

The off-screen renderer draws people only; the room is drawn once per camera and the two are laid over each other, so
that a clip of a still camera costs little. World frame of `camera`.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Any

import attrs
import cv2
import numpy as np

from .body import Array
from .camera import Camera
from .shapes import Shape
from .style import RenderStyle

os.environ.setdefault("PYVISTA_OFF_SCREEN", "true")

PBR_GAIN = 3.0
"""Physically based shading gives back about a third of what the others do for the same lamp."""
SHADE_SCALE = 3
"""Shadows are drawn on a grid so many times coarser."""
FLAT_BELOW = 20
"""Shapes with fewer triangles have flat sides."""


@attrs.frozen
class Light:
    """Where the key light comes from; a weaker fill light stands opposite.

    `azimuth` on the ground plan and `elevation` are degrees, `key` and `fill` the lights' strengths.
    """

    azimuth: float = -60.0
    elevation: float = 58.0
    key: float = 0.85
    fill: float = 0.50

    @property
    def direction(self) -> Array:
        """Unit vector toward the light."""
        a, e = np.radians([self.azimuth, self.elevation])
        return np.array([np.cos(a) * np.cos(e), np.sin(a) * np.cos(e), np.sin(e)])


@attrs.frozen
class Window:
    """A part of the picture, pixels; unless it is the whole, all are multiples of `SHADE_SCALE`."""

    left: int
    top: int
    width: int
    height: int

    @property
    def part(self) -> tuple[slice, slice]:
        """Rows and columns."""
        return slice(self.top, self.top + self.height), slice(self.left, self.left + self.width)

    @classmethod
    def around(cls, pixels: Array, camera: Camera, *, margin: int) -> Window:
        """Return the window that holds all `pixels` (N, 2) and a margin, as far as the picture goes."""
        size = np.array([camera.width, camera.height])
        low = np.clip(np.floor((pixels.min(axis=0) - margin) / SHADE_SCALE) * SHADE_SCALE, 0, size)
        high = np.clip(low + np.ceil((pixels.max(axis=0) + margin - low) / SHADE_SCALE) * SHADE_SCALE, 0, size)
        left, top = (int(v) for v in low)
        return cls(left, top, *(int(v) for v in (high - low) // SHADE_SCALE * SHADE_SCALE))


class Stage:
    """An off-screen renderer for one camera; draw as many pictures as you like."""

    def __init__(
        self,
        camera: Camera,
        room: Array,
        light: Light,
        style: RenderStyle | None = None,
        *,
        window: Window | None = None,
    ) -> None:
        """Set up a stage; nothing that moves leaves `window`, by default the whole picture."""
        self._window = window or Window(0, 0, camera.width, camera.height)
        self._room = room[self._window.part]
        self._empty = np.clip(room * 255 + 0.5, 0, 255).astype(np.uint8)
        self._light = light
        self._blur = max(1.0, camera.width / 600)
        self._style = style or RenderStyle()
        self._plotter = _plotter(camera, self._window, light, self._style)
        self._shade = _plotter(camera, self._window, None, self._style, scale=SHADE_SCALE)

    def draw(self, shapes: Sequence[Shape]) -> tuple[Array, Array]:
        """Draw one picture.

        Returns
        -------
        picture : (height, width, 3) uint8 RGB.
        cover : float32 of the window's height and width, how much of each pixel people and things cover.
        """
        colour, cover = self._people(shapes)
        shadow = self._shadow(shapes)
        whole = self._empty.copy()
        picture = whole[self._window.part]
        rows, columns = (
            np.nonzero((cover > 0).any(axis=1) | (shadow > 0.002).any(axis=1))[0],
            np.nonzero((cover > 0).any(axis=0) | (shadow > 0.002).any(axis=0))[0],
        )
        if len(rows):
            part = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
            share = cover[part][..., None]
            ground = self._room[part] * (1.0 - self._style.shadow_depth * shadow[part])[..., None]
            mixed = ground * (1.0 - share) + colour[part] * (share / 255)
            picture[part] = np.clip(mixed * 255 + 0.5, 0, 255).astype(np.uint8)
        return whole, cover

    def outline(self, shapes: Sequence[Shape]) -> Array:
        """Mask (height, width) uint8, 255 where the body (with clothes, shoes and hair, without putter and ball) is."""
        _, cover = self._people([s for s in shapes if s.part == "body"])
        return np.where(cover > 0.5, 255, 0).astype(np.uint8)

    def close(self) -> None:
        """Free the renderer."""
        self._plotter.close()
        self._shade.close()

    def _people(self, shapes: Sequence[Shape]) -> tuple[Array, Array]:
        mesh = _joined(shapes)
        self._plotter.clear_actors()
        actor = self._plotter.add_mesh(mesh, scalars="rgb", rgb=True, reset_camera=False, render=False)
        _coat(actor.prop, self._style)
        self._plotter.render()
        rgba = self._plotter.screenshot(transparent_background=True, return_img=True)
        return rgba[..., :3], rgba[..., 3].astype(np.float32) / 255

    def _shadow(self, shapes: Sequence[Shape]) -> Array:
        light = self._light.direction
        vertices, faces = _stacked([(s.vertices, s.faces if s.plain is None else s.plain) for s in shapes])
        flat = vertices - vertices[:, 2:3] / light[2] * light
        flat[:, 2] = 0.0
        self._shade.clear_actors()
        self._shade.add_mesh(_poly(flat, faces), color="white", lighting=False, reset_camera=False, render=False)
        self._shade.render()
        small = self._shade.screenshot(return_img=True)[..., 0].astype(np.float32) / 255
        soft = cv2.GaussianBlur(small, (0, 0), self._blur)
        size = (self._window.width, self._window.height)
        return np.asarray(cv2.resize(soft, size, interpolation=cv2.INTER_LINEAR))


def _stacked(parts: Sequence[tuple[Array, np.ndarray]]) -> tuple[Array, np.ndarray]:
    starts = np.cumsum([0, *(len(v) for v, _ in parts)])
    return np.concatenate([v for v, _ in parts]), np.concatenate(
        [f + k for (_, f), k in zip(parts, starts, strict=False)]
    )


def _joined(shapes: Sequence[Shape]):  # type: ignore[no-untyped-def]
    """One mesh of all shapes, with normals to shade by."""
    shaded = [s if s.normals is not None else _with_normals(s) for s in shapes]
    mesh = _poly(*_stacked([(s.vertices, s.faces) for s in shaded]))
    mesh.cell_data["rgb"] = np.clip(np.concatenate([s.colours for s in shaded]) * 255, 0, 255).astype(np.uint8)
    mesh.point_data.active_normals = np.concatenate([s.normals for s in shaded]).astype(np.float32)
    return mesh


def _with_normals(shape: Shape) -> Shape:
    """Round shapes get smooth normals; boxes get split into flat sides."""
    corners = shape.vertices[shape.faces]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    if len(shape.faces) < FLAT_BELOW:
        split = np.arange(3 * len(shape.faces)).reshape(-1, 3)
        return attrs.evolve(
            shape, vertices=corners.reshape(-1, 3), faces=split, normals=_unit(np.repeat(across, 3, axis=0))
        )
    total = np.zeros_like(shape.vertices)
    for k in range(3):
        np.add.at(total, shape.faces[:, k], across)
    return attrs.evolve(shape, normals=_unit(total))


def _unit(vectors: Array) -> Array:
    return np.asarray(vectors / np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-12))


def _plotter(  # type: ignore[no-untyped-def]
    camera: Camera, window: Window, light: Light | None, style: RenderStyle, *, scale: int = 1
):
    import pyvista as pv

    plotter = pv.Plotter(off_screen=True, window_size=[window.width // scale, window.height // scale], lighting="none")
    plotter.set_background("black")
    if light is not None:
        if style.samples > 1:
            plotter.enable_anti_aliasing("msaa", multi_samples=style.samples)
        strength = PBR_GAIN if style.shading == "pbr" else 1.0
        for direction, share in _lamps(light, style):
            lamp = {"focal_point": (0, 0, 0.8), "light_type": "scene light"}
            plotter.add_light(pv.Light(position=direction * 10, intensity=strength * share, **lamp))
    eye = plotter.camera
    eye.position = camera.position
    eye.focal_point = camera.position + camera.axes[2]
    eye.up = -camera.axes[1]
    eye.view_angle = float(np.degrees(2 * np.arctan(window.height / 2 / camera.focal)))
    right = (2 * window.left + window.width - camera.width) / window.width
    down = (2 * window.top + window.height - camera.height) / window.height
    eye.SetWindowCenter(right, -down)
    eye.clipping_range = (0.3, 40.0)
    return plotter


def _lamps(light: Light, style: RenderStyle) -> list[tuple[Array, float]]:
    """Direction toward each lamp (3,) and its strength."""
    key, opposite = light.direction, light.direction * [-1, 0.5, 0.6]
    if style.lamps == "key_and_fill":
        return [(key, light.key), (opposite, light.fill)]
    if style.lamps == "three_points":
        return [(key, light.key), (opposite, light.fill), (-key * [1, 1, -0.4], 0.4 * light.key)]
    turns = np.radians(light.azimuth) + np.arange(5) * 2 * np.pi / 5
    dome = [np.array([0.6 * np.cos(t), 0.6 * np.sin(t), 0.8]) for t in turns]
    return [(key, 0.4 * light.key), *((d, 0.3 * light.fill + 0.08 * light.key) for d in dome)]


def _coat(surface: Any, style: RenderStyle) -> None:
    surface.ambient, surface.diffuse = style.ambient, style.diffuse
    surface.specular, surface.specular_power = style.specular, style.specular_power
    surface.interpolation = {"phong": "Phong", "flat": "Flat", "pbr": "Physically based rendering"}[style.shading]
    if style.shading == "pbr":
        surface.metallic, surface.roughness = 0.0, 0.75


def _poly(vertices: Array, faces: np.ndarray):  # type: ignore[no-untyped-def]
    import pyvista as pv

    return pv.PolyData(np.ascontiguousarray(vertices), np.hstack([np.full((len(faces), 1), 3), faces]).ravel())
