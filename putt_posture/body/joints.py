"""Lengths between joint centres for a stature.

The lengths are those between bony landmarks of ANSUR II (standing soldiers of both sexes, so their spread is known),
carried over to joint centres by the offsets named below. The length ratios of de Leva's men and the stature fractions
of Drillis and Contini (1966) are not used: the tests compare these lengths with them. They differ by up to 5 %, because
the first were measured along the segments of a tall, young sample and the second run between skin landmarks;
`MODEL_SHARE` and the offsets' sigmas stand for that difference.
"""

import math
from collections.abc import Mapping
from typing import Final

from attrs import frozen

from putt_posture.body.anthropometry import predict
from putt_posture.values import Estimate, Sex

__all__ = ["JOINT_LENGTHS", "predict_joint_length"]

SHOULDER_BELOW_ACROMION: Final = 0.104
"""Shoulder joint below the acromion, share of acromion–radiale length: de Leva (1996), Joint center longitudinal
positions computed from a selected subset of Chandler's data, *Journal of Biomechanics* 29, 1231-1233 (from memory)."""

SHOULDER_INSET_CM: Final = 2.3
"""Shoulder joint inside the acromion, each side, cm: judged from the size of the humeral head."""

ELBOW_ABOVE_RADIALE_CM: Final = 0.8
"""Elbow joint above the top of the radius, cm: the axis runs through the epicondyles (judged)."""

HIP_ABOVE_TROCHANTERION_CM: Final = 1.0
"""Hip joint above the trochanterion, cm: the tip of the trochanter is level with the femoral head's centre (orthopaedic
rule of thumb, from memory), and a landmark felt through the skin sits lower."""

HIP_SHARE_OF_CRISTAL: Final = 0.62
"""Distance between the hip joints, share of bicristal breadth: some 17 cm in an adult (from memory) of 27.4 cm."""

KNUCKLE_SHARE_OF_HAND: Final = 0.4586
"""Wrist joint to third knuckle, share of hand length. De Leva (1996) gives the same centre of mass of the hand as
0.7900 of wrist–knuckle and 0.3624 of wrist–fingertip (men), 0.7474 and 0.3427 (women); the quotients are 0.4587 and
0.4585."""

HAND_CENTRE_SHARE: Final = 2 / 3
"""Wrist joint to hand centre, share of wrist–knuckle: the hand centre is the mean of one wrist and two knuckles."""

OFFSET_SD_CM: Final = 1.0
"""One sigma of each of the offsets above in a person, cm (judged)."""

MODEL_SHARE: Final = 0.02
"""One sigma of the difference between landmarks of a standing person and joints of a moving one, share of the length:
half of the usual difference between the three tables."""


@frozen(kw_only=True)
class _Recipe:
    """A joint length as a sum of dimensions plus an offset, cm."""

    terms: Mapping[str, float]
    offset_cm: float = 0.0
    offsets: int = 0


