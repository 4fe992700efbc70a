"""Where somebody's head is in a picture."""

from attrs import frozen

from putt_posture.values.scene import Point

__all__ = ["Head"]


@frozen(kw_only=True)
class Head:
    """A disc that holds a whole head, hair, ears and chin included, with room to spare.

    Attributes
    ----------
    centre_px : Point
        Pixels of the full-size upright picture.
    radius_px : float
        The same pixels.
    """

    centre_px: Point
    radius_px: float
