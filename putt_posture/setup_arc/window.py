"""The part of a stroke in which the start line still holes a putt."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from putt_posture.errors import UsageError
from putt_posture.fitting.propagation import spread_inputs
from putt_posture.setup_arc.hole import find_capture_angle
from putt_posture.values import Arc, Floats, Window

__all__ = ["FACE_SHARE", "find_start_line", "find_window"]

FACE_SHARE: Final = 0.85
"""Share of the start line that comes from the direction of the face, the rest from the path of the head: 80 to 90 %
(common practice)."""
_ENDS: Final = (0.025, 0.975)


def find_start_line(face: ArrayLike, path: ArrayLike, *, face_share: float = FACE_SHARE) -> Floats:
    """Find the direction in which the ball starts, deg, from those of face and path against the target line.

    Parameters
    ----------
    face : float or array
        Face against the target line, deg, + open.
    path : float or array
        Path of the head against the target line, deg, the same sign.
    face_share : float
        Share that the face decides, 0 to 1.

    Examples
    --------
    >>> round(float(find_start_line(1.0, 0.0)), 2)
    0.85
    """
    start: Floats = face_share * np.asarray(face) + (1 - face_share) * np.asarray(path)
    return start


def find_window(arc: Arc, *, putt_cm: float, face_turn: float = 1.0, face_share: float = FACE_SHARE) -> Window | None:
    """Find the window of an arc for a putt: how far from its low point the ball could be struck and still be holed.

    At the low point the start line points at the middle of the hole. Along the arc it turns away from it, and the
    window ends where it passes the edge of the hole; see `find_capture_angle`. This is an upper limit, for a ball that
    dies at the hole; it is narrower for every faster one, see `find_capture_share`.

    Parameters
    ----------
    arc : Arc
    putt_cm : float
        Ball to the middle of the hole.
    face_turn : float
        How far the face turns with the arc: 1 stays square to the arc, 0 stays square to the target line. Where it is
        1, face and path agree, and `face_share` does not matter.
    face_share : float
        0 to 1.

    Returns
    -------
    Window or None
        None where the arc is absent.

    Raises
    ------
    UsageError
        If no putt has this length, or a share is outside 0 to 1.

    Notes
    -----
    The start line at φ is k · atan(tan φ sin θ) with k = share · turn + 1 − share, so the window ends at
    φ = atan(tan(capture / k) / sin θ), R φ along the arc from its middle.
    """
    for name, share in (("face_turn", face_turn), ("face_share", face_share)):
        if not 0 <= share <= 1:
            raise UsageError(f"{name} is {share:g}; a share from 0 to 1 is needed.")
    capture = find_capture_angle(putt_cm)
    if not arc:
        return None
    turning = float(find_start_line(face_turn, 1.0, face_share=face_share))

    def find_ends(lean: Floats, radius: Floats) -> tuple[Floats, Floats]:
        """Return how far the stroke and its window reach along the arc, to one side, cm."""
        whole = np.arcsin(np.minimum(arc.half_stroke_cm / radius, 1.0))
        if turning * 90.0 <= capture:
            return radius * whole, radius * whole
        steep = np.abs(np.sin(np.radians(lean)))
        within = np.arctan2(np.tan(np.radians(capture / turning)), steep)
        return radius * whole, radius * np.minimum(within, whole)

    whole, within = find_ends(np.asarray(arc.lean.value), np.asarray(arc.radius.value))
    spread = spread_inputs(lean=arc.lean, radius=arc.radius)
    wholes, withins = find_ends(spread["lean"], np.maximum(spread["radius"], arc.half_stroke_cm))
    low_cm, high_cm = (float(end) for end in np.quantile(2 * withins, _ENDS))
    low, high = (float(end) for end in np.quantile(withins / wholes, _ENDS))
    return Window(
        putt_cm=putt_cm,
        capture_deg=capture,
        length_cm=float(2 * within),
        low_cm=low_cm,
        high_cm=high_cm,
        share=float(within / whole),
        low_share=low,
        high_share=high,
    )
