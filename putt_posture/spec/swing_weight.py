"""What a change of length does to the feel of the head, in swing-weight points."""

from typing import Final

__all__ = ["GRAMS_PER_POINT", "POINTS_PER_INCH", "describe_feel", "find_swing_weight_change"]

POINTS_PER_INCH: Final = 6.0
"""About three points for half an inch (common practice). The scale is the moment about a point 14 inches below the top
of the grip, so a heavy head changes by more."""

GRAMS_PER_POINT: Final = 2.0
"""About two grams at the head make a point (common practice)."""

_FELT_POINTS: Final = 1.5
"""Less than a quarter of an inch: hardly anybody feels it (judged)."""


def find_swing_weight_change(length_change_in: float) -> float:
    """Find by how many points the head comes to feel heavier (+) or lighter (−) for a change of length.

    Examples
    --------
    >>> find_swing_weight_change(-0.5)
    -3.0
    """
    return POINTS_PER_INCH * length_change_in


def describe_feel(length_change_in: float) -> tuple[str, ...]:
    """Say what a change of length does to the feel of the head, and the usual remedies.

    Examples
    --------
    >>> describe_feel(0.0)
    ('The length stays, and with it the feel of the head.',)
    """
    points = find_swing_weight_change(length_change_in)
    if abs(points) < _FELT_POINTS:
        return ("The length stays, and with it the feel of the head.",)
    grams = GRAMS_PER_POINT * abs(points)
    if points < 0:
        return (
            f"Cut by {-length_change_in:g} in, the head feels about {-points:.0f} swing-weight points lighter (common "
            "practice: three for half an inch; more with a heavy head).",
            f"To bring the feel back: about {grams:.0f} g on the head (lead tape on the sole or in the cavity, or "
            "heavier screw-in weights; about two grams a point), or a heavier head; a lighter grip helps too.",
            "Not everybody wants it back: let the student putt with it before weight is added.",
        )
    return (
        f"Extended by {length_change_in:g} in, the head feels about {points:.0f} swing-weight points heavier (common "
        "practice: three for half an inch; more with a heavy head).",
        f"To bring the feel back: about {grams:.0f} g off the head where its weights come out, or a weight in the butt "
        "end or a heavier grip; or a longer shaft and a lighter head.",
        "An extension is a plug in the butt end and stiffens the shaft there; beyond an inch a new shaft is the usual "
        "way (common practice).",
    )
