"""The student as the coach describes them."""

from attrs import frozen

from putt_posture.values.views import Handed, Sex

__all__ = ["Student"]


@frozen(kw_only=True)
class Student:
    """What the coach asks or measures with a tape.

    Attributes
    ----------
    stature_cm : float
        Barefoot height, cm.
    handed : Handed
        Which way the student putts; the lead side is left for "right".
    name : str or None
    sex : Sex or None
        Picks the body table; the mean of both is used where it is not said.
    wrist_floor_cm : float or None
        Height of the wrist crease above the floor, standing barefoot, arms hanging, cm; the fit adds the shoes.
    putter_length_cm : float or None
        The putter in use, from the top of the grip along the shaft's axis to the sole, cm.
    putter_lie_deg : float or None
        Its lie, read off a gauge, deg.
    """

    stature_cm: float
    handed: Handed
    name: str | None = None
    sex: Sex | None = None
    wrist_floor_cm: float | None = None
    putter_length_cm: float | None = None
    putter_lie_deg: float | None = None
