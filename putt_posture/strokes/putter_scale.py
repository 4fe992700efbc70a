"""The scale at putter and hands face on, from the ball and from the putter's own length.

The scale of a picture is that of the student's mid-plane. Face on ball and putter are some 40 cm nearer to the camera,
and how much larger they look there depends on the distance of the camera, which is hardly known. But a ball has a known
size and lies beside the putter head. The length of the putter is known where the coach typed it; where no ball was
found, it is taken from the view down the line. So is how far the putter leans toward the camera. Scale and distance are
taken so that ball, putter and student are together as large as they are. The hands have a scale between the two.
"""

import math
from typing import Final

import numpy as np
from attrs import evolve, field, frozen
from scipy.optimize import least_squares

from putt_posture.body import BALL_CM, PUTTER_TAPE_SD_CM
from putt_posture.posture.plane import Plane
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.posture.shaft_and_ball import SeenShaft
from putt_posture.values import Floats, Segment

__all__ = ["PutterScale", "find_putter_scale"]

_SIDE_SD: Final = 0.03
"""A length down the line where the putter is not in the mid-plane and the camera looks down on it, one sigma, as a
share: rendered golfers, 0.5 to 4 % (six of them)."""
_JUDGED_BUTT_SD_CM: Final = 1.5
"""A butt end that was not seen, one sigma, cm (rendered golfers)."""
_ENDS_SD_CM: Final = 0.5
"""Butt and sole in the picture face on, one sigma, cm (rendered golfers, 0.1 to 0.4 cm)."""
_LEAST_SHARE: Final = 0.5
"""A shaft that leans so much that less than this of it shows gives no scale."""
_BALL_SD: Final = 0.02
_RIM_SD_PX: Final = 0.5
"""The diameter of a ball face on, one sigma, as a share, and px on top: its rim in the light and the make of the ball
(judged; six rendered balls 22 to 32 px wide were seen 0.6 % too small on average, 1.6 % at most)."""
_FARTHEST: Final = 3.0
"""What contradicts the student's own scale by more standard uncertainties than this was mistaken for a ball or a
putter."""
_NEAREST_CM, _FARTHEST_CM = 150.0, 1500.0
"""From where a phone can film a stroke."""


@frozen(kw_only=True)
class PutterScale:
    """The scale of a picture face on and the distance of its camera, as ball and putter show them.

    Attributes
    ----------
    scale, distance : float
        By how much they are larger than those of the plane of the setup, as ratios.
    ahead_cm : float
        How much nearer to the camera than the mid-plane the ball is, or the sole where no ball was seen.
    roots : (2, 2)
        What one sigma of each of two independent causes does to the logarithms of scale and distance, by columns: the
        size of things at the ball, and how it falls from there to the mid-plane.
    method : str
        One short phrase.
    """

    scale: float
    distance: float
    ahead_cm: float
    roots: Floats = field(repr=False)
    method: str

    def at_putter(self, plane: Plane, *, nearer_cm: float = 0.0, cause: int | None = None) -> Plane:
        """Return a plane with this scale and distance.

        Parameters
        ----------
        plane : Plane
            Face on, with scale and distance of the setup, or as changed by what is unsure of it.
        nearer_cm : float
            Added to how near to the camera everything is, cm: the ball is as large as it looks there too.
        cause : int, optional
            Which of the two causes is off by one sigma; by default neither.
        """
        scale, distance = math.log(self.scale), math.log(self.distance)
        if cause is not None:
            scale, distance = scale + float(self.roots[0, cause]), distance + float(self.roots[1, cause])
        away = plane.distance_cm * math.exp(distance) * (self.ahead_cm + nearer_cm) / self.ahead_cm
        return evolve(plane, px_per_cm=plane.px_per_cm * math.exp(scale), distance_cm=max(away, _NEAREST_CM / 2))


@frozen(kw_only=True)
class _Putter:
    """How long the putter is in space, and where its ends are in the picture face on."""

    shaft: SeenShaft
    across_cm: float
    share_sd: float

    def too_long(self, plane: Plane) -> float:
        """Return by how much the putter is longer in a plane than it is, as a logarithm."""
        butt, sole = self.shaft.ends(plane)
        return math.log(float(np.linalg.norm(butt - sole)) / self.across_cm)


