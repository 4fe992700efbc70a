"""Scene: people, putter and ball drawn over the room, with shadows on the ground.

The off-screen renderer draws people only; the room is drawn once per camera and the two are laid over each other, so that a clip of a still
camera costs little. World frame of `camera`.
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
    gloss: float = 0.05
    part: str = "body"
    """`body` shapes make the outline mask."""


@attrs.frozen
class Light:
    """Where the key light comes from: a direction on the ground plan and a height, degrees; a fill light stands opposite."""

    azimuth: float = -60.0
    elevation: float = 58.0
    key: float = 0.85
    fill: float = 0.50

    @property
    def direction(self) -> Array:
        """Unit vector toward the light."""
        a, e = np.radians([self.azimuth, self.elevation])
        return np.array([np.cos(a) * np.cos(e), np.sin(a) * np.cos(e), np.sin(e)])


def shape_person(posed: Posed, dressed: Dressed, *, shoes: Colour, mirror: int, move: Array | None = None) -> list[Shape]:
    """The shapes of one dressed person.

    Parameters
    ----------
    mirror : -1 turns the studio frame into a left-hander's world.
    move : (3,) added to every point before mirroring.
    """
    shift = np.zeros(3) if move is None else move
    vertices, normals = drape(posed, dressed)
    skin = _mirrored(vertices + shift, dressed.faces, dressed.colours, mirror)
    shapes = [attrs.evolve(skin, normals=normals * np.array([mirror, 1, 1]))]
    for side in (SIDES_LEAD, SIDES_TRAIL):
        mesh = put_on_shoe(posed, side).mesh
        paint = np.tile(np.array(shoes), (len(mesh.faces), 1))
        shapes.append(_mirrored(mesh.vertices + shift, mesh.faces, paint, mirror))
    return shapes


def shape_putter(putter: Putter, *, mirror: int) -> list[Shape]:
    """Grip, shaft and head."""
    down = putter.down
    end = putter.butt + GRIP_LENGTH * down
    parts = [
        (_tube(putter.butt, end, 0.0145, 0.011), (0.08, 0.08, 0.09)),
        (_tube(end, putter.sole - down * 0.012, 0.0052, 0.0048), (0.62, 0.63, 0.66)),
        (_box(putter.sole, (HEAD_DEPTH, HEAD_LENGTH, HEAD_HEIGHT)), (0.16, 0.17, 0.19)),
    ]
    return [
        attrs.evolve(_mirrored(v, f, np.tile(np.array(c), (len(f), 1)), mirror), gloss=0.5, part="putter") for (v, f), c in parts
    ]


def shape_ball(centre: Array, *, mirror: int) -> Shape:
    """The ball."""
    import trimesh

    sphere = trimesh.creation.icosphere(subdivisions=3, radius=BALL_RADIUS)
    paint = np.tile(np.array([0.97, 0.97, 0.96]), (len(sphere.faces), 1))
    return attrs.evolve(_mirrored(sphere.vertices + centre, sphere.faces, paint, mirror), gloss=0.3, part="ball")


class Stage:
    """An off-screen renderer for one camera; draw as many pictures as you like."""

    def __init__(self, camera: Camera, room: Array, light: Light) -> None:
        self._camera = camera
        self._room = room
        self._light = light
        self._plotter = _plotter(camera, light)
        self._shade = _plotter(camera, None, scale=2)

    def draw(self, shapes: Sequence[Shape]) -> tuple[Array, Array]:
        """Draw one picture.

        Returns
        -------
        picture : (height, width, 3) uint8 RGB.
        cover : (height, width) float32, how much of each pixel people and things cover.
        """
        colour, cover = self._people(shapes)
        shadow = self._shadow(shapes)
        ground = self._room * (1.0 - SHADOW_DEPTH * shadow)[..., None]
        mixed = ground * (1.0 - cover[..., None]) + colour * cover[..., None]
        return np.clip(mixed * 255 + 0.5, 0, 255).astype(np.uint8), cover

    def outline(self, shapes: Sequence[Shape]) -> Array:
        """Mask (height, width) uint8, 255 where the body (with clothes, shoes and hair, without putter and ball) is."""
        _, cover = self._people([s for s in shapes if s.part == "body"])
        return np.where(cover > 0.5, 255, 0).astype(np.uint8)

    def close(self) -> None:
        """Free the renderer."""
        self._plotter.close()
        self._shade.close()

    def _people(self, shapes: Sequence[Shape]) -> tuple[Array, Array]:
        plotter = self._plotter
        plotter.clear_actors()
        for shape in shapes:
            mesh = _poly(shape.vertices, shape.faces)
            mesh.cell_data["rgb"] = np.clip(shape.colours * 255, 0, 255).astype(np.uint8)
            if shape.normals is not None:
                mesh.point_data.active_normals = shape.normals
            actor = plotter.add_mesh(
                mesh, scalars="rgb", rgb=True, smooth_shading=shape.normals is None and len(shape.faces) > 100, ambient=0.38, diffuse=0.80, specular=shape.gloss,
                specular_power=20, reset_camera=False, render=False,
            )  # fmt: skip
            if shape.normals is not None:
                actor.prop.interpolation = "Phong"
        rgba = plotter.screenshot(transparent_background=True, return_img=True).astype(np.float32) / 255
        return rgba[..., :3], rgba[..., 3]

    def _shadow(self, shapes: Sequence[Shape]) -> Array:
        plotter = self._shade
        plotter.clear_actors()
        light = self._light.direction
        for shape in shapes:
            flat = shape.vertices - shape.vertices[:, 2:3] / light[2] * light
            flat[:, 2] = 0.0
            plotter.add_mesh(_poly(flat, shape.faces), color="white", lighting=False, reset_camera=False, render=False)
        small = plotter.screenshot(return_img=True)[..., 0].astype(np.float32) / 255
        blur = max(3, int(self._camera.width / 250) | 1)
        soft = cv2.GaussianBlur(small, (0, 0), blur / 2)
        return np.asarray(cv2.resize(soft, (self._camera.width, self._camera.height), interpolation=cv2.INTER_LINEAR))


def _plotter(camera: Camera, light: Light | None, *, scale: int = 1):  # type: ignore[no-untyped-def]
    import pyvista as pv

    plotter = pv.Plotter(off_screen=True, window_size=[camera.width // scale, camera.height // scale], lighting="none")
    plotter.set_background("black")
    if light is not None:
        plotter.enable_anti_aliasing("ssaa" if camera.width * camera.height < 1_100_000 else "msaa", **({} if camera.width * camera.height < 1_100_000 else {"multi_samples": 8}))
        d = light.direction * 10
        plotter.add_light(pv.Light(position=d, focal_point=(0, 0, 0.8), intensity=light.key, light_type="scene light"))
        plotter.add_light(pv.Light(position=d * [-1, 0.5, 0.6], focal_point=(0, 0, 0.8), intensity=light.fill, light_type="scene light"))
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
    caps = np.concatenate([np.stack([n, k, np.full(sides, 2 * sides)], 1), np.stack([k + sides, n + sides, np.full(sides, 2 * sides + 1)], 1)])
    return vertices, np.concatenate([side, caps])


def _box(sole: Array, size: tuple[float, float, float]) -> tuple[Array, np.ndarray]:
    import trimesh

    box = trimesh.creation.box(size)
    return np.asarray(box.vertices + sole + np.array([0, 0, size[2] / 2])), np.asarray(box.faces)
