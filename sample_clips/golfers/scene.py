"""Scene: people, putter and ball drawn over the room, with shadows on the ground.

The off-screen renderer draws people only; the room is drawn once per camera and the two are laid over each other, so
that a clip of a still camera costs little. World frame of `camera`.
"""

from __future__ import annotations

import os
from collections.abc import Sequence

import attrs
import cv2
import numpy as np

from .body import SIDES_LEAD, SIDES_TRAIL, Array
from .camera import Camera
from .feet import put_on_shoe
from .pose import Posed
from .putter import BALL_RADIUS, GRIP_LENGTH, HEAD_DEPTH, HEAD_HEIGHT, HEAD_LENGTH, Putter
from .wardrobe import Colour, Dressed, drape

os.environ.setdefault("PYVISTA_OFF_SCREEN", "true")

FLAT_BELOW = 20
"""Shapes with fewer triangles have flat sides."""
SAMPLES = 8
"""Samples a pixel along edges."""
MATERIAL = {"ambient": 0.38, "diffuse": 0.80, "specular": 0.06, "specular_power": 20}
"""How surfaces give the light back."""
SHADOW_DEPTH = 0.45
"""How much of the light a shadow takes away."""


@attrs.frozen(eq=False)
class Shape:
    """Triangles with one colour each, world frame after mirroring."""

    vertices: Array
    faces: np.ndarray
    colours: Array
    """(F, 3) sRGB 0 to 1."""
    normals: Array | None = None
    """(V, 3) for smooth shading; without them it is worked out."""
    plain: np.ndarray | None = None
    """Coarser triangles over the same vertices, good enough for a shadow."""
    part: str = "body"
    """`body` shapes make the outline mask."""


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


def shape_person(
    posed: Posed, dressed: Dressed, *, shoes: Colour, mirror: int, move: Array | None = None
) -> list[Shape]:
    """Make the shapes of one dressed person.

    Parameters
    ----------
    mirror : -1 turns the studio frame into a left-hander's world.
    move : (3,) added to every point before mirroring.
    """
    shift = np.zeros(3) if move is None else move
    vertices, normals = drape(posed, dressed)
    skin = _mirrored(vertices + shift, dressed.faces, dressed.colours, mirror)
    shapes = [attrs.evolve(skin, normals=normals * np.array([mirror, 1, 1]), plain=posed.body.faces)]
    for side in (SIDES_LEAD, SIDES_TRAIL):
        shoe = put_on_shoe(posed, side)
        paint = np.tile(np.array(shoes), (len(shoe.faces), 1))
        shapes.append(_mirrored(shoe.vertices + shift, shoe.faces, paint, mirror))
    return shapes


def shape_putter(putter: Putter, *, mirror: int) -> list[Shape]:
    """Grip, shaft and head."""
    down = putter.down
    end = putter.butt + GRIP_LENGTH * down
    parts = [
        (_tube(putter.butt, end, 0.0145, 0.011), (0.08, 0.08, 0.09)),
        (_tube(end, putter.sole - down * 0.012, 0.0052, 0.0048), (0.62, 0.63, 0.66)),
        (_box(putter.sole, putter.roll, (HEAD_DEPTH, HEAD_LENGTH, HEAD_HEIGHT)), (0.16, 0.17, 0.19)),
    ]
    return [
        attrs.evolve(_mirrored(v, f, np.tile(np.array(c), (len(f), 1)), mirror), part="putter") for (v, f), c in parts
    ]


def shape_ball(centre: Array, *, mirror: int) -> Shape:
    """Make the ball."""
    import trimesh

    sphere = trimesh.creation.icosphere(subdivisions=3, radius=BALL_RADIUS)
    paint = np.tile(np.array([0.97, 0.97, 0.96]), (len(sphere.faces), 1))
    return attrs.evolve(_mirrored(sphere.vertices + centre, sphere.faces, paint, mirror), part="ball")


