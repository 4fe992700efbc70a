"""The body's centre of mass from its joints.

Masses and centres: de Leva (1996), *Journal of Biomechanics* 29, 1223-1230, Table 4, in its mid-shoulder to mid-hip
form of the trunk, whose ends a pose model finds.

The head's ends, vertex and mid-gonion, are not pose landmarks. Its centre is taken at the mid-point of the ears: in de
Leva's men it lies 0.5976 × 20.3 cm = 12.1 cm below the vertex, and the ear's tragion lies 13.1 ± 0.6 cm below it (men,
ANSUR II); 1 cm of a head of 7 % of the mass moves the whole centre by less than 0.1 cm. The hand's third knuckle is
taken midway between the knuckles of the index and the little finger.
"""

import functools
from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from putt_posture.body.tables import SegmentMass, load_deleva1996
from putt_posture.values import SEXES, Floats, Sex

__all__ = ["CENTRE_OF_MASS_POINTS", "SEGMENTS", "centre_of_mass", "read_segment_mass"]

SEGMENTS: Final = ("head", "trunk", "upper_arm", "forearm", "hand", "thigh", "shank", "foot")
"""Segments of the table; all but head and trunk are in pairs."""

_PARTS: Final = ("ear", "shoulder", "elbow", "wrist", "pinky", "index", "hip", "knee", "ankle", "heel", "foot_index")

CENTRE_OF_MASS_POINTS: Final = tuple(f"{side}_{part}" for part in _PARTS for side in ("left", "right"))
"""Pose landmarks that `centre_of_mass` needs, named as in `LANDMARK_NAMES`."""

_LIMBS: Final = (
    ("upper_arm", "shoulder", "elbow"),
    ("forearm", "elbow", "wrist"),
    ("hand", "wrist", "knuckle"),
    ("thigh", "hip", "knee"),
    ("shank", "knee", "ankle"),
    ("foot", "heel", "foot_index"),
)


def centre_of_mass(points: Mapping[str, ArrayLike], sex: Sex | None = None) -> Floats:
    """Find the centre of mass of a body from its joints; the club is left out.

    Parameters
    ----------
    points : mapping of str to (..., D)
        Position of every landmark of `CENTRE_OF_MASS_POINTS`, D = 2 or 3, any unit and axes, broadcastable. Other names
        are ignored.
    sex : {"female", "male"}, optional
        Which table; the mean of both without it.

    Returns
    -------
    (..., D)
        Centre of mass in the unit and axes of `points`; NaN where any of the points is NaN.

    Raises
    ------
    KeyError
        If a landmark is missing.
    """
    missing = [name for name in CENTRE_OF_MASS_POINTS if name not in points]
    if missing:
        raise KeyError(f"The centre of mass needs the points {', '.join(missing)}, which are missing.")
    at = {name: np.asarray(points[name], dtype=np.float64) for name in CENTRE_OF_MASS_POINTS}
    for side in ("left", "right"):
        at[f"{side}_knuckle"] = (at[f"{side}_index"] + at[f"{side}_pinky"]) / 2
    middle = {part: (at[f"left_{part}"] + at[f"right_{part}"]) / 2 for part in ("ear", "shoulder", "hip")}

    head, trunk = read_segment_mass("head", sex), read_segment_mass("trunk", sex)
    moment: Floats = head.mass * middle["ear"] + trunk.mass * _along(trunk, middle["shoulder"], middle["hip"])
    mass = head.mass + trunk.mass
    for name, start, end in _LIMBS:
        limb = read_segment_mass(name, sex)
        for side in ("left", "right"):
            moment = moment + limb.mass * _along(limb, at[f"{side}_{start}"], at[f"{side}_{end}"])
            mass += limb.mass
    centre = moment / mass
    unknown = np.isnan(centre).any(axis=-1, keepdims=True)
    return np.where(unknown, np.nan, centre)


@functools.cache
def read_segment_mass(segment: str, sex: Sex | None = None) -> SegmentMass:
    """Read the mass and centre of one segment.

    Parameters
    ----------
    segment : str
        One of `SEGMENTS`.
    sex : {"female", "male"}, optional
        Which table; the mean of both without it.

    Raises
    ------
    KeyError
        If there is no such segment.

    Examples
    --------
    >>> read_segment_mass("trunk", "male").mass
    0.4346
    """
    if segment not in SEGMENTS:
        raise KeyError(f"No segment {segment!r}. Known are: {', '.join(SEGMENTS)}.")
    rows = [load_deleva1996()[segment, one] for one in (SEXES if sex is None else (sex,))]
    return SegmentMass(
        start=rows[0].start,
        end=rows[0].end,
        sides=rows[0].sides,
        mass=sum(row.mass for row in rows) / len(rows),
        centre=sum(row.centre for row in rows) / len(rows),
    )


def _along(segment: SegmentMass, start: Floats, end: Floats) -> Floats:
    return start + segment.centre * (end - start)
