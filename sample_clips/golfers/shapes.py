"""Shapes: people, putter and ball as triangles in the world frame of `camera`."""

from __future__ import annotations

from collections.abc import Sequence

import attrs
import numpy as np

from .body import SIDES_LEAD, SIDES_TRAIL, Array
from .draping import hang
from .feet import put_on_shoe
from .outfit import Colour
from .pose import Posed
from .putter import BALL_RADIUS, GRIP_LENGTH, HEAD_DEPTH, HEAD_HEIGHT, HEAD_LENGTH, Putter
from .wardrobe import Dressed, drape

WHITE: Colour = (0.97, 0.97, 0.96)
STEEL: Colour = (0.62, 0.63, 0.66)
GRAPHITE: Colour = (0.13, 0.13, 0.14)


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


def shape_person(
    posed: Posed,
    dressed: Dressed,
    *,
    shoes: Colour,
    mirror: int,
    move: Array | None = None,
    hung: Sequence[tuple[Array, Array]] | None = None,
) -> list[Shape]:
    """Make the shapes of one dressed person.

    Parameters
    ----------
    mirror : -1 turns the studio frame into a left-hander's world.
    move : (3,) added to every point before mirroring.
    hung : vertices and normals of each garment, where they are known; otherwise the garments are hung anew.
    """
    shift = np.zeros(3) if move is None else move
    vertices, normals = drape(posed, dressed)
    skin = _mirrored(vertices + shift, dressed.faces, dressed.colours, mirror)
    shapes = [attrs.evolve(skin, normals=normals * np.array([mirror, 1, 1]), plain=posed.body.faces)]
    for garment, (vertices, normals) in zip(dressed.garments, hung or hang_all(posed, dressed), strict=True):
        cloth = _mirrored(vertices + shift, garment.faces, garment.colours, mirror)
        shapes.append(attrs.evolve(cloth, normals=normals * np.array([mirror, 1, 1])))
    for side in (SIDES_LEAD, SIDES_TRAIL):
        shoe = put_on_shoe(posed, side)
        paint = np.tile(np.array(shoes), (len(shoe.faces), 1))
        shapes.append(_mirrored(shoe.vertices + shift, shoe.faces, paint, mirror))
    return shapes


def hang_all(posed: Posed, dressed: Dressed) -> list[tuple[Array, Array]]:
    """Hang each garment over the one before: vertices (W, 3) and normals (W, 3)."""
    hung: list[tuple[Array, Array]] = []
    for garment in dressed.garments:
        hung.append(hang(posed, garment, over=hung[-1] if hung else None))
    return hung


def shape_putter(putter: Putter, *, mirror: int, shaft: Colour = STEEL) -> list[Shape]:
    """Grip, shaft and head."""
    down = putter.down
    end = putter.butt + GRIP_LENGTH * down
    parts = [
        (_tube(putter.butt, end, 0.0145, 0.011), (0.08, 0.08, 0.09)),
        (_tube(end, putter.sole - down * 0.012, 0.0052, 0.0048), shaft),
        (_box(putter.sole, putter.roll, (HEAD_DEPTH, HEAD_LENGTH, HEAD_HEIGHT)), (0.16, 0.17, 0.19)),
    ]
    return [
        attrs.evolve(_mirrored(v, f, np.tile(np.array(c), (len(f), 1)), mirror), part="putter") for (v, f), c in parts
    ]


def shape_ball(centre: Array, *, mirror: int, colour: Colour = WHITE) -> Shape:
    """Make the ball."""
    import trimesh

    sphere = trimesh.creation.icosphere(subdivisions=3, radius=BALL_RADIUS)
    paint = np.tile(np.array(colour), (len(sphere.faces), 1))
    return attrs.evolve(_mirrored(sphere.vertices + centre, sphere.faces, paint, mirror), part="ball")


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
