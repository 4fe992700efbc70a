"""The arc that a setup tends to give.

The model: arms and putter turn as one about an axis through the middle of the shoulders, square to the arms. With the
hands straight under the shoulders that axis is level, the swing plane is vertical and the head moves straight back and
through. With the hands farther out the axis tilts, every point moves in a plane that leans by θ, and the head draws an
arc on the ground. With û down along the arms, x̂ along the target line and the head a distance R along û from the axis,
the head is at R (sin φ x̂ + cos φ û) after a swing by φ; from above that is

    along the target line   s = R sin φ
    inside the target line  d = R (1 − cos φ) sin θ
    direction               ψ = atan(tan φ sin θ), where a face square to the arc looks

θ comes from the hand offset alone: shoulders that turn about the line of a tilted trunk swing in a plane that leans
with the tilt, and a shaft that lies flatter than the arms hang adds a lean of its own.

Angles are degrees, lengths centimetres.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from putt_posture.errors import UsageError
from putt_posture.figures import format_given
from putt_posture.fitting.inputs import MEASURE_CORRELATION, USUAL_LIE
from putt_posture.fitting.propagation import spread_inputs
from putt_posture.values import Arc, Estimate, Floats, Pendulum, absent

__all__ = [
    "GEOMETRY_ONLY",
    "USUAL_HALF_STROKE_CM",
    "find_arc",
    "find_arc_depth",
    "find_face_to_target",
    "find_plane_lean",
    "find_radius",
]

USUAL_HALF_STROKE_CM: Final = 25.0
"""How far the head goes back for a putt of some four metres (common practice)."""
HALF_STROKE_RANGE_CM: Final = (1.0, 60.0)
"""From a tap-in to the longest putt, cm."""
GEOMETRY_ONLY: Final = (
    "This is geometry from the setup, not a measured stroke: it says which way the putter head tends to go if nothing "
    "else changes its path, by a model that takes the plane from the hand offset alone."
)
_ONE_PENDULUM: Final = (
    "Arms and putter turn as one about the middle of the shoulders, square to the arms, with the low point at the "
    "ball; a stroke that turns with the trunk or by the wrists draws another arc."
)
_PLANE: Final = (
    "How far the plane leans is taken from the hand offset alone. The tilt of the trunk, about which the shoulders "
    "turn, and the lie of the shaft, which does not continue the line of the arms, also set the plane and are left "
    "out: the arc may be straighter or rounder than this, and the interval does not include that."
)
_FACE: Final = "The face stays square to the arc: held rigidly, it opens going back and closes going through."
_USUAL_LIE: Final = (
    f"The shaft as filmed was not measured, so the usual lie of {format_given(USUAL_LIE.value, 'deg')} was taken for "
    "that setup (common practice)."
)
_POINTS: Final = 101
_LIE_LIMITS_DEG: Final = (30.0, 90.0)
"""Where the spread of a lie is cut, so that no sine comes near 0."""


def find_plane_lean(hand_offset: ArrayLike, shoulder_drop: ArrayLike) -> Floats:
    """Find how far the swing plane leans from the vertical, deg; + with the hands outside the shoulders.

    Parameters
    ----------
    hand_offset : float or array
        Hand centre from the plumb line under the shoulders, cm, + toward the ball.
    shoulder_drop : float or array
        Shoulders above the hand centre, cm.

    Examples
    --------
    >>> round(float(find_plane_lean(10.0, 55.0)), 3)
    10.305
    """
    lean: Floats = np.degrees(np.arctan2(hand_offset, shoulder_drop))
    return lean


def find_radius(hand_offset: ArrayLike, shoulder_drop: ArrayLike, hand_height: ArrayLike, lie: ArrayLike) -> Floats:
    """Find how far the head is from the axis, in the swing plane, cm.

    The arms' reach, plus the shaft below the hands as far as it runs along the arms: reach + h / sin(lie) ·
    sin(lie + θ).

    Parameters
    ----------
    hand_offset : float or array
        Hand centre from the plumb line under the shoulders, cm, + toward the ball.
    shoulder_drop : float or array
        Shoulders above the hand centre, cm.
    hand_height : float or array
        Hand centre above the ground, cm.
    lie : float or array
        Shaft to ground, deg.

    Examples
    --------
    >>> round(float(find_radius(0.0, 60.0, 75.0, 70.0)), 6)  # shoulders straight above hands: their height
    135.0
    """
    lie = np.clip(lie, *_LIE_LIMITS_DEG)
    below = np.asarray(hand_height) / np.sin(np.radians(lie))
    lean = find_plane_lean(hand_offset, shoulder_drop)
    radius: Floats = np.hypot(hand_offset, shoulder_drop) + below * np.sin(np.radians(lie + lean))
    return radius


def find_arc_depth(distance: ArrayLike, radius: ArrayLike, lean: ArrayLike) -> Floats:
    """Find how far inside the target line the head is, cm, at a distance along it from the low point.

    R (1 − cos φ) sin θ with sin φ = distance / R; − is outside, NaN beyond the radius.

    Parameters
    ----------
    distance : float or array
        Along the target line from the low point, cm.
    radius : float or array
        Axis to head in the swing plane, cm.
    lean : float or array
        Swing plane from the vertical, deg, + with the hands outside the shoulders.
    """
    depth: Floats = np.asarray(radius) * (1 - np.cos(_swing(distance, radius))) * np.sin(np.radians(lean))
    return depth


def find_face_to_target(distance: ArrayLike, radius: ArrayLike, lean: ArrayLike) -> Floats:
    """Find where a face square to the arc looks against the target line, deg, + open.

    The distance along the target line is − in the backswing.

    Parameters
    ----------
    distance : float or array
        Along the target line from the low point, cm.
    radius : float or array
        Axis to head in the swing plane, cm.
    lean : float or array
        Swing plane from the vertical, deg, + with the hands outside the shoulders.
    """
    turn: Floats = np.degrees(np.arctan(-np.tan(_swing(distance, radius)) * np.sin(np.radians(lean))))
    return turn


def find_arc(pendulum: Pendulum, *, half_stroke_cm: float = USUAL_HALF_STROKE_CM) -> Arc:
    """Find the arc of a setup, with uncertainties.

    Parameters
    ----------
    pendulum : Pendulum
    half_stroke_cm : float
        How far the head swings to either side, along the target line.

    Returns
    -------
    Arc
        Absent, with the reason, where a part of the pendulum is.

    Raises
    ------
    UsageError
        If no putt has such a stroke.
    """
    low, high = HALF_STROKE_RANGE_CM
    if not low <= half_stroke_cm <= high:
        raise UsageError(
            f"A stroke of {half_stroke_cm:g} cm to either side was given; {low:g} to {high:g} cm is possible; check "
            "the number and its unit."
        )
    parts = {
        "offset": pendulum.hand_offset,
        "drop": pendulum.shoulder_drop,
        "hand_height": pendulum.hand_height,
        "lie": pendulum.lie,
    }
    reason = next((one.absent for one in parts.values() if not one), None)
    if reason is not None:
        return _absent_arc(reason, half_stroke_cm)
    offset, drop, hand_height, lie = (np.array([one.value]) for one in parts.values())
    lean, radius = find_plane_lean(offset, drop), find_radius(offset, drop, hand_height, lie)
    if drop[0] <= 0 or half_stroke_cm >= radius[0]:
        return _absent_arc("The hands are not below the shoulders, so no pendulum hangs from them.", half_stroke_cm)
    spread = spread_inputs(MEASURE_CORRELATION, **parts)
    leans = find_plane_lean(spread["offset"], spread["drop"])
    radii = find_radius(spread["offset"], spread["drop"], spread["hand_height"], spread["lie"])
    radii = np.maximum(radii, 1.5 * half_stroke_cm)
    distance = np.linspace(-half_stroke_cm, half_stroke_cm, _POINTS)
    inside, face = find_arc_depth(distance, radius, lean), find_face_to_target(distance, radius, lean)
    column = distance[:, None]
    inside_sd = _scatter(find_arc_depth(column, radii, leans), inside)
    face_sd = _scatter(find_face_to_target(column, radii, leans), face)
    frames = pendulum.hand_offset.frames
    return Arc(
        lean=_estimate(lean[0], _scatter(leans[None], lean)[0], "deg", frames),
        radius=_estimate(radius[0], _scatter(radii[None], radius)[0], "cm", frames),
        half_stroke_cm=half_stroke_cm,
        depth=_estimate(inside[0], inside_sd[0], "cm", frames),
        face=_estimate(face[0], face_sd[0], "deg", frames),
        distance_cm=distance,
        inside_cm=inside,
        inside_sd_cm=inside_sd,
        face_deg=face,
        face_sd_deg=face_sd,
        assumptions=(GEOMETRY_ONLY, _ONE_PENDULUM, _PLANE, _FACE, *([_USUAL_LIE] if pendulum.lie == USUAL_LIE else [])),
    )


def _swing(distance: ArrayLike, radius: ArrayLike) -> Floats:
    """Return the swing angle φ, radians; NaN where the head cannot swing that far."""
    with np.errstate(invalid="ignore"):
        swing: Floats = np.arcsin(np.asarray(distance, dtype=np.float64) / np.asarray(radius))
    return swing


def _scatter(results: Floats, values: Floats) -> Floats:
    """Return the root mean square distance of the sampled results (N, S) from the values (N,)."""
    scatter: Floats = np.sqrt(np.mean((results - values[:, None]) ** 2, axis=1))
    return scatter


def _estimate(value: float, uncertainty: float, unit: str, frames: int) -> Estimate:
    return Estimate(
        value=float(value),
        standard_uncertainty=float(uncertainty),
        unit=unit,
        view="down_the_line",
        frames=frames,
        method="geometry of the setup",
    )


def _absent_arc(reason: str, half_stroke_cm: float) -> Arc:
    none = np.empty(0)
    return Arc(
        lean=absent(reason, unit="deg"),
        radius=absent(reason, unit="cm"),
        half_stroke_cm=half_stroke_cm,
        depth=absent(reason, unit="cm"),
        face=absent(reason, unit="deg"),
        distance_cm=none,
        inside_cm=none,
        inside_sd_cm=none,
        face_deg=none,
        face_sd_deg=none,
        assumptions=(GEOMETRY_ONLY, _ONE_PENDULUM, _PLANE, _FACE),
    )
