"""What a clip down the line tells of the lengths of a student's body."""

import math
from typing import Final

import numpy as np

from putt_posture.fitting.body_model import ClipLengths, curl_trunk
from putt_posture.posture.depth import beside_midline_cm
from putt_posture.posture.plane import near_side, place_in_plane
from putt_posture.values import Estimate, Posture, Student, ViewResult, median_seen

__all__ = ["find_clip_lengths"]

LANDMARK_SD_CM: Final = 2.0
"""What landmarks miss of a length between two joints, one sigma (judged: 1.4 cm at either end)."""

CURL_SD: Final = 0.02
"""How well the shortening of a rounded back is known, share of the trunk (rendered golfers)."""

_OWN_SCALE: Final = ("object", "putter")
"""Scales that do not rest on the body tables; with any other a length from the clip would only give the table back."""


def find_clip_lengths(side: ViewResult, posture: Posture, student: Student) -> ClipLengths | None:
    """Find the lengths of legs, trunk and neck that a scaled clip shows.

    Parameters
    ----------
    side : ViewResult
        Down the line. Arms come toward that camera and are left out.
    posture : Posture
        For the rounding of the back.
    student : Student

    Returns
    -------
    ClipLengths or None
        None where the scale rests on the stature, so that nothing new can be learnt.
    """
    scene = side.scene
    if scene.scale_source not in _OWN_SCALE or not scene.px_per_cm:
        return None
    near = near_side(scene)
    beside = beside_midline_cm(student.stature_cm, near=near)
    plane = place_in_plane(side, toward_cm=beside)
    hip, shoulder = plane.middle("hip"), plane.middle("shoulder")
    spans = {
        "shank": plane.at(f"{near}_knee") - plane.at(f"{near}_ankle"),
        "thigh": plane.at(f"{near}_hip") - plane.at(f"{near}_knee"),
        "neck": plane.middle("ear") - shoulder,
    }
    rounding = posture["back_rounding"]
    if rounding:
        spans["trunk"] = (shoulder - hip) / float(curl_trunk(max(rounding.value, 0.0)))
    found = {name: median_seen(np.linalg.norm(span, axis=1)) for name, span in spans.items()}
    frames = len(side.joints.times_s)
    return ClipLengths(
        lengths={
            name: Estimate(
                value=value,
                standard_uncertainty=math.hypot(LANDMARK_SD_CM, CURL_SD * value if name == "trunk" else 0.0),
                unit="cm",
                view="down_the_line",
                frames=frames,
                method="between the joints of the clip",
            )
            for name, value in found.items()
            if math.isfinite(value)
        },
        scale_sd=scene.px_per_cm.standard_uncertainty / scene.px_per_cm.value,
    )
