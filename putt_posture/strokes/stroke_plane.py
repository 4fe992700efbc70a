"""The frames of a stroke in the golfer's plane of its setup, and which of them show the address."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve
from numpy.typing import NDArray

from putt_posture.posture.plane import Plane
from putt_posture.values import Estimate, Floats, SeenStroke, StrokeEvent, ViewResult

__all__ = ["joint_offset", "plane_of_stroke", "reference_frames", "steady"]

REFERENCE_S: Final = 0.4
"""The place at address is the mean over at most so long before the start, real seconds: the body sways more slowly."""
_FEWEST: Final = 3
"""Frames that an address must have."""


def plane_of_stroke(seen: SeenStroke, setup: Plane, result: ViewResult) -> Plane:
    """Return the landmarks of every frame in the golfer's plane of the setup, the camera's motion taken out.

    Parameters
    ----------
    seen : SeenStroke
    setup : Plane
        Of the measured setup of the same view: its scale, roll, yaw, depths and the place of the joints.
    result : ViewResult
        What the setup's landmarks and joints were; their difference moves each landmark to its joint.
    """
    offset = joint_offset(result)
    points = steady(seen.points_px, seen.camera_px) + offset
    return evolve(setup, points_px=points, seen_px=points - offset, setup_index=np.zeros(len(points), dtype=np.int64))


def joint_offset(result: ViewResult) -> Floats:
    """Return how far the joint centres of the setup are from its landmarks, (33, 2) px; 0 where that is not known.

    Parameters
    ----------
    result : ViewResult
    """
    apart = result.joints.points_px - result.landmarks.points_px
    known = np.isfinite(apart).any(axis=0)
    return np.asarray(np.where(known, np.nanmedian(np.where(known, apart, 0.0), axis=0), 0.0))


def steady(points_px: Floats, camera_px: Floats) -> Floats:
    """Move points (N, …, 2) of each frame to the pixels of the still by the frames' affine maps (N, 2, 3).

    Parameters
    ----------
    points_px : (N, …, 2)
    camera_px : (N, 2, 3)
    """
    moved = np.einsum("nij,n...j->n...i", camera_px[:, :, :2], points_px)
    return np.asarray(moved + camera_px[:, :, 2].reshape(len(points_px), *[1] * (points_px.ndim - 2), 2))


def reference_frames(seen: SeenStroke, events: Mapping[StrokeEvent, Estimate], stretch: float) -> NDArray[np.bool_]:
    """Return which frames show the address just before the start, (N,).

    Parameters
    ----------
    seen : SeenStroke
    events : mapping of StrokeEvent to Estimate
        Clip times.
    stretch : float
        Clip seconds in a real second.
    """
    start = events["start"]
    low, high = seen.address_s
    if start:
        high = start.value - start.standard_uncertainty
        low = max(min(low, high), high - REFERENCE_S * stretch)
    chosen = (seen.times_s >= low - 1e-9) & (seen.times_s <= high + 1e-9)
    if chosen.sum() < _FEWEST:
        chosen = (seen.times_s >= seen.address_s[0] - 1e-9) & (seen.times_s <= seen.address_s[1] + 1e-9)
    return np.asarray(chosen)
