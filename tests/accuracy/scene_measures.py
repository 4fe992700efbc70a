"""What the scene of a view says of scale and camera, set beside the truth: many errors of the measures start there."""

from collections.abc import Mapping
from typing import Final

from attrs import evolve
from shots import Shot

from putt_posture.values import Estimate, Scene, View

__all__ = ["OF_THE_SCENE", "read_scene_measures", "true_scene_measures"]

OF_THE_SCENE: Final[Mapping[str, str]] = {"scale": "%", "roll": "deg", "yaw": "deg", "distance": "%"}
"""Unit of each; scale (pixels per centimetre) and distance are in per cent of the truth."""


def read_scene_measures(scene: Scene, shot: Shot) -> dict[str, Estimate]:
    """Return what was found in one view, in the units of `OF_THE_SCENE`."""
    about = shot.truth["views"][scene.view]
    return {
        "scale": _in_percent(scene.px_per_cm, about["px_per_cm"]),
        "roll": scene.roll,
        "yaw": scene.yaw,
        "distance": _in_percent(scene.distance_cm, 100 * about["camera"]["distance_m"]),
    }


def true_scene_measures(shot: Shot, view: View) -> dict[str, float]:
    """Return the same from the truth.

    The truth's roll is that of the camera, whose content turns the other way; the scene's is that of the content.
    """
    camera = shot.truth["views"][view]["camera"]
    return {
        "scale": 100.0,
        "roll": -float(camera["roll_deg"]),
        "yaw": float(camera["yaw_deg"]),
        "distance": 100.0,
    }


def _in_percent(estimate: Estimate, whole: float) -> Estimate:
    part = 100 / whole
    return evolve(
        estimate, value=part * estimate.value, standard_uncertainty=part * estimate.standard_uncertainty, unit="%"
    )
