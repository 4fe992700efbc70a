"""One person as the pose model sees them in one picture.

Points are pixels of that picture, origin top left, u right, v down; left and right are the person's own.
"""

import numpy as np
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from putt_posture.values import LANDMARK_INDEX, Floats

__all__ = ["Person"]


_SHOULDERS = [LANDMARK_INDEX["left_shoulder"], LANDMARK_INDEX["right_shoulder"]]
_HIPS = [LANDMARK_INDEX["left_hip"], LANDMARK_INDEX["right_hip"]]


@frozen(kw_only=True, eq=False)
class Person:
    """Landmarks of one person in one picture.

    Attributes
    ----------
    points_px : (33, 2)
        Landmarks in pixels of the picture; they may lie outside it.
    visibility : (33,)
        0 to 1 as the model gives it. It is not accuracy.
    depth : (33,)
        The model's guess of depth relative to the hips, pixels, smaller is nearer.
    mask : (h, w) uint8 or None
        How surely each pixel of the picture belongs to the person, 0 to 255; None where no outline was asked.
    """

    points_px: Floats
    visibility: Floats
    depth: Floats
    mask: NDArray[np.uint8] | None = field(default=None, repr=False)

    @property
    def torso(self) -> Floats:
        """Mid-point of the shoulders, then of the hips, (2, 2) pixels."""
        return np.stack([self.points_px[_SHOULDERS].mean(axis=0), self.points_px[_HIPS].mean(axis=0)])

    @property
    def torso_length(self) -> float:
        """Distance between the mid-points of shoulders and hips in the picture, pixels."""
        shoulders, hips = self.torso
        return float(np.hypot(*(shoulders - hips)))

    @property
    def box(self) -> tuple[float, float, float, float]:
        """u0, v0, u1, v1 around all landmarks, pixels."""
        (u0, v0), (u1, v1) = self.points_px.min(axis=0), self.points_px.max(axis=0)
        return float(u0), float(v0), float(u1), float(v1)

    def moved(self, *, scale: float = 1.0, shift: tuple[float, float] = (0.0, 0.0)) -> "Person":
        """Return the person in the pixels of another picture: first enlarged by `scale`, then shifted.

        The mask stays as it is.
        """
        return evolve(self, points_px=self.points_px * scale + np.asarray(shift, dtype=float), depth=self.depth * scale)
