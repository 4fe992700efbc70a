"""The lengths of a student's body: the tables as prior, the tape and the clips as data."""

import math
from collections.abc import Mapping
from typing import Final

from attrs import evolve, field, frozen

from putt_posture.body import predict, predict_joint_length
from putt_posture.body.anthropometry import TAPE_SD_CM
from putt_posture.body.joints import (
    ELBOW_ABOVE_RADIALE_CM,
    HIP_ABOVE_TROCHANTERION_CM,
    OFFSET_SD_CM,
    SHOULDER_BELOW_ACROMION,
)
from putt_posture.fitting.body_model.gaussian import Gaussian
from putt_posture.fitting.body_model.stature_tables import predict_heights
from putt_posture.posture.trunk_shape import shape_trunk
from putt_posture.values import Estimate, Student

__all__ = [
    "CLIP_LENGTHS",
    "LENGTHS",
    "MOST_WRIST_SD",
    "ClipLengths",
    "find_beyond_belief",
    "find_lengths",
    "find_upright_hand_height",
    "find_wrist_departure",
]

CLIP_LENGTHS: Final = ("shank", "thigh", "trunk", "neck", "upper_arm", "forearm")
"""Links of the body that a clip may measure: ankle to knee, knee to hip, mid-hip to mid-shoulder with a flat back,
mid-shoulder to mid-ear, shoulder to elbow, elbow to wrist."""


@frozen(kw_only=True)
class ClipLengths:
    """Measured lengths with the uncertainty of their scale.

    Attributes
    ----------
    lengths : mapping of str to Estimate
        Names of `CLIP_LENGTHS`, cm; the standard uncertainty leaves out the scale. Absent ones are ignored.
    scale_sd : float
        One sigma of the scale, relative: it makes all lengths too long or too short together.
    """

    lengths: Mapping[str, Estimate] = field(factory=dict)
    scale_sd: float = 0.0


LENGTHS: Final = ("ankle", "shank", "thigh", "trunk", "neck", "upper_arm", "forearm")
"""Links of the chain, cm: ground to ankle joint (barefoot), ankle to knee, knee to hip, mid-hip to mid-shoulder, mid-
shoulder to mid-ear, shoulder to elbow, elbow to wrist."""
MOST_WRIST_SD: Final = 2.5
"""How many standard deviations a wrist height may be off for its stature and still count in full (judged: one person in
a hundred is farther off; a wrong height, taken in shoes or at another crease, more often is)."""
CLOSURE_SD_CM: Final = 1.0
"""Difference between shoulder height less arm and wrist height, one sigma, cm: in the means of ANSUR II (2012) it is
1.0 (men) and 1.2 (women), since the arm is measured and hangs in different postures."""
JOINT_SD_CM: Final = 0.8
"""Distance between a joint in motion and its place by the landmarks of a standing person, one sigma, cm: 2 % of a link
of 40 cm, half of the usual difference between published tables."""
EAR_TO_EYE: Final = Estimate(value=8.5, standard_uncertainty=0.8, unit="cm", method="judged from the head's length")
"""Tragion to the eye's centre seen from the side; heads are 20 ± 0.7 cm long (ANSUR II 2012, men)."""
NECK_SLANT: Final = 1.02
"""Length of the line from mid-shoulder to ear over its height: in an upright person it leans some 11° forward
(judged)."""
SHRUG_SD_CM: Final = 1.8
"""How far the shoulder joints slide under the head from one posture to another, one sigma, cm: the variation of the
line from them to the ears in 40 rendered golfers (accuracy study), beyond how people differ."""
_SHARES: Final[Mapping[str, Mapping[str, float]]] = {
    "ankle": {"malleolus_height": 1},
    "shank": {"knee_height": 1, "malleolus_height": -1, "knee": 1},
    "thigh": {"trochanterion_height": 1, "knee_height": -1, "hip": 1, "knee": -1},
    "trunk": {
        "acromial_height": 1, "acromion_radiale": -SHOULDER_BELOW_ACROMION, "trochanterion_height": -1, "hip": -1,
        "shoulder": -1,
    },
    "neck": {
        "acromial_height": -NECK_SLANT, "acromion_radiale": NECK_SLANT * SHOULDER_BELOW_ACROMION,
        "tragion_to_vertex": -NECK_SLANT, "shoulder": NECK_SLANT, "shrug": 1,
    },
    "upper_arm": {"acromion_radiale": 1 - SHOULDER_BELOW_ACROMION, "shoulder": -1, "elbow": -1},
    "forearm": {"radiale_stylion": 1, "elbow": 1},
}  # fmt: skip
"""Each link as a sum of landmark heights and of offsets of joints from their landmarks; an offset makes one link
shorter and its neighbour longer."""
_WRIST: Final[Mapping[str, float]] = {"wrist_height": 1}
_CLOSURE: Final[Mapping[str, float]] = {
    "acromial_height": 1, "acromion_radiale": -1, "radiale_stylion": -1, "wrist_height": -1,
}  # fmt: skip
ELBOW_STATION: Final = 0.4
"""Where along the trunk the elbows rest; without a picture the trunk is taken as equally deep everywhere."""