_RECIPES: Final[Mapping[str, _Recipe]] = {
    "shoulder_height": _Recipe(terms={"acromial_height": 1, "acromion_radiale": -SHOULDER_BELOW_ACROMION}, offsets=1),
    "hip_height": _Recipe(terms={"trochanterion_height": 1}, offset_cm=HIP_ABOVE_TROCHANTERION_CM, offsets=1),
    "knee_height": _Recipe(terms={"knee_height": 1}, offsets=1),
    "ankle_height": _Recipe(terms={"malleolus_height": 1}),
    "trunk": _Recipe(
        terms={"acromion_to_trochanterion": 1, "acromion_radiale": -SHOULDER_BELOW_ACROMION},
        offset_cm=-HIP_ABOVE_TROCHANTERION_CM,
        offsets=2,
    ),
    "thigh": _Recipe(terms={"trochanterion_to_knee": 1}, offset_cm=HIP_ABOVE_TROCHANTERION_CM, offsets=1),
    "shank": _Recipe(terms={"knee_to_malleolus": 1}),
    "leg": _Recipe(terms={"trochanterion_to_malleolus": 1}, offset_cm=HIP_ABOVE_TROCHANTERION_CM, offsets=1),
    "foot": _Recipe(terms={"foot_length": 1}),
    "upper_arm": _Recipe(
        terms={"acromion_radiale": 1 - SHOULDER_BELOW_ACROMION}, offset_cm=-ELBOW_ABOVE_RADIALE_CM, offsets=1
    ),
    "forearm": _Recipe(terms={"radiale_stylion": 1}, offset_cm=ELBOW_ABOVE_RADIALE_CM, offsets=1),
    "arm": _Recipe(terms={"acromion_to_stylion": 1, "acromion_radiale": -SHOULDER_BELOW_ACROMION}, offsets=1),
    "wrist_to_grip": _Recipe(terms={"wrist_to_grip_centre": 1}),
    "wrist_to_knuckle": _Recipe(terms={"hand_length": KNUCKLE_SHARE_OF_HAND}),
    "wrist_to_hand_centre": _Recipe(terms={"hand_length": KNUCKLE_SHARE_OF_HAND * HAND_CENTRE_SHARE}),
    "shoulder_width": _Recipe(terms={"biacromial_breadth": 1}, offset_cm=-2 * SHOULDER_INSET_CM, offsets=2),
    "hip_width": _Recipe(terms={"bicristal_breadth": HIP_SHARE_OF_CRISTAL}, offsets=1),
}

JOINT_LENGTHS: Final[tuple[str, ...]] = tuple(_RECIPES)
"""Names that `predict_joint_length` knows. ``…_height`` is above the ground, barefoot, standing; ``trunk`` runs from
mid-hip to mid-shoulder, ``leg`` from hip to ankle, ``arm`` from shoulder to wrist, ``foot`` from heel to toe tip,
``wrist_to_grip`` to the axis of a gripped bar, ``wrist_to_hand_centre`` to the mean of wrist and knuckles;
``shoulder_width`` and ``hip_width`` lie between the left and the right joint."""


def predict_joint_length(
    length: str, stature_cm: float, sex: Sex | None = None, *, wrist_floor_cm: float | None = None
) -> Estimate:
    """Predict a length between joint centres.

    Parameters
    ----------
    length : str
        One of `JOINT_LENGTHS`.
    stature_cm : float
        Barefoot height, cm.
    sex : {"female", "male"}, optional
        Which table; an even mixture of both without it.
    wrist_floor_cm : float, optional
        Standing height of the wrist crease, barefoot, cm; makes the arm, the trunk and the shoulder's height more
        certain.

    Returns
    -------
    Estimate
        cm; the standard uncertainty adds in quadrature how people differ, how well the joints are placed under the
        landmarks, and `MODEL_SHARE` of the length.

    Raises
    ------
    KeyError
        If the length is not in the table.

    Examples
    --------
    >>> trunk = predict_joint_length("trunk", 176.0, "male")
    >>> round(trunk.value, 1), round(trunk.standard_uncertainty, 1)
    (49.6, 3.2)
    """
    if length not in _RECIPES:
        raise KeyError(f"No joint length {length!r}. Known are: {', '.join(JOINT_LENGTHS)}.")
    recipe = _RECIPES[length]
    parts = [
        (share, predict(dimension, stature_cm, sex, wrist_floor_cm=wrist_floor_cm))
        for dimension, share in recipe.terms.items()
    ]
    value = recipe.offset_cm + sum(share * part.value for share, part in parts)
    people = math.hypot(*(share * part.standard_uncertainty for share, part in parts))
    joints = OFFSET_SD_CM * math.sqrt(recipe.offsets)
    return Estimate(
        value=value,
        standard_uncertainty=math.hypot(people, joints, MODEL_SHARE * value),
        unit="cm",
        method=f"joint centres by {parts[0][1].method}",
    )
