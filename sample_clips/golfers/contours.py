"""Contours: the trunk's outline in the sagittal plane, and how far an elbow's skin is from it.

Studio frame of `body`, metres and radians. The trunk is the skin that moves with root, pelvis and spine; arms, head,
legs and (for the ribs) breasts are left out, so that the outline is known even where an arm covers it in a picture.
"""

from __future__ import annotations

import attrs
import numpy as np
import trimesh
from scipy.spatial import cKDTree

from .body import Array, Body

TRUNK = ("root", "pelvis", "spine")
PELVIS_WINDOW = (0.28, 0.42)
"""Where the lower tangent is taken: share of the way from the mid-hip to the base of the neck (the crest of the
pelvis is at about 0.2)."""
NECK_WINDOW = (0.82, 0.96)
"""Station of the upper tangent: the last ribs below the base of the neck."""
ELBOW_REACH = 0.055
"""Skin within this distance of the elbow's joint centre is the elbow's, metres."""
SLAB = 0.03
"""Half height of the slice of ribs that the elbow is compared with, metres."""


@attrs.frozen(eq=False)
class TrunkOutline:
    """The trunk's outline as seen along the target line."""

    share: Array
    """(K,) share of the way from the mid-hip (0) to the base of the neck (1)."""
    back: Array
    """(K, 2) rearmost point, (ahead, up): ahead is -y."""
    front: Array
    """(K, 2) foremost point without the breasts."""


def find_trunk_outline(body: Body, skin: Array, joints: dict[str, Array], *, steps: int = 121) -> TrunkOutline:
    """Slice the trunk square to the line from mid-hip to the base of the neck, and take each slice's ends."""
    base = _sagittal((joints["upperleg01.L"] + joints["upperleg01.R"]) / 2)
    along = _sagittal(joints["neck01"]) - base
    length = float(np.linalg.norm(along))
    axis = along / length
    depth = np.array([axis[1], -axis[0]])
    edges = _trunk_edges(body)
    ends = np.stack([skin[edges[:, 0]], skin[edges[:, 1]]], axis=1)
    flat = np.stack([-ends[..., 1], ends[..., 2]], axis=-1) - base
    height, ahead = flat @ axis / length, flat @ depth
    share = np.linspace(0.05, 1.0, steps)
    back, front = [], []
    for level in share:
        low, high = height.min(axis=1), height.max(axis=1)
        hit = (low <= level) & (high > level)
        mix = (level - height[hit, 0]) / (height[hit, 1] - height[hit, 0])
        cut = ahead[hit, 0] + mix * (ahead[hit, 1] - ahead[hit, 0])
        spot = base + level * along
        back.append(spot + cut.min() * depth)
        front.append(spot + cut.max() * depth)
    return TrunkOutline(share=share, back=np.array(back), front=np.array(front))


def measure_rounding(back: Array) -> float:
    """Angle between the tangents at the base of the neck and just above the pelvis, radians, + rounded forward.

    Parameters
    ----------
    back : (K, 2) of `TrunkOutline`, evenly spaced in share from 0.05 to 1.
    """
    share = np.linspace(0.05, 1.0, len(back))
    return _lean(back, share, NECK_WINDOW) - _lean(back, share, PELVIS_WINDOW)


def find_elbow_clearance(body: Body, skin: Array, joints: dict[str, Array], side: str) -> float:
    """Shortest distance from the elbow's skin to the trunk's, metres; negative is how deep the two overlap."""
    arm = body.skin_of(f"upperarm02.{side}", f"lowerarm01.{side}")
    near = arm[np.linalg.norm(skin[arm] - joints[f"lowerarm01.{side}"], axis=1) < ELBOW_REACH]
    faces = _trunk_faces(body)
    tree = cKDTree(skin[faces].mean(axis=1))
    rough, _ = tree.query(skin[near])
    chosen = skin[near[np.argsort(rough)[:40]]]
    _, rows = tree.query(chosen, k=24)
    triangles = skin[faces[rows]]
    points = np.repeat(chosen[:, None], triangles.shape[1], axis=1)
    nearest = trimesh.triangles.closest_point(triangles.reshape(-1, 3, 3), points.reshape(-1, 3)).reshape(points.shape)
    offset = points - nearest
    distance = np.linalg.norm(offset, axis=2)
    best = distance.argmin(axis=1)
    pick = np.arange(len(chosen))
    normal = np.cross(
        triangles[pick, best, 1] - triangles[pick, best, 0], triangles[pick, best, 2] - triangles[pick, best, 0]
    )
    outside = np.einsum("ij,ij->i", normal, offset[pick, best]) >= 0
    return float(np.where(outside, distance[pick, best], -distance[pick, best]).min())


def find_rib_front(body: Body, skin: Array, joints: dict[str, Array], side: str, *, breasts: bool) -> float:
    """How far the elbow's joint is ahead of the front of the ribs at its level, metres (- = behind).

    Square to the line from mid-hip to mid-shoulder, in the sagittal plane; with the breasts or without.
    """
    hip = _sagittal((joints["upperleg01.L"] + joints["upperleg01.R"]) / 2)
    spine = _sagittal((joints["upperarm01.L"] + joints["upperarm01.R"]) / 2) - hip
    axis = spine / np.linalg.norm(spine)
    depth = np.array([axis[1], -axis[0]])
    rows = body.skin_of("root", "spine", *(("breast",) if breasts else ()))
    flat = np.stack([-skin[rows, 1], skin[rows, 2]], axis=1)
    elbow = _sagittal(joints[f"lowerarm01.{side}"])
    slab = np.abs((flat - elbow) @ axis) < SLAB
    return float((elbow @ depth) - (flat[slab] @ depth).max())


def _sagittal(point: Array) -> Array:
    return np.array([-point[1], point[2]])


def _lean(back: Array, share: Array, window: tuple[float, float]) -> float:
    """Lean of the outline from the vertical within a window, by a line through its points (total least squares)."""
    spots = back[(share >= window[0]) & (share <= window[1])]
    _, _, axes = np.linalg.svd(spots - spots.mean(axis=0))
    ahead, up = axes[0] * np.sign((spots[-1] - spots[0]) @ axes[0])
    return float(np.arctan2(ahead, up))


def _trunk_faces(body: Body) -> np.ndarray:
    rows = np.zeros(len(body.vertices), dtype=bool)
    rows[body.skin_of(*TRUNK, "breast")] = True
    return body.faces[rows[body.faces].all(axis=1)]


def _trunk_edges(body: Body) -> np.ndarray:
    rows = np.zeros(len(body.vertices), dtype=bool)
    rows[body.skin_of(*TRUNK, "neck")] = True
    faces = body.faces[rows[body.faces].all(axis=1)]
    edges = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    return np.unique(edges, axis=0)
