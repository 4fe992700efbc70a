"""What a change of length does to the feel of the putter head, in swing-weight points.

The scale is a balance: swing weight is the moment of the whole club about a point 14 inches from the top of the grip,
and a point is 50 gram-inches of it (D. Tutelman, "Designing Clubs: Heft", tutelman.com/golf/design/swingwt3.php; 1.75
ounce-inches, from memory, are 49.6). A cut or an extension is made at the top end. The grip keeps its place there, so
what changes is how far the putter head and the shaft are from that point. Lengths in inches, masses in grams.
"""

from typing import Final

from putt_posture.figures import format_length
from putt_posture.units import CM_PER_INCH

__all__ = ["describe_feel", "describe_grip_down", "find_swing_weight_change", "find_weight_to_bring_back"]

FULCRUM_IN: Final = 14.0
"""From the top of the grip to the point that the moment is taken about; see the source above."""
GRAM_INCHES_PER_POINT: Final = 50.0
"""See the source above."""
HEAD_G: Final = 350.0
"""A usual putter head (common practice: 330 to 370 g)."""
SHAFT_G_PER_IN: Final = 3.5
"""A steel putter shaft of 35 in has about 120 g (from memory)."""
_FELT_POINTS: Final = 1.5
"""Few golfers, if any, feel one point; some feel two (the same source)."""
_STEP_G: Final = 5
"""The head's mass is not known to better than a tenth, so neither is what brings the feel back."""


def find_swing_weight_change(length_in: float, change_in: float) -> float:
    """Find by how many points a putter comes to feel heavier (+) or lighter (−) at the head for a change of length.

    Parameters
    ----------
    length_in : float
        Before the change.
    change_in : float
        − is cut, + is extended.

    Examples
    --------
    >>> round(find_swing_weight_change(34.0, -0.5), 1)
    -4.2
    """
    return _find_moment_change(length_in, change_in) / GRAM_INCHES_PER_POINT


def find_weight_to_bring_back(length_in: float, change_in: float) -> float:
    """Find how many grams on (+) or off (−) the putter head bring the swing weight back after a change of length.

    Parameters
    ----------
    length_in : float
        Inches.
    change_in : float
        Inches; + = longer.

    Examples
    --------
    >>> round(find_weight_to_bring_back(34.0, -0.5), 1)
    10.7
    """
    return -_find_moment_change(length_in, change_in) / (length_in + change_in - FULCRUM_IN)


def describe_feel(length_in: float, change_in: float) -> tuple[str, ...]:
    """Say what a change of length does to the feel of the putter head, and the usual remedies.

    Parameters
    ----------
    length_in : float
        Inches.
    change_in : float
        Inches; + = longer.

    Examples
    --------
    >>> describe_feel(33.0, 0.0)
    ('The length stays, and with it the feel of the putter head.',)
    """
    if change_in == 0:
        return ("The length stays, and with it the feel of the putter head.",)
    points = find_swing_weight_change(length_in, change_in)
    if abs(points) < _FELT_POINTS:
        return ("Hardly any golfer feels so small a change of length.",)
    size = format_length(abs(change_in) * CM_PER_INCH)
    grams = _STEP_G * round(abs(find_weight_to_bring_back(length_in, change_in)) / _STEP_G)
    how = (
        f"points {'lighter' if points < 0 else 'heavier'}: the moment about a point {FULCRUM_IN:g} in (35.6 cm) from "
        f"the top of the grip, {GRAM_INCHES_PER_POINT:g} g·in a point, for a usual putter head of {HEAD_G:g} g on a "
        "steel shaft; a heavier one changes by more."
    )
    if points < 0:
        return (
            f"Cut by {size}, the putter head feels about {-points:.0f} swing-weight {how}",
            f"To bring the feel back: about {grams} g on the putter head (lead tape on the sole or in the cavity, or "
            "heavier screw-in weights), or a heavier one; a lighter grip helps too.",
            "Not every student wants it back: let the student putt with it before weight is added.",
        )
    return (
        f"Extended by {size}, the putter head feels about {points:.0f} swing-weight {how}",
        f"To bring the feel back: about {grams} g off the putter head where its weights come out, or a weight in the "
        "butt end or a heavier grip; or a longer shaft and a lighter putter head.",
        "An extension is a plug in the butt end and stiffens the shaft there; beyond an inch a new shaft is the usual "
        "way (common practice).",
    )


def describe_grip_down(length_cm: float, grip_down_cm: float) -> str:
    r"""Say what holding a putter below, or above, the usual place does; empty where it is held in the usual place.

    Parameters
    ----------
    length_cm : float
        Of the putter.
    grip_down_cm : float
        How far below the usual place the hands hold it; − = above.

    Examples
    --------
    >>> describe_grip_down(88.9, 2.54)[:61]
    'Held 1.0\xa0in (2.5\xa0cm) lower, a putter of 35.0\xa0in (88.9\xa0cm) is '
    >>> describe_grip_down(88.9, 0.0)
    ''
    """
    if not grip_down_cm:
        return ""
    used_cm = length_cm - grip_down_cm
    points = find_swing_weight_change(length_cm / CM_PER_INCH, -grip_down_cm / CM_PER_INCH)
    low = grip_down_cm > 0
    feel = (
        f"To these hands the putter head feels about {abs(points):.0f} swing-weight points "
        f"{'lighter' if low else 'heavier'}, as with a putter that is {'cut' if low else 'longer'} by as much"
        if abs(points) >= _FELT_POINTS
        else "So little hardly anybody feels at the putter head"
    )
    above = ", and a little more, since the shaft and grip above the hands weigh against it" if low else ""
    return (
        f"Held {format_length(abs(grip_down_cm))} {'lower' if low else 'higher'}, a putter of "
        f"{format_length(length_cm)} is used as one of {format_length(used_cm)}. {feel}{above}. "
        "The lie that it is built with stays."
    )


def _find_moment_change(length_in: float, change_in: float) -> float:
    """Return by how much the moment about the fulcrum changes, gram-inches."""
    after_in = length_in + change_in
    head = HEAD_G * change_in
    shaft = SHAFT_G_PER_IN * ((after_in**2 - length_in**2) / 2 - FULCRUM_IN * change_in)
    return head + shaft
