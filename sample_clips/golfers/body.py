"""Bodies: the skin, the skeleton and the weights of a parametric human of a wanted stature.

Frame of this package ("studio frame"), metres: +x is the right-handed golfer's left, which is toward the target; the
body faces -y, toward the ball; z is up. Everything is posed as a right-hander; a left-hander is the mirrored world
(`mirror` in `truth`). Shape and rig come from anny (Apache-2.0, shapes from CC0 assets).
"""

from __future__ import annotations

import functools
import warnings
from typing import Any, Literal

import attrs
import numpy as np
import numpy.typing as npt
import scipy.sparse as sparse

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]
Sex = Literal["female", "male"]

SOLE = 0.012
"""Thickness of a shoe's sole, metres; the foot stands this far above the ground."""

ADULT = 0.67
"""anny's age slider for a grown body (0 baby, 1/3 child, 2/3 young adult, 1 old)."""

SIDES_LEAD, SIDES_TRAIL = "L", "R"
"""Before mirroring everybody is right-handed: the lead side is the left."""

STATURE_RANGE = (1.38, 2.02)
"""Statures that the height slider reaches without leaving its range, metres."""
CHILD_STATURE_RANGE = (1.10, 1.55)
"""The same for the ages of `child_age`."""


@attrs.frozen(eq=False)
class Body:
    """A body at rest: arms half out, standing upright on the ground with bare feet at z = 0."""

    sex: Sex
    vertices: Array
    """(V, 3) skin, metres."""
    faces: Indices
    """(F, 3) triangles, counter-clockwise from outside."""
    weights: sparse.csr_array
    """(V, B) share of each bone in each vertex; rows add up to one."""
    dominant: Indices
    """(V,) the bone with the largest share."""
    heads: Array
    """(B, 3) where each bone starts: the joint centre."""
    tails: Array
    """(B, 3) where each bone ends."""
    parents: Indices
    """(B,) parent of each bone; the root is its own parent."""
    bones: tuple[str, ...]
    marks: dict[str, Array]
    """Face marks (nose, left_ear, ...) as skin weights (V,), as anny's COCO regressor has them."""

    @functools.cached_property
    def index(self) -> dict[str, int]:
        """Bone name to row."""
        return {name: i for i, name in enumerate(self.bones)}

    @property
    def stature(self) -> float:
        """Height of the bare body, metres."""
        return float(np.ptp(self.vertices[:, 2]))

    def skin_of(self, *names: str) -> Indices:
        """Rows of the vertices whose dominant bone's name starts with one of `names`."""
        chosen = [i for i, bone in enumerate(self.bones) if bone.startswith(names)]
        return np.flatnonzero(np.isin(self.dominant, chosen))

    def share_along(self, points: Array, start: str, end: str) -> Array:
        """Share of the way from joint `start` (0) to joint `end` (1) at which points (N, 3) at rest are, (N,)."""
        first, last = self.heads[self.index[start]], self.heads[self.index[end]]
        line = last - first
        return np.asarray((points - first) @ line / (line @ line))


def child_age(stature: float) -> float:
    """Find the age slider of a child of this stature, metres: a child's proportions, near the middle of its age."""
    return 1 / 3 + 0.5 * (stature - 1.15)


def load_body(
    *,
    sex: Sex,
    stature: float,
    weight: float = 0.5,
    muscle: float = 0.5,
    proportions: float = 0.5,
    age: float = ADULT,
) -> Body:
    """Load a body whose measured stature is the wanted one.

    Parameters
    ----------
    sex : which end of anny's gender slider.
    stature : wanted stature, metres, in `STATURE_RANGE`; of a body that is not grown, in `CHILD_STATURE_RANGE`.
    weight, muscle, proportions : anny's sliders, 0 to 1; 0.5 is the average.
    age : anny's slider; for a child that of `child_age`.

    Returns
    -------
    Body
        Stature within a millimetre of the wish.

    Raises
    ------
    ValueError
        If the stature is out of range.
    """
    low, high = STATURE_RANGE if age >= ADULT else CHILD_STATURE_RANGE
    if not low <= stature <= high:
        msg = f"A stature of {stature:.2f} m was asked for; {low} to {high} m can be made. Choose within."
        raise ValueError(msg)
    sliders = {"weight": weight, "muscle": muscle, "proportions": proportions, "age": age}
    # Stature is piecewise linear in the slider: two secant steps settle it.
    low, high = 0.2, 0.6
    heights = [_stature(sex, height=h, **sliders) for h in (low, high)]
    slider = low + (stature - heights[0]) * (high - low) / (heights[1] - heights[0])
    for _ in range(3):
        slope = (heights[1] - heights[0]) / (high - low)
        slider += (stature - _stature(sex, height=slider, **sliders)) / slope
    out = _rest(sex, height=slider, **sliders)
    model = _model()
    vertices = out["rest_vertices"][0].numpy().astype(float)
    heads = out["rest_bone_heads"][0].numpy().astype(float)
    tails = out["rest_bone_tails"][0].numpy().astype(float)
    floor = np.array([0.0, 0.0, vertices[:, 2].min()])
    weights = _weights(model, len(vertices))
    return Body(
        sex=sex,
        vertices=vertices - floor,
        faces=model.faces.numpy().astype(np.int64),
        weights=weights,
        dominant=np.asarray(weights.argmax(axis=1), dtype=np.int64).ravel(),
        heads=heads - floor,
        tails=tails - floor,
        parents=np.array([max(p, 0) for p in model.bone_parents], dtype=np.int64),
        bones=tuple(model.bone_labels),
        marks=_marks(),
    )


def start_with(names: np.ndarray, *words: str) -> np.ndarray:
    """Which bone names start with one of the words, bool."""
    return np.any([np.char.startswith(names, word) for word in words], axis=0)


@functools.cache
def _model() -> Any:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import anny

        return anny.create_fullbody_model(triangulate_faces=True)


@functools.cache
def _marks() -> dict[str, Array]:
    from anny.keypoints import KeypointsRegressor

    regressor = KeypointsRegressor.coco(_model())
    rows = regressor.regression_weights.numpy().astype(float)
    return dict(zip(regressor.labels, rows, strict=True))


def _rest(sex: Sex, **sliders: float) -> Any:
    import torch

    values = {"gender": 0.0 if sex == "male" else 1.0, **sliders}
    with torch.no_grad():
        return _model()(phenotype_kwargs={k: torch.tensor([v]) for k, v in values.items()})


def _stature(sex: Sex, **sliders: float) -> float:
    return float(np.ptp(_rest(sex, **sliders)["rest_vertices"][0, :, 2].numpy()))


def _weights(model: Any, count: int) -> sparse.csr_array:
    shares = model.vertex_bone_weights.numpy().astype(float)
    columns = model.vertex_bone_indices.numpy()
    rows = np.repeat(np.arange(count), shares.shape[1])
    table = sparse.coo_array((shares.ravel(), (rows, columns.ravel())), shape=(count, len(model.bone_labels)))
    return sparse.csr_array(table)