class Stage:
    """An off-screen renderer for one camera; draw as many pictures as you like."""

    def __init__(self, camera: Camera, room: Array, light: Light) -> None:
        self._camera = camera
        self._room = room
        self._empty = np.clip(room * 255 + 0.5, 0, 255).astype(np.uint8)
        self._light = light
        self._plotter = _plotter(camera, light)
        self._shade = _plotter(camera, None, scale=3)

    def draw(self, shapes: Sequence[Shape]) -> tuple[Array, Array]:
        """Draw one picture.

        Returns
        -------
        picture : (height, width, 3) uint8 RGB.
        cover : (height, width) float32, how much of each pixel people and things cover.
        """
        colour, cover = self._people(shapes)
        shadow = self._shadow(shapes)
        picture = self._empty.copy()
        rows, columns = (
            np.nonzero((cover > 0).any(axis=1) | (shadow > 0.002).any(axis=1))[0],
            np.nonzero((cover > 0).any(axis=0) | (shadow > 0.002).any(axis=0))[0],
        )
        if len(rows):
            part = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
            share = cover[part][..., None]
            ground = self._room[part] * (1.0 - SHADOW_DEPTH * shadow[part])[..., None]
            mixed = ground * (1.0 - share) + colour[part] * (share / 255)
            picture[part] = np.clip(mixed * 255 + 0.5, 0, 255).astype(np.uint8)
        return picture, cover

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
        actor = self._plotter.add_mesh(mesh, scalars="rgb", rgb=True, reset_camera=False, render=False, **MATERIAL)
        actor.prop.interpolation = "Phong"
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
        soft = cv2.GaussianBlur(small, (0, 0), max(1.0, self._camera.width / 600))
        return np.asarray(cv2.resize(soft, (self._camera.width, self._camera.height), interpolation=cv2.INTER_LINEAR))


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


def _plotter(camera: Camera, light: Light | None, *, scale: int = 1):  # type: ignore[no-untyped-def]
    import pyvista as pv

    plotter = pv.Plotter(off_screen=True, window_size=[camera.width // scale, camera.height // scale], lighting="none")
    plotter.set_background("black")
    if light is not None:
        plotter.enable_anti_aliasing("msaa", multi_samples=SAMPLES)
        d = light.direction * 10
        plotter.add_light(pv.Light(position=d, focal_point=(0, 0, 0.8), intensity=light.key, light_type="scene light"))
        plotter.add_light(
            pv.Light(
                position=d * [-1, 0.5, 0.6], focal_point=(0, 0, 0.8), intensity=light.fill, light_type="scene light"
            )
        )
    eye = plotter.camera
    eye.position = camera.position
    eye.focal_point = camera.position + camera.axes[2]
    eye.up = -camera.axes[1]
    eye.view_angle = float(np.degrees(2 * np.arctan(camera.height / 2 / camera.focal)))
    eye.clipping_range = (0.3, 40.0)
    return plotter


def _poly(vertices: Array, faces: np.ndarray):  # type: ignore[no-untyped-def]
    import pyvista as pv

    return pv.PolyData(np.ascontiguousarray(vertices), np.hstack([np.full((len(faces), 1), 3), faces]).ravel())


def _mirrored(vertices: Array, faces: np.ndarray, colours: Array, mirror: int) -> Shape:
    flipped = faces if mirror == 1 else faces[:, ::-1]
    return Shape(vertices=vertices * np.array([mirror, 1, 1]), faces=np.ascontiguousarray(flipped), colours=colours)


def _tube(start: Array, end: Array, first: float, last: float, *, sides: int = 24) -> tuple[Array, np.ndarray]:
    axis = (end - start) / np.linalg.norm(end - start)
    u = np.cross(axis, [1.0, 0.0, 0.0])
    u /= np.linalg.norm(u)
    w = np.cross(axis, u)
    ring = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    circle = np.cos(ring)[:, None] * u + np.sin(ring)[:, None] * w
    vertices = np.concatenate([start + first * circle, end + last * circle, [start, end]])
    k = np.arange(sides)
    n = (k + 1) % sides
    side = np.concatenate([np.stack([k, n, k + sides], 1), np.stack([n, n + sides, k + sides], 1)])
    caps = np.concatenate(
        [
            np.stack([n, k, np.full(sides, 2 * sides)], 1),
            np.stack([k + sides, n + sides, np.full(sides, 2 * sides + 1)], 1),
        ]
    )
    return vertices, np.concatenate([side, caps])


def _box(sole: Array, roll: Array, size: tuple[float, float, float]) -> tuple[Array, np.ndarray]:
    import trimesh

    box = trimesh.creation.box(size)
    return np.asarray((box.vertices + np.array([0, 0, size[2] / 2])) @ roll.T + sole), np.asarray(box.faces)
