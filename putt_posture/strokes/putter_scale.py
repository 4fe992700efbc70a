"""The scale at the putter face on, from the putter's own length.

The scale of a picture is that of the student's mid-plane. Face on the putter is some 40 cm nearer to the camera, and
how much larger it looks there depends on the distance of the camera, which is hardly known. The length of the putter is
known, typed by the coach or from the view down the line, and so is how far it leans toward the camera. What it measures
in the picture face on gives the pixels per cm where it is, and the hands are on it.
"""

import math
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.body import PUTTER_TAPE_SD_CM
from putt_posture.posture.plane import Plane
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.posture.shaft_and_ball import SeenShaft
from putt_posture.values import Segment

__all__ = ["PutterScale", "find_putter_scale"]

_SIDE_SD: Final = 0.03
"""A length down the line where the putter is not in the mid-plane and the camera looks down on it, one sigma, as a
share: rendered golfers, 0.5 to 3.7 % (two of them)."""
_JUDGED_BUTT_SD_CM: Final = 1.5
"""A butt end that was not seen, one sigma, cm (rendered golfers)."""
_ENDS_SD_CM: Final = 0.5
"""Butt and sole in the picture face on, one sigma, cm (rendered golfers, 0.1 to 0.4 cm)."""
_LEANS_SD: Final = 0.03
"""What the depth between the ends does to the scale, one sigma, as a share: a shaft leans toward the camera by a tenth
to a sixth of the camera's distance, and that is taken up to 1.5 times too large (rendered golfers)."""
_LEAST_SHARE: Final = 0.5
"""A shaft that leans so much that less than this of it shows gives no scale."""
_FARTHEST: Final = 0.15
"""A scale that differs by more from that of the mid-plane comes from a shaft that was mistaken, as a share."""


@frozen(kw_only=True)
class PutterScale:
    """How long the putter is in space and where its ends are in the picture face on.

    Attributes
    ----------
    shaft : SeenShaft
        Its ends at address, and how much nearer to the camera than the mid-plane they are.
    across_cm : float
        Length of the shaft as it would look square to the camera's axis, cm: without its lean toward the camera.
    share_sd : float
        One sigma of the scale, as a share.
    """

    shaft: SeenShaft
    across_cm: float
    share_sd: float

    def factor(self, plane: Plane, *, nearer_cm: float = 0.0) -> float:
        """Return by how much the scale at the putter is larger than a plane has it there.

        Parameters
        ----------
        plane : Plane
            Face on.
        nearer_cm : float
            Added to how near to the camera the ends are, cm.
        """
        toward = (self.shaft.toward_cm[0] + nearer_cm, self.shaft.toward_cm[1] + nearer_cm)
        butt, sole = evolve(self.shaft, toward_cm=toward).ends(plane)
        return float(np.linalg.norm(butt - sole)) / self.across_cm

    def at_putter(self, plane: Plane, *, nearer_cm: float = 0.0) -> Plane:
        """Return a plane with the scale that makes the putter as long as it is.

        Parameters
        ----------
        plane : Plane
            Face on.
        nearer_cm : float
            As in `factor`.
        """
        return evolve(plane, px_per_cm=plane.px_per_cm * self.factor(plane, nearer_cm=nearer_cm))


def find_putter_scale(setup: SeenSetup, ends_px: Segment | None) -> PutterScale | None:
    """Find the scale at the putter in the view face on.

    Parameters
    ----------
    setup : SeenSetup
    ends_px : Segment or None
        Butt and sole at the address of the stroke, in the pixels of the still; None where they were not followed.

    Returns
    -------
    PutterScale or None
        None without both views of the shaft, and where it was mistaken in one of them.
    """
    if not (setup.has("face_on") and setup.has("down_the_line")):
        return None
    front, side = setup.scene("face_on"), setup.scene("down_the_line")
    if front.shaft_px is None or side.shaft_px is None:
        return None
    in_front, in_side = setup.shaft("face_on"), setup.shaft("down_the_line")
    butt, sole = in_side.ends(setup.planes["down_the_line"])
    lean = float(abs(butt[0] - sole[0]))
    aslant = in_side.toward_cm[0] - in_side.toward_cm[1]
    length = math.hypot(float(np.linalg.norm(butt - sole)), aslant)
    scale = side.px_per_cm
    butt_sd = side.putter_sd_cm if side.shaft_source == "found" else 0.0
    share_sd = math.hypot(scale.standard_uncertainty / scale.value, _SIDE_SD, butt_sd / max(length, 1.0))
    typed = setup.student.putter_length_cm
    if typed is not None:  # the lean is an angle, which no scale spoils
        lean *= typed / length
        length, share_sd = typed, PUTTER_TAPE_SD_CM / typed
    if lean >= math.sqrt(1 - _LEAST_SHARE**2) * length:
        return None
    across = math.sqrt(length**2 - lean**2)
    hidden = _JUDGED_BUTT_SD_CM if front.butt_source not in ("seen", "given") else 0.0
    found = PutterScale(
        shaft=SeenShaft(ends_px=ends_px or front.shaft_px, toward_cm=in_front.toward_cm),
        across_cm=across,
        share_sd=math.hypot(share_sd, _ENDS_SD_CM / across, hidden / across, _LEANS_SD),
    )
    return found if abs(found.factor(setup.planes["face_on"]) - 1) <= _FARTHEST else None
