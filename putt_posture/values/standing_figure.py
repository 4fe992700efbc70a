"""A body at address with its putter, from the side, as something to draw."""

from collections.abc import Mapping

from attrs import frozen

__all__ = ["PlanePoint", "StandingFigure"]

PlanePoint = tuple[float, float]
"""y and z in the plane across the target line, cm: toward the ball from the back of the heels, and up."""


@frozen(kw_only=True)
class StandingFigure:
    """Joints and putter of a setup.

    Attributes
    ----------
    joints : mapping of str to PlanePoint
        ``heel``, ``toe`` (of the shoes), ``ankle``, ``knee``, ``hip``, ``shoulder``, ``ear``, ``eye``, ``elbow``,
        ``wrist``, ``hands``.
    butt, sole : PlanePoint
        Ends of the putter: top of the grip, and where the shaft's axis meets the sole.
    ball : PlanePoint
        Centre of the ball.
    back_rounding_deg : float
        As the measure defines it.
    """

    joints: Mapping[str, PlanePoint]
    butt: PlanePoint
    sole: PlanePoint
    ball: PlanePoint
    back_rounding_deg: float