def find_lengths(student: Student, *, measured: ClipLengths | None = None) -> Gaussian:
    """Estimate the lengths of a student's body with their correlations, barefoot, cm.

    Parameters
    ----------
    student : Student
        Stature, sex where it was said, and the wrist height where it was measured.
    measured : ClipLengths, optional
        From scaled clips. A wrong scale makes all of them wrong together, so they also say something about the scale.

    Returns
    -------
    Gaussian
        `LENGTHS`, and: ``ear_to_eye``; ``hand``, wrist to hand centre; ``half_shoulders``, mid-line to shoulder joint;
        ``half_ribs``, mid-line to the side of the ribs; ``ribs``, from the line hip–shoulder to the front of the ribs;
        ``foot``, heel to toe tip.

    Raises
    ------
    KeyError
        If a measured length has another name.
    """
    heights = _find_heights(student)
    wrist = student.wrist_floor_cm
    if wrist is not None:
        measured_wrist = _cm(wrist, TAPE_SD_CM)
        departure = heights.depart(_WRIST, measured_wrist)
        heights = heights.join(_WRIST, measured_wrist, most=MOST_WRIST_SD)
        wrist -= find_beyond_belief(departure)
    elbow_up = {"upper_arm": -ELBOW_ABOVE_RADIALE_CM, "forearm": ELBOW_ABOVE_RADIALE_CM}
    hip_up = {"thigh": HIP_ABOVE_TROCHANTERION_CM, "trunk": -HIP_ABOVE_TROCHANTERION_CM}
    links = heights.combine(_SHARES, {**elbow_up, **hip_up, "neck": NECK_SLANT * student.stature_cm})
    lengths = links.extend(_others(evolve(student, wrist_floor_cm=wrist)))
    return lengths if measured is None else _join_clips(lengths, measured)


def find_wrist_departure(student: Student) -> Estimate | None:
    """Find by how much a measured wrist height is above the expected one for the stature, cm; None without one.

    Parameters
    ----------
    student : Student
    """
    if student.wrist_floor_cm is None:
        return None
    return _find_heights(student).depart(_WRIST, _cm(student.wrist_floor_cm, TAPE_SD_CM))


def find_beyond_belief(departure: Estimate) -> float:
    """Find the part of a wrist height's departure, with its sign, that does not count in full, cm.

    Parameters
    ----------
    departure : Estimate
        As `find_wrist_departure` returns it, cm.
    """
    beyond = max(abs(departure.value) - MOST_WRIST_SD * departure.standard_uncertainty, 0.0)
    return math.copysign(beyond, departure.value)


def find_upright_hand_height(lengths: Gaussian) -> Estimate:
    """Find how high the wrists of the model hang when it stands upright, barefoot, cm.

    Parameters
    ----------
    lengths : Gaussian
        As `find_lengths` returns them, cm.
    """
    row = {"ankle": 1.0, "shank": 1.0, "thigh": 1.0, "trunk": 1.0, "upper_arm": -1.0, "forearm": -1.0}
    return lengths.combine({"wrist": row}, {})["wrist"]


def _find_heights(student: Student) -> Gaussian:
    """Find the standing heights of a body of this stature with their correlations."""
    heights = _with_offsets(predict_heights(student.stature_cm, student.sex))
    return heights.join(_CLOSURE, _cm(0.0, CLOSURE_SD_CM))


def _join_clips(lengths: Gaussian, measured: ClipLengths) -> Gaussian:
    known = lengths.extend({"scale": Estimate(value=0.0, standard_uncertainty=measured.scale_sd, unit="")})
    for name, length in measured.lengths.items():
        if name not in CLIP_LENGTHS:
            raise KeyError(f"No length {name!r} from clips. Known are: {', '.join(CLIP_LENGTHS)}.")
        if length:
            # measured = true · (1 + scale); the measured length takes the place of the true one in the product with the
            # scale.
            known = known.join({name: 1, "scale": length.value}, length)
    return known.combine({name: {name: 1} for name in lengths.names}, {})


def _with_offsets(heights: Gaussian) -> Gaussian:
    """Add the offset of each joint from its landmark: the links change, but the upright person stays as tall."""
    felt = _cm(0.0, math.hypot(OFFSET_SD_CM, JOINT_SD_CM))
    return heights.extend(
        {"hip": felt, "shoulder": felt, "elbow": felt, "knee": _cm(0.0, JOINT_SD_CM), "shrug": _cm(0.0, SHRUG_SD_CM)}
    )


def _others(student: Student) -> dict[str, Estimate]:
    def joint(name: str) -> Estimate:
        return predict_joint_length(name, student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)

    section = shape_trunk(student).section(ELBOW_STATION)
    width = joint("shoulder_width")
    chest = predict("chest_breadth", student.stature_cm, student.sex)
    return {
        "ear_to_eye": EAR_TO_EYE,
        "hand": joint("wrist_to_hand_centre"),
        "half_shoulders": _cm(width.value / 2, width.standard_uncertainty / 2),
        "half_ribs": _cm(chest.value / 2, chest.standard_uncertainty / 2),
        "ribs": _cm(float(section.front[0]), float(section.depth_sd[0] * section.front[0] / section.depth[0])),
        "foot": joint("foot"),
    }


def _cm(value: float, sigma: float) -> Estimate:
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm")