def find_putter_scale(setup: SeenSetup, ends_px: Segment | None, *, with_side: bool = True) -> PutterScale | None:
    """Find the scale at putter and hands in the view face on.

    Parameters
    ----------
    setup : SeenSetup
    ends_px : Segment or None
        Butt and sole at the address of the stroke, in the pixels of the still; None where they were not followed.
    with_side : bool
        Whether the setup down the line shows the address, so that it tells the length of the putter.

    Returns
    -------
    PutterScale or None
        None where neither a ball nor a putter of known length was seen.
    """
    if not setup.has("face_on"):
        return None
    plane, scene = setup.planes["face_on"], setup.scene("face_on")
    if scene.distance_cm.standard_uncertainty <= 0 or not math.isfinite(plane.distance_cm):
        return None
    putter = _see_putter(setup, ends_px) if with_side else None
    ball = _see_ball(setup)
    ahead_cm = setup.ball("face_on").toward_cm if ball else putter.shaft.toward_cm[1] if putter else 0.0
    if ahead_cm < 1.0:
        return None
    scale_sd = scene.px_per_cm.standard_uncertainty / scene.px_per_cm.value
    distance_sd = scene.distance_cm.standard_uncertainty / scene.distance_cm.value

    def ball_off(at: Plane) -> float:
        assert ball is not None
        looks = ball[0] * (1 - ahead_cm / at.distance_cm) / at.px_per_cm
        return math.log(looks / BALL_CM)

    # By how much the distance alone may change the size at the ball.
    depth_sd = distance_sd * ahead_cm / (plane.distance_cm - ahead_cm)
    if ball and abs(ball_off(plane)) > _FARTHEST * math.hypot(scale_sd, depth_sd, ball[1]):
        ball = None
    if putter and abs(putter.too_long(plane)) > _FARTHEST * math.hypot(scale_sd, depth_sd, putter.share_sd):
        putter = None
    if not ball and not putter:
        return None
    if ball and setup.student.putter_length_cm is None:
        putter = None  # its length comes from the same height of the student as the scale: it would count twice

    def placed(guess: Floats) -> Plane:
        scale, distance = float(guess[0]), float(guess[1])
        return evolve(
            plane, px_per_cm=plane.px_per_cm * math.exp(scale), distance_cm=plane.distance_cm * math.exp(distance)
        )

    def residuals(guess: Floats) -> Floats:
        at = placed(guess)
        off = [float(guess[0]) / scale_sd, float(guess[1]) / distance_sd]
        if ball:
            off.append(ball_off(at) / ball[1])
        if putter:
            off.append(putter.too_long(at) / putter.share_sd)
        return np.array(off)

    ends = np.log(np.array([_NEAREST_CM, _FARTHEST_CM]) / plane.distance_cm)
    start = float(np.clip(0.0, ends[0] + 0.01, ends[1] - 0.01))
    found = least_squares(residuals, [0.0, start], bounds=([-1.0, ends[0]], [1.0, ends[1]]))
    jacobian = np.asarray(found.jac)
    covariance: Floats = np.linalg.inv(jacobian.T @ jacobian)
    # The logarithm of the size at the ball: the scale, and what nearness adds.
    nearness = -ahead_cm / max(placed(found.x).distance_cm - ahead_cm, 1.0)
    at_ball = np.array([1.0, nearness])
    first_sd = math.sqrt(float(at_ball @ covariance @ at_ball))
    first = covariance @ at_ball / first_sd
    rest = covariance - np.outer(first, first)
    second = np.sqrt(np.maximum(np.diag(rest), 0.0)) * np.array([1.0, np.sign(rest[0, 1]) or 1.0])
    known = [word for word, used in (("ball", ball), ("putter", putter)) if used]
    return PutterScale(
        scale=math.exp(float(found.x[0])),
        distance=math.exp(float(found.x[1])),
        ahead_cm=ahead_cm,
        roots=np.stack([first, second], axis=1),
        method=f"size of the {' and the '.join(known)}",
    )


def _see_ball(setup: SeenSetup) -> tuple[float, float] | None:
    """Return the diameter of the ball in the still face on, px, and one sigma as a share; None without one."""
    finds = setup.results["face_on"].finds
    if finds is None or not finds.ball or not math.isfinite(finds.ball.diameter_px):
        return None
    if finds.ball.centre_px != setup.scene("face_on").ball_px:
        return None
    diameter = finds.ball.diameter_px
    return diameter, math.hypot(_BALL_SD, _RIM_SD_PX * max(finds.resolution_px, 1.0) / diameter)


def _see_putter(setup: SeenSetup, ends_px: Segment | None) -> _Putter | None:
    """Return the putter as both views show it; None without both."""
    if not setup.has("down_the_line"):
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
    return _Putter(
        shaft=SeenShaft(ends_px=ends_px or front.shaft_px, toward_cm=in_front.toward_cm),
        across_cm=across,
        share_sd=math.hypot(share_sd, _ENDS_SD_CM / across, hidden / across),
    )
